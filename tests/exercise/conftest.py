"""Changes made by hand, and lines on the charts that come with the program.

What a definition speaks of (a chord's tones, the beats, the next chord) is told here once more from
the chords' own degrees, apart from how lines are made; each kind's own definition stands in its
test. A `Case` is a line and all that it was asked for. By default the cases cover every pair of
chart, part of it, key, place, note value, direction and options; the sweep goes through every
chart, section, key, place and note value. Each line is fingered too, and what is told of the hand
is checked against the neck as an open string and so many frets.

``python -m pytest -m sweep -s tests/exercise`` prints how many lines there were of each kind.
"""

import random
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from importlib.resources import files
from itertools import combinations, cycle, pairwise, product

import pytest

from chartkit.chart import Meter
from chartkit.errors import CannotPlay
from chartkit.exercise import line_through
from chartkit.exercise.terms import Terms
from chartkit.form import BarId, body, excerpt
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import Span, spans
from chartkit.line import Line
from chartkit.line_options import LineOptions
from chartkit.reader import parse
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol
from chartkit.transpose import transpose

FOUR_FOUR = Meter(4)

ROWS = """\
Title: Changes
Key: {key}
Meter: {meter}

[A]
| {rows} |]
"""


@pytest.fixture(scope="session")
def tune():
    """A function from ``Dm7 G7 | Cmaj7`` to the spans of a chart that goes round."""

    def make(rows, key="C major", meter="4/4"):
        chart = parse(ROWS.format(rows=rows, key=key, meter=meter), "changes.chart").chart
        return spans(body(chart), loop=True)

    return make


def chord_of(symbol):
    return None if symbol == "N.C." else read_symbol(symbol).chord


@pytest.fixture(scope="session")
def changes():
    """A function from ``Dm7 G7 | Cmaj7`` to spans without scales; a bar's chords share it."""

    def make(text, meter=FOUR_FOUR):
        spans = []
        for index, bar in enumerate(text.split("|")):
            start, symbols = meter.length * index, bar.split()
            share = Fraction(meter.length, len(symbols))
            spans += [
                Span(
                    start=start + share * number,
                    length=share,
                    chord=chord_of(symbol),
                    next_chord=None,
                    scale=None,
                    key=Key(NoteName("C")),
                    bar=BarId("A", index, index + 1),
                    bar_start=start,
                    meter=meter,
                    feel="swing",
                )
                for number, symbol in enumerate(symbols)
            ]
        return tuple(spans)

    return make


@pytest.fixture(scope="session")
def written():
    """A line as text: its notes by their names, a bar line between spans, - for a rest."""

    def text(line):
        by_span = [
            [n for n in line.notes if span.start <= n.start < span.start + span.length]
            for span in line.spans
        ]
        return " | ".join(" ".join(str(n.pitch or "-") for n in notes) for notes in by_span)

    return text


# What a chord is, in semitones above its root.


@dataclass(frozen=True)
class Parts:
    third: int | None
    fifth: int | None
    seventh: int | None

    @property
    def seven(self):
        return sorted({0, self.third, self.fifth, self.seventh} - {None})

    @property
    def three(self):
        return sorted({0, self.third, self.fifth} - {None})


@cache
def parts_of(chord):
    """Third (fourth or second), fifth (flat thirteen), seventh (sixth) as a symbol has them."""
    first = {}
    for degree in chord.degrees:
        first.setdefault(degree.number, degree.semitones % 12)
    flat_thirteen = 8 if first.get(13) == 8 else None
    return Parts(
        first.get(3, first.get(4, first.get(2))),
        first.get(5, flat_thirteen),
        first.get(7, first.get(6)),
    )


def ninth_of(spans, index):
    """As written, flat where it is written both ways; else flat on the V of a minor key."""
    span = spans[index]
    chord, parts = span.chord, parts_of(span.chord)
    written = {degree.semitones for degree in chord.degrees if degree.number == 9}
    if 13 in written or 14 in written:
        return 1 if 13 in written else 2
    after = [s.chord for s in (*spans[index:], *spans[:index]) if s.chord]
    goal = next((c for c in after if c.root.pitch_class != chord.root.pitch_class), None)
    fourth_up = (chord.root.pitch_class + 5) % 12
    if goal and goal.root.pitch_class == fourth_up:
        to_minor = parts_of(goal).third == 3
    else:
        to_minor = span.key.mode == "minor" and span.key.tonic.pitch_class == fourth_up
    if parts.seventh == 10 and parts.third != 3 and to_minor:
        return 1
    return 3 if 15 in written else 2


