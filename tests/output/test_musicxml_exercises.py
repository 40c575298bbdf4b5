"""Every exercise of every week, and routines, as MusicXML: valid, and with all that is to be read.

Source of the schema: MusicXML 4.0, W3C Community Group, as the package `musicxml` carries it.
"""

from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree as ET

import lxml.etree
import pytest

from chartkit.exercise.weeks import WEEKS, exercises_of
from chartkit.instrument import GUITAR, INSTRUMENTS
from chartkit.make import exercise_sheet
from chartkit.make_routine import routine_sheet
from chartkit.output.musicxml import encode
from chartkit.reader import read
from chartkit.take import Take
from chartkit.technique.chords import KINDS, chords
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import FIGURES
from chartkit.technique.scales import Where, scales
from chartkit.technique.warmup import warm_up
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

CHARTS = sorted(
    path.name for path in files("chartkit.charts").iterdir() if path.name.endswith(".chart")
)
MINOR = Key(NoteName("G"), "minor")
FLUTE = INSTRUMENTS["flute"]

ROUTINES = {
    "warm-up": warm_up([(1, 3, 2, 4)], GUITAR, 5, 7),
    "scales": scales(
        [MINOR], FAMILIES["harmonic minor"], FIGURES["triads"], GUITAR, Where(5, 40, 86)
    ),
    "a waltz": scales(
        [MINOR],
        FAMILIES["melodic minor"],
        FIGURES["1235"],
        FLUTE,
        Where(None, 60, 84),
        feel="jazz waltz",
    ),
    "chords": chords([MINOR], FAMILIES["melodic minor"], KINDS["sevenths"], GUITAR),
}


@pytest.fixture(scope="module")
def schema():
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


def count(root, path):
    return sum(1 for _ in root.iterfind(f".//{path}"))


def assert_is_whole(schema, sheet):
    data = encode(sheet)
    schema.validate(lxml.etree.fromstring(data))
    assert [str(error) for error in schema.error_log] == []
    root = ET.fromstring(data)  # noqa: S314 (our own)
    stops = [e.stop for m in sheet.measures for e in m.events if e.stop]
    fingers = sum(
        bool(e.stop.finger) for m in sheet.measures for e in m.events if e.stop and not e.tied_back
    )
    assert count(root, "harmony") == sum(len(m.chords) for m in sheet.measures)
    assert count(root, "string") == count(root, "fret") == 2 * len(stops)  # on both staves
    assert count(root, "fingering") == fingers


@pytest.mark.parametrize("week", [week.number for week in WEEKS])
def test_the_exercises_of_a_week(schema, week):
    """On charts in turn, so that every chart comes up in some week."""
    for offset in range(2):
        name = CHARTS[(2 * week + offset) % len(CHARTS)]
        chart = read(str(files("chartkit.charts") / name))
        label = chart.sections[0].label
        for asked in exercises_of(week, chart.meter):
            assert_is_whole(schema, exercise_sheet(Take(chart, (label,), exercise=asked)))


@pytest.mark.parametrize("name", ROUTINES)
def test_a_routine(schema, name):
    assert_is_whole(schema, routine_sheet(ROUTINES[name], 60))
