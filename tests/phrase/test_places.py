"""Where phrases fit, against a plain search over a grid of half beats, written apart."""

import sys
from fractions import Fraction
from itertools import chain, combinations, pairwise

import pytest

from chartkit.cli.loading import demos as tunes
from chartkit.cli.loading import load as load_tune
from chartkit.cli.phrase_loading import demos, load
from chartkit.errors import CannotPlay
from chartkit.form import key_of
from chartkit.harmony import spans
from chartkit.phrase.places import PERFECT, places, without_overlap
from chartkit.phrase.reader import parse
from chartkit.phrase.values import LETTERS_OF
from chartkit.reader import parse as parse_chart
from chartkit.rounds import form_of
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.transpose import transpose_to

GRID = Fraction(1, 4)
SILENT = "N.C."


def phrase_of(text):
    return parse(text, "test.phrase").phrase


def changes(bars, **header):
    head = "".join(f"{name}: {value}\n" for name, value in header.items())
    chart = parse_chart(f"{head}[A]\n{bars}\n", "test.chart").chart
    return spans(form_of(Take(chart)), loop=True)


def sort(chord):
    """A chord's sort told by its intervals alone."""
    if chord is None:
        return SILENT
    have = {(tone - chord.root.pitch_class) % 12 for tone in chord.pitch_classes}
    if 3 in have and 4 not in have:
        if 6 in have and 7 not in have:
            return "half-diminished" if 10 in have else "diminished"
        return "minor"
    if 10 in have:
        return "dominant"
    if 4 in have:
        return "augmented" if 8 in have and 7 not in have else "major"
    return "open"


def cells(chords):
    """(root, sort) for every quarter of a beat from zero on."""
    return [
        (one.chord.root.pitch_class if one.chord else 0, sort(one.chord))
        for one in chords
        if one.start >= 0
        for _ in range(int(one.length / GRID))
    ]