LETTERS = "CDEFGAB"
ROLES = {
    "root": 1,
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "seventh": 7,
    "ninth": 2,
    "thirteenth": 6,
}


@dataclass(frozen=True)
class Case:
    """A line and all that it was asked for."""

    spans: tuple[Span, ...]
    kind: str
    terms: Terms
    line: Line | None = None

    def __getattr__(self, name):
        return getattr(self.terms, name)

    @cached_property
    def played(self):
        """Every sounding note with the index of the span that it starts in."""
        found, at = [], 0
        for note in self.line.notes:
            while at + 1 < len(self.spans) and self.spans[at + 1].start <= note.start:
                at += 1
            if note.pitch:
                found.append((note, at))
        return found

    @property
    def by_chord(self):
        """The notes of each chord for as long as it stays, after the index of its first span."""
        groups, before = [], None
        for note, index in self.played:
            here = self.spans[index].chord
            if not groups or here != before[0] or note.start != before[1]:
                groups.append((index, []))
            groups[-1][1].append(note)
            before = here, note.start + note.length
        return groups

    @property
    def end(self):
        return self.spans[-1].start + self.spans[-1].length

    def parts(self, index):
        return parts_of(self.spans[index].chord)

    def tone_set(self, index):
        """The tones asked for, rising from the set's first, in semitones above the root."""
        span, parts = self.spans[index], self.parts(index)
        if self.options.tones != "3-5-7-9":
            return parts.three if self.options.tones == "triads" else parts.seven
        seventh = parts.seventh
        if seventh is None:
            seventh = next(d.semitones for d in span.scale.degrees if d.number == 7)
        found = [parts.third, parts.fifth, seventh, ninth_of(self.spans, index)]
        for place in range(1, 4):
            while found[place] < found[place - 1]:
                found[place] += 12
        return found

    def choice(self, index):
        """Every pitch in the range that is one of the tones asked for."""
        root = self.spans[index].chord.root.pitch_class
        tones = {tone % 12 for tone in self.tone_set(index)}
        return [p for p in range(self.low, self.high + 1) if (p - root) % 12 in tones]

    def beats(self, notes):
        """Each chord's first beat, and others so many notes apart, whole beats from it."""
        found = set()
        for span in self.spans:
            step = span.meter.unit
            while (step / self.value).denominator > 1 or step / self.value < notes:
                step += span.meter.unit
            if span.chord:
                found |= {span.start + n * step for n in range(max(1, int(span.length / step)))}
        return found

    def check_common(self):
        """It fills its changes, stays in its range, rests over N.C. and is spelled by degree."""
        notes = self.line.notes
        assert notes[0].start == self.spans[0].start
        assert all(last.start + last.length == note.start for last, note in pairwise(notes))
        assert notes[-1].start + notes[-1].length == self.end
        for span in self.spans:
            if span.chord is None:
                end = span.start + span.length
                over = [n for n in notes if n.start < end and n.start + n.length > span.start]
                assert all(note.pitch is None for note in over)
        for note, index in self.played:
            assert self.low <= note.pitch.midi <= self.high
            if note.role in ROLES and self.kind != "motif":
                self.check_spelling(note, index)

    def check_spelling(self, note, index):
        letter = self.spans[index].chord.root.letter
        wanted = LETTERS[(LETTERS.index(letter) + ROLES[note.role] - 1) % 7]
        assert note.pitch.name.letter == wanted

    def check_even(self):
        """Every note has the value asked for, and no chord has a rest in it."""
        assert all(note.length == self.value for note, _ in self.played)
        sounding = sum(span.length for span in self.spans if span.chord)
        assert sounding == sum(note.length for note, _ in self.played)

    def check_travel(self, heard):
        """Each (pitch, choice) of `heard` lies next in its direction; it turns at the rim only."""
        way = self.upward
        for (last, _), (pitch, choice) in pairwise(heard):
            assert pitch in choice
            assert pitch != last
            up = pitch > last
            assert not [p for p in choice if min(last, pitch) < p < max(last, pitch)]
            if up != way:
                assert not [p for p in choice if (p > last if way else p < last)], "early turn"
            way = up

    def check_first(self):
        """It begins on the first tone of its set, the lowest or the highest one of its kind."""
        (note, index), *_ = self.played
        first = self.spans[index].chord.root.pitch_class + self.tone_set(index)[0]
        places = [p for p in range(self.low, self.high + 1) if (p - first) % 12 == 0]
        assert note.pitch.midi == (min(places) if self.upward else max(places))

    def check_layout(self):
        """Of all octaves that fit each chord's notes lie in the one nearest to the last note."""
        last = self.terms.start
        for _, notes in self.by_chord:
            pitches = [note.pitch.midi for note in notes]
            fits = [
                12 * k
                for k in range(-6, 7)
                if self.low <= min(pitches) + 12 * k and max(pitches) + 12 * k <= self.high
            ]
            if last is None:
                assert (min(fits) if self.upward else max(fits)) == 0
            else:
                assert min((abs(pitches[0] + k - last), k) for k in fits)[1] == 0
            last = pitches[-1]

    def check_fingering(self, position):
        """Each note is stopped where it sounds as written, within reach of a hand that stands."""
        fingering = finger(self.line, position=position)
        held = []
        for note, stop, hand in zip(
            self.line.notes, fingering.stops, fingering.positions, strict=True
        ):
            assert (note.pitch is None) == (stop is None)
            if stop:
                assert OPEN_STRINGS[stop.string] + stop.fret == note.pitch.midi
                assert 0 <= stop.fret <= FRETS
                assert position in (None, hand)
                assert hand - 1 <= stop.fret <= hand + 4
                home = min(max(stop.fret - hand, 0), 3) + 1  # the finger of its fret, or stretched
                assert stop.finger == (home if stop.fret else 0)
                held.append((stop, hand))
        steps = list(pairwise(held))
        return Counter(
            lines=1,
            notes=len(held),
            bars=len({span.bar_start for span in self.spans}),
            shifts=sum(a != b for (_, a), (_, b) in steps),
            stretches=sum(bool(s.fret) and not hand <= s.fret <= hand + 3 for s, hand in held),
            hops=sum(
                one.finger == other.finger > 0
                and one.string != other.string
                and one.fret != other.fret
                and here == there
                for (one, here), (other, there) in steps
            ),
        )

    @property
    def directions(self):
        """Whether each chord's figure goes up."""
        turns = self.options.shape == "turn-about"
        return [self.upward != (turns and n % 2 == 1) for n in range(len(self.by_chord))]

    def check_reason(self, reason):
        """What is said of a line that does not exist holds."""
        if reason == "there is no cadence here to drill; take in more of the tune":
            assert self.options.cadences
            return
        number = int(re.match(r"bar (\d+): ", reason)[1])
        here = [s for s in self.spans if s.bar.number == number and s.chord]
        if "not filled by notes" in reason:
            lengths = [s.meter.length if self.kind == "motif" else s.length for s in here]
            assert any((length / self.value).denominator > 1 for length in lengths)
        elif "no seventh" in reason:
            assert any(
                parts_of(s.chord).seventh is None or self.options.tones == "triads" for s in here
            )
        elif "too short for a target" in reason:
            assert any(span.length == self.value for span in here)
        else:
            assert "is not reached by step" in reason


