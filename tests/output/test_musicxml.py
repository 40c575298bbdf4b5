"""MusicXML against its schema, and against music21 as a second reader.

``python tests/output/test_musicxml.py`` writes the goldens anew; read the difference before keeping
it.
"""

from fractions import Fraction
from importlib.resources import files
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

import lxml.etree
import music21
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter, Tempo
from chartkit.exercise.connected import connected
from chartkit.form import BarId, chorus
from chartkit.guitar.fingering import finger
from chartkit.guitar.fretboard import STANDARD, compass
from chartkit.harmony import spans
from chartkit.instrument import INSTRUMENTS
from chartkit.notate import ChordSymbol, Measure, Sheet, notate_chart, notate_line
from chartkit.notate.slashes import bar_rest
from chartkit.output.musicxml import encode
from chartkit.output.musicxml_harmony import KINDS
from chartkit.reader import parse
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import read_symbol

TESTS = Path(__file__).parent.parent
GOLDEN = TESTS / "golden" / "musicxml"
EVERYTHING = (TESTS / "golden" / "notate" / "everything.chart").read_text(encoding="utf-8")
QUALITIES = [
    line.split()[0].removeprefix("C")
    for line in (TESTS / "theory" / "qualities.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
DEMOS = sorted(
    (path for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")),
    key=lambda path: path.name,
)

BLUES = """\
Title: Blues for a Page
Key: F
Meter: {meter}
[A]
| F7 | Bb7 | F7 | Cm7 F7 |
| Bb7 | Bo7 | F7 | D7b9 |
"""


def chart(text):
    reading = parse(text, "test.chart")
    assert reading.chart, reading.faults
    return reading.chart


def exercise(text, value="1/2", position=5, staves="both"):
    low, high = compass(STANDARD, position)
    line = connected(spans(chorus(chart(text)), loop=True), low, high, value=Fraction(value))
    return notate_line(
        line,
        finger(line, position=position),
        title="Connected arpeggio",
        composer="chartkit",
        tempo=Tempo(Fraction(120)),
        staves=staves,
    )


SHEETS = {
    "everything": lambda: notate_chart(chart(EVERYTHING)),
    "eighths": lambda: exercise(BLUES.format(meter="4/4")),
    "triplets": lambda: exercise(BLUES.format(meter="4/4"), value="1/3"),
    "dotted": lambda: exercise(BLUES.format(meter="12/8")),
    "sixteenths": lambda: exercise(BLUES.format(meter="3/4").replace("Cm7 F7", "Cm7"), value="1/4"),
    "staff alone": lambda: exercise(BLUES.format(meter="4/4"), staves="staff"),
    "tablature alone": lambda: exercise(BLUES.format(meter="4/4"), value="1/3", staves="tab"),
}


@pytest.fixture(scope="module")
def schema():
    """The MusicXML 4.0 schema of the W3C, as two packages carry its files."""
    main = next(folder("musicxml").rglob("musicxml_4_0.xsd"))
    parts = {name: next(folder("xmlschema").rglob(name)) for name in ("xlink.xsd", "xml.xsd")}

    class Beside(lxml.etree.Resolver):
        def resolve(self, url, _public, context):
            name = url.rsplit("/", 1)[-1]
            return self.resolve_filename(str(parts[name]), context) if name in parts else None

    parser = lxml.etree.XMLParser(no_network=True)
    parser.resolvers.add(Beside())
    return lxml.etree.XMLSchema(lxml.etree.parse(str(main), parser))


def folder(package):
    return Path(find_spec(package).origin).parent


def faults(schema, made):
    schema.validate(lxml.etree.fromstring(encode(made)))
    return [str(error) for error in schema.error_log]


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_is_valid_by_the_schema(schema, name):
    assert faults(schema, SHEETS[name]()) == []


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
def test_every_demo_chart_is_valid_by_the_schema(schema, path):
    assert faults(schema, notate_chart(chart(path.read_text(encoding="utf-8")))) == []


BARS = st.one_of(
    st.sampled_from(["%", "N.C.", "F7 / / >Bb7", ">Gm7", "C7! / / /", "/ / D7 /", "(G7 C7)"]),
    st.sampled_from(QUALITIES).map(lambda quality: f"Eb{quality} / >A{quality} /"),
    st.sampled_from(["{3/4} F7", "{2/4} Bb7 Eb7", '"words & <signs>" F7', "F7/A Cm7/Bb"]),
)


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.lists(st.lists(BARS, min_size=1, max_size=5), min_size=1, max_size=4), st.booleans())
def test_any_chart_is_valid_by_the_schema(schema, rows, reflow):
    text = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    reading = parse(f"Key: Bb\n[A]\n{text}\n", "test.chart")
    assume(reading.chart)
    assert faults(schema, notate_chart(reading.chart, reflow=reflow)) == []


def test_the_schema_finds_a_fault(schema):
    broken = encode(SHEETS["eighths"]()).replace(b"<fret>", b"<fret>twelve")
    assert not schema.validate(lxml.etree.fromstring(broken))


@pytest.mark.parametrize("name", ["everything", "eighths"])
def test_files_are_as_they_were(name):
    assert encode(SHEETS[name]()).decode() == (GOLDEN / f"{name}.musicxml").read_text("utf-8")


def read(made):
    return music21.converter.parse(encode(made), format="musicxml")


FINGERED = ["eighths", "triplets", "dotted", "sixteenths", "staff alone", "tablature alone"]


@pytest.mark.parametrize("name", FINGERED)
def test_music21_reads_the_same_notes(name):
    made = SHEETS[name]()
    staff = read(made).parts[0].flatten()
    theirs = [(n.pitch.midi, Fraction(n.quarterLength)) for n in staff.notes if n.isNote]
    ours = [(e.pitch.midi, e.value.length) for m in made.measures for e in m.events if e.pitch]
    assert theirs == ours


@pytest.mark.parametrize("name", FINGERED)
def test_music21_reads_strings_frets_and_fingers(name):
    made = SHEETS[name]()
    staff = read(made).parts[0].flatten()
    ours = [e.stop for m in made.measures for e in m.events]
    for note, stop in zip(staff.getElementsByClass("Note"), ours, strict=True):
        said = {type(a): a for a in note.articulations}
        assert int(said[music21.articulations.StringIndication].number) == stop.string
        assert int(said[music21.articulations.FretIndication].number) == stop.fret
        assert int(said[music21.articulations.Fingering].fingerNumber) == stop.finger


SUSPENDED_SEVENTHS = ("7sus", "9sus", "13sus", "7sus(b9)")


@pytest.mark.parametrize("root", ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"])
def test_music21_reads_every_quality_with_the_same_pitches(root):
    # The format counts an added seventh from a dominant chord (flat); music21 does not where the
    # kind is a suspended fourth.
    chords = [read_symbol(root + q).chord for q in QUALITIES if q not in SUSPENDED_SEVENTHS]
    found = list(read(row_of(chords)).recurse().getElementsByClass("ChordSymbol"))
    for chord_, theirs in zip(chords, found, strict=True):
        assert set(theirs.pitchClasses) == chord_.pitch_classes, theirs


def for_instrument(name, text=BLUES):
    """Return a line in an instrument's range, sounding, and its sheet."""
    instrument = INSTRUMENTS[name]
    changes = spans(chorus(chart(text.format(meter="4/4"))), loop=True)
    line = connected(changes, instrument.low, instrument.high)
    fingering = finger(line, instrument.tuning) if instrument.tuning else None
    return line, notate_line(line, fingering, title="For all", instrument=instrument)


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_every_instrument_reads_what_sounds_right(schema, name):
    line, made = for_instrument(name)
    assert faults(schema, made) == []
    theirs = read(made).toSoundingPitch().parts[0].flatten()
    assert [n.pitch.midi for n in theirs.notes if n.isNote] == [n.pitch.midi for n in line.notes]
    roots = [s.root().pitchClass for s in theirs.getElementsByClass("ChordSymbol")]
    assert roots == [s.chord.root.pitch_class for s in line.spans if s.new]


@pytest.mark.parametrize(
    ("name", "clef", "key", "first"),
    [
        # F major for B flat, E flat and C instruments: G, D and F major [common practice].
        ("trumpet", "G2", 1, "G"),
        ("tenor saxophone", "G2", 1, "G"),
        ("alto saxophone", "G2", 2, "D"),
        ("trombone", "F4", -1, "F"),
        ("double bass", "F4", -1, "F"),
    ],
)
def test_key_clef_and_symbols_are_written_for_the_instrument(name, clef, key, first):
    root = lxml.etree.fromstring(encode(for_instrument(name)[1]))
    assert root.findtext(".//clef/sign") + root.findtext(".//clef/line") == clef
    assert int(root.findtext(".//fifths")) == key
    assert root.findtext(".//root-step") == first
    assert root.findtext(".//part-name") == name.capitalize()


def row_of(chords):
    """Make a sheet of one chord a measure."""
    length = Fraction(4)
    return Sheet(
        "Chords",
        tuple(
            Measure(
                BarId("A", n, n + 1),
                length,
                bar_rest(length),
                chords=(ChordSymbol(Fraction(0), chord_),),
                meter=None if n else Meter(4),
                key=None if n else Key(NoteName("C")),
            )
            for n, chord_ in enumerate(chords)
        ),
    )


@pytest.mark.parametrize("quality", SUSPENDED_SEVENTHS)
def test_a_suspended_seventh_is_added_as_the_format_counts_it(quality):
    root = lxml.etree.fromstring(encode(row_of([read_symbol("C" + quality).chord])))
    degrees = {
        d.findtext("degree-value"): (d.findtext("degree-type"), d.findtext("degree-alter"))
        for d in root.iter("degree")
    }
    assert root.findtext(".//kind") == "suspended-fourth"
    assert degrees["7"] == ("add", "0")


def test_kinds_are_names_of_the_format():
    # The list of `kind-value` in the schema itself.
    tree = lxml.etree.parse(str(next(folder("musicxml").rglob("musicxml_4_0.xsd"))))
    listed = {
        value.get("value")
        for kind in tree.iter("{*}simpleType")
        if kind.get("name") == "kind-value"
        for value in kind.iter("{*}enumeration")
    }
    assert KINDS.keys() <= listed


# Bars in playing order against music21's expandRepeats. Charts are left out where it knows less
# than the language: an order given in words, a section played at the very end only, endings
# together with a jump, and a Fine after a plain D.S. (music21 stops for "al Fine" only).
PLAYED = [
    "|: C7 | D7 |1. E7 :|2. F7 |",
    "| C7 | Segno D7 | E7 To Coda | F7 | G7 D.S. al Coda | Coda A7 | B7 |",
    "|: C7 :| D7 Fine | E7 D.C. al Fine |",
    "|: C7 | D7 |1,2. C7 | D7 :|3. C7 | E7 |",
    "|: C7 | % | %% :|x3 F7 |",
]
DEMOS_PLAYED = {
    "bossa-for-a-window-box.chart",
    "cellar-stairs.chart",
    "crooked-staircase.chart",
    "half-past-three-ferry.chart",
    "lamp-in-the-hallway.chart",
    "seven-umbrellas.chart",
    "slow-oven.chart",
    "tram-change.chart",
    "twelve-doors.chart",
    "twelve-spoons.chart",
    "two-left-gloves.chart",
}


def check_order(source):
    part = read(notate_chart(source)).parts[0]
    for measure in part.getElementsByClass("Measure"):
        measure.groups.append(str(measure.number))  # copies are numbered anew, groups are kept
    played = part.expandRepeats().getElementsByClass("Measure")
    assert [m.groups[-1] for m in played] == [str(b.source.number) for b in chorus(source).bars]


def test_the_charts_to_compare_are_there():
    assert {path.name for path in DEMOS} >= DEMOS_PLAYED


@pytest.mark.parametrize("row", PLAYED)
def test_music21_plays_the_bars_in_the_same_order(row):
    check_order(chart(f"[A]\n{row}\n"))


@pytest.mark.parametrize("path", [p for p in DEMOS if p.name in DEMOS_PLAYED], ids=lambda p: p.name)
def test_music21_plays_the_demo_charts_in_the_same_order(path):
    check_order(chart(path.read_text(encoding="utf-8")))


def test_bars_have_names_of_their_own():
    text = "Form: A A\n[A]\n| F7 | Bb7 | F7 | C7 |\n"
    root = lxml.etree.fromstring(encode(exercise(text)))
    assert [(m.get("id"), m.get("number")) for m in root.iter("measure")] == [
        *((f"bar-{n}", str(n)) for n in range(1, 5)),
        *((f"bar-{n}-2", str(n)) for n in range(1, 5)),
    ]


def test_a_pickup_is_outside_the_count():
    root = lxml.etree.fromstring(encode(SHEETS["everything"]()))
    first = root.find(".//measure")
    assert (first.get("number"), first.get("implicit")) == ("0", "yes")


@pytest.mark.parametrize("name", SHEETS)
def test_divisions_are_exact_and_fill_every_measure(name):
    made = SHEETS[name]()
    root = lxml.etree.fromstring(encode(made))
    divisions = int(root.findtext(".//divisions"))
    for measure, element in zip(made.measures, root.iter("measure"), strict=True):
        for voice in map(str, range(1, len(made.staves) + 1)):
            durations = [
                int(note.findtext("duration"))
                for note in element.iter("note")
                if note.findtext("voice") == voice
            ]
            assert sum(durations) == measure.length * divisions


def test_music21_reads_the_beams_of_a_tablature_alone():
    alone, staff = (
        [
            note.beams.getTypes()
            for note in read(exercise(BLUES.format(meter="4/4"), staves=s)).parts[0].flatten().notes
            if note.isNote
        ]
        for s in ("tab", "staff")
    )
    assert alone == staff


@pytest.mark.parametrize("name", ["eighths", "tablature alone"])
def test_tablature_has_the_strings_of_its_tuning(name):
    root = lxml.etree.fromstring(encode(SHEETS[name]()))
    tuned = [
        music21.pitch.Pitch(s.findtext("tuning-step") + s.findtext("tuning-octave")).midi
        for s in root.iter("staff-tuning")
    ]
    assert tuple(tuned) == STANDARD.open_strings


def test_the_same_sheet_gives_the_same_bytes():
    assert encode(SHEETS["everything"]()) == encode(SHEETS["everything"]())


def test_ties_meet():
    made = SHEETS["everything"]()
    root = lxml.etree.fromstring(encode(made))
    notes = [note for note in root.iter("note") if note.find("unpitched") is not None]
    for before, after in pairwise(notes):
        starts = [t.get("type") for t in before.iter("tie")]
        stops = [t.get("type") for t in after.iter("tie")]
        assert ("start" in starts) == ("stop" in stops)


if __name__ == "__main__":
    for name in ("everything", "eighths"):
        (GOLDEN / f"{name}.musicxml").write_bytes(encode(SHEETS[name]()))