def plain_search(phrase, tune, under):
    """Every (start, stretch) at which the grids agree up to one distance of the roots."""
    last = max(note.end for note in phrase.notes if note.pitch)
    wanted = cells(phrase.chords)
    found = set()
    for stretch in (Fraction(1), Fraction(1, 2), Fraction(2)):
        if any(note.length * stretch not in LETTERS_OF for note in phrase.notes):
            continue
        needed = [wanted[int(n / stretch)] for n in range(int(-(-last * stretch // GRID)))]
        for bar_start, meter in {(s.bar_start, s.meter) for s in tune if s.bar_start >= 0}:
            halves = (0, meter.length / 2) if meter.beats % 2 == 0 else (0,)
            for start in (bar_start + half for half in halves):
                here = under[int(start / GRID) :][: len(needed)]
                if meter != phrase.meter or len(here) < len(needed):
                    continue
                if any(a[1] != b[1] for a, b in zip(needed, here, strict=True)):
                    continue
                pairs = zip(needed, here, strict=True)
                roots = {(b[0] - a[0]) % 12 for a, b in pairs if a[1] != SILENT}
                if len(roots) == 1:
                    found.add((start, stretch))
    return found


def counted(phrase, tune):
    return {(one.start, one.stretch) for one in places(phrase, tune)}


@pytest.fixture(scope="module")
def demo_tunes():
    return {name: spans(form_of(Take(load_tune(name).chart)), loop=True) for name in tunes()}


def test_places_are_those_of_a_plain_search(demo_tunes, capsys):
    table = {}
    grids = {name: cells(over) for name, over in demo_tunes.items()}
    for name in demos():
        phrase = load(name).phrase
        table[name] = []
        for tune, over in demo_tunes.items():
            found = counted(phrase, over)
            assert found == plain_search(phrase, over, grids[tune]), (name, tune)
            table[name].append(len(found))
    with capsys.disabled():
        sys.stdout.write(
            "\nPlaces of each demo phrase in the demo tunes, in order of their names\n"
        )
        for name, row in table.items():
            sys.stdout.write(f"{name:24}" + "".join(f"{count:4}" for count in row) + "\n")
    assert all(map(sum, table.values())), "every demo phrase fits somewhere"


@pytest.mark.parametrize("pitch_class", range(12))
@pytest.mark.parametrize("name", ["kettle-on-the-hob", "milk-round", "corner-window"])
def test_places_are_the_same_in_every_key(name, pitch_class):
    phrase, chart = load(name).phrase, load_tune("twelve-spoons").chart
    home = key_of(chart)
    moved = transpose_to(chart, Key.written(pitch_class, home.mode))
    here, there = (spans(form_of(Take(one)), loop=True) for one in (chart, moved))
    assert [(p.start, p.stretch) for p in places(phrase, there) if p.misfit < 1] == [
        (p.start, p.stretch) for p in places(phrase, here) if p.misfit < 1
    ]
    assert counted(phrase, there) == counted(phrase, here)


TWO_FIVE = "Key: C\nChords: | Dm7 | G7 |]\nMelody: | q D4 F4 A4 C5 | B4 D5 h F4 |]"


def test_the_best_fit_comes_first():
    tune = changes("| Gm7 C7 | Fmaj7 | Gm9 | C7 | Dm7 | G7 |]", Key="F")
    found = places(phrase_of(TWO_FIVE), tune)
    assert [(p.bar.number, p.misfit, p.reasons) for p in found[:3]] == [
        (5, 0, ()),
        (3, 1, ("other tensions",)),
        (1, 8, ("in halved values",)),
    ]
    assert all("from the middle of the bar" in p.reasons for p in found[3:])


def test_a_chord_may_have_begun_before_and_go_on():
    tune = changes("| Dm7 | Dm7 | G7 | G7 |]", Key="C")
    assert [p.start for p in places(phrase_of(TWO_FIVE), tune) if p.stretch == 1] == [4]


def test_only_what_sounds_needs_its_chord():
    short = "Key: C\nChords: | Dm7 | G7 |]\nMelody: | q D4 F4 A4 C5 | B4 r h r |]"
    tune = changes("| Dm7 | G7 Cmaj7 |]", Key="C")
    assert [p.start for p in places(phrase_of(short), tune) if p.stretch == 1] == [0]
    assert all(p.stretch != 1 for p in places(phrase_of(TWO_FIVE), tune))


def test_a_note_outside_on_the_beat_is_told():
    bright = "Key: C\nChords: | G7 |]\nMelody: | q B3 A4 E5 D5 |]"
    tune = changes("| G7alt | Cm7 |]", Key="C minor")
    (found,) = (p for p in places(phrase_of(bright), tune) if p.start == 0 and p.stretch == 1)
    assert found.reasons == (
        "other tensions",
        "A is outside on the beat",
        "E is outside on the beat",
        "D is outside on the beat",
    )


def test_a_phrase_without_chords_has_no_places():
    with pytest.raises(CannotPlay, match="write a `Chords:` line"):
        places(phrase_of("Key: C\nMelody: | w C4 |]"), changes("| C |]"))


def test_as_written_where_that_can_be_and_in_halved_values_where_there_is_room():
    tune = changes("| Dm7 | Dm7 | Dm7 G7 | Cmaj7 |]", Key="C")
    minor = phrase_of("Key: C\nChords: | Dm7 |]\nMelody: | q D4 F4 A4 C5 |]")
    played = without_overlap(places(minor, tune), minor)
    assert [(p.start, p.stretch) for p in played] == [(0, 1), (4, 1), (8, Fraction(1, 2))]


def test_no_choice_of_places_is_worth_more(demo_tunes):
    """Against every choice of places that do not overlap."""
    phrase = load("kettle-on-the-hob").phrase
    for over in demo_tunes.values():
        found = places(phrase, over)[:9]
        best = 0
        for chosen in chain.from_iterable(combinations(found, n) for n in range(10)):
            ordered = sorted(chosen, key=lambda p: p.start)
            room = (a.end <= b.start - phrase.pickup * b.stretch for a, b in pairwise(ordered))
            if all(room):
                best = max(best, sum(max(1, PERFECT - p.misfit) for p in chosen))
        assert sum(max(1, PERFECT - p.misfit) for p in without_overlap(found, phrase)) == best


def test_a_pick_up_needs_its_room():
    text = "Key: C\nChords: | Dm7 |]\nMelody: q A3 C4 | h D4 F4 |]"
    phrase = phrase_of(text)
    tune = changes("| Dm7 | Dm7 | Dm7 |]", Key="C")
    played = without_overlap([p for p in places(phrase, tune) if p.stretch == 1], phrase)
    assert len(played) == 2
    assert all(b.start - phrase.pickup >= a.end for a, b in pairwise(played))