# Standard tuning [common practice, no source], strings by their numbers, and frets.
OPEN_STRINGS = {6: 40, 5: 45, 4: 50, 3: 55, 2: 59, 1: 64}
FRETS = 22


# The cases.

CHARTS = {
    path.name.removesuffix(".chart"): path.read_text(encoding="utf-8")
    for path in sorted(files("chartkit.charts").iterdir(), key=lambda path: path.name)
    if path.name.endswith(".chart")
}
PARTS = ("form", 0, 1, 2, "all sections")
VALUES = tuple(Fraction(n) for n in ("1/2", "2", "1", "2/3", "1/3", "1/4"))
DEFAULT = (tuple(CHARTS), PARTS, (0, 1, 3, 6, 8, 11), (5, 1, 2, 7, 9, 12, None), VALUES)
EVERY = (tuple(range(12)), (*range(1, 13), None), VALUES)


@cache
def changes_of(name, part, semitones):
    chart = parse(CHARTS[name], name).chart
    chart = transpose(chart, semitones) if semitones else chart
    labels = [section.label for section in chart.sections]
    if part == "form":
        form = body(chart)
    else:
        form = excerpt(chart, labels if part == "all sections" else [labels[part % len(labels)]])
    return spans(form, loop=True)


def parts_of_chart(name):
    """The form, every section and all of them joined, the same changes only once."""
    count = len(parse(CHARTS[name], name).chart.sections)
    parts = {}
    for part in (*range(count), "form", "all sections"):
        made = changes_of(name, part, 0)
        parts.setdefault(tuple((span.chord, span.length) for span in made), part)
    return tuple(parts.values())


def pairs_covered(*factors):
    """Rows that hold every pair of values of two factors, each row filled greedily."""
    rng = random.Random(0)
    left = {
        ((i, a), (j, b))
        for i, j in combinations(range(len(factors)), 2)
        for a in range(len(factors[i]))
        for b in range(len(factors[j]))
    }
    while left:
        row = dict(min(left))
        for place in rng.sample(range(len(factors)), len(factors)):
            if place not in row:
                found = range(len(factors[place]))
                row[place] = max(
                    found,
                    key=lambda v: sum(
                        tuple(sorted(((place, v), other))) in left for other in row.items()
                    ),
                )
        left -= set(combinations(sorted(row.items()), 2))
        yield tuple(factors[place][row[place]] for place in range(len(factors)))


def case_of(kind, row):
    name, part, semitones, position, value, upward, options = row
    low, high = compass(STANDARD, position)
    terms = Terms(low, high, None, value, upward, options)
    case = Case(changes_of(name, part, semitones), kind, terms)
    try:
        return replace(case, line=line_through(case.spans, kind, terms))
    except CannotPlay as reason:
        case.check_reason(str(reason))
        return None


@pytest.fixture(scope="session")
def chart_case():
    """A function from a kind and a row (chart, part, semitones, position, ...) to its case."""
    return case_of


@pytest.fixture(params=CHARTS)
def chart_name(request):
    """The name of each chart in turn."""
    return request.param


@pytest.fixture(scope="session")
def in_case():
    """A function that makes a line by its maker, as a case."""

    def make(maker, made, terms):
        return Case(made, maker.__name__, terms, maker(made, terms))

    return make


def check_rows(check, kind, rows) -> Iterator[Counter]:
    """Check every line that exists, and its fingering; yield what there was in it."""
    for row in rows:
        case = case_of(kind, row)
        if case is None:
            yield Counter(without=1)
            continue
        try:
            case.check_common()
            check(case)
            yield case.check_fingering(row[3])
        except AssertionError as error:
            raise AssertionError(f"{kind} {row}") from error


@pytest.fixture(scope="session")
def on_charts():
    """A function that checks lines of a kind on charts; most of them must exist."""

    def run(check, kind, *options):
        options = options or (LineOptions(),)
        rows = pairs_covered(*DEFAULT, (True, False), options)
        found = sum(check_rows(check, kind, rows), Counter())
        assert found["lines"] > 1.5 * found["without"]

    return run


@pytest.fixture(scope="session")
def tally(pytestconfig):
    """What there was in the lines of each kind, printed at the end where nothing is captured."""
    found = {}
    yield found
    if found and pytestconfig.getoption("capture") == "no":
        names = ("lines", "without", "notes", "bars", "shifts", "stretches", "hops")
        print("\n" + " ".join(f"{name:>11}" for name in ("kind", *names)))  # noqa: T201
        for kind, count in sorted(found.items()):
            print(f"{kind:>11} " + " ".join(f"{count[name]:>11}" for name in names))  # noqa: T201


@pytest.fixture
def on_every_chart(chart_name, tally):
    """The same for every section, key, place and note value, directions and options in turn."""

    def run(check, kind, *options):
        ways = cycle(product((True, False), options or (LineOptions(),)))
        every = product((chart_name,), parts_of_chart(chart_name), *EVERY)
        rows = ((*row, *way) for row, way in zip(every, ways, strict=False))
        found = sum(check_rows(check, kind, rows), Counter())
        assert found["lines"]
        tally[kind] = tally.get(kind, Counter()) + found

    return run
