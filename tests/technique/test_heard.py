"""A routine as it is heard, and as a sheet."""

from fractions import Fraction

import pytest

from chartkit.controls.clicks import Click
from chartkit.errors import RequestError
from chartkit.instrument import GUITAR, INSTRUMENTS
from chartkit.make_routine import routine_performance, routine_sheet
from chartkit.take import BAND
from chartkit.technique.chords import KINDS, chords
from chartkit.technique.diatonic import FAMILIES
from chartkit.technique.figures import FIGURES
from chartkit.technique.heard import accompanied, arranged
from chartkit.technique.scales import Where, scales
from chartkit.technique.warmup import PATTERNS, warm_up
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.theory.symbol import write_symbol

KEYS = [Key(NoteName("G")), Key(NoteName("C"))]
PLACE = Where(5, GUITAR.low, GUITAR.high)

MADE = {
    "warm-up": warm_up(PATTERNS[:2], GUITAR, 5),
    "scales": scales(KEYS, FAMILIES["major"], FIGURES["triads"], GUITAR, PLACE),
    "chords": chords(KEYS, FAMILIES["major"], KINDS["triads"], GUITAR),
    "sevenths": chords(KEYS[:1], FAMILIES["major"], KINDS["sevenths"], GUITAR),
}


def beats(made):
    return made.line.notes[-1].start + made.line.notes[-1].length


@pytest.mark.parametrize("made", MADE.values(), ids=MADE)
def test_it_goes_round_with_a_click_on_every_beat(made):
    heard = routine_performance(made, Fraction(90), times=3, count_in=1, click=Click())
    assert (heard.start, heard.length) == (-4, beats(made))
    assert (heard.loop, heard.rounds) == (True, 3)
    tracks = {track.part: track.notes for track in heard.tracks}
    assert [note.start for note in tracks["click"] if note.start >= 0] == [*range(int(beats(made)))]
    assert [n.pitch for n in tracks["line"]] == [n.pitch.midi for n in made.line.notes]
    for note, written in zip(tracks["line"], made.line.notes, strict=True):
        # Straight time but for a hand's own unevenness, at most 20 ms.
        assert abs(note.start - written.start) * 60 / 90 <= Fraction(20, 1000)


@pytest.mark.parametrize("made", MADE.values(), ids=MADE)
def test_without_a_click_there_is_the_line_alone(made):
    heard = routine_performance(made, Fraction(60), click=None)
    assert [track.part for track in heard.tracks if track.notes] == ["line"]


def test_the_click_may_fall_on_some_beats_of_some_bars():
    heard = routine_performance(MADE["chords"], Fraction(60), click=Click((2, 4), 2))
    (click,) = (track for track in heard.tracks if track.part == "click")
    assert [note.start % 8 for note in click.notes[:4]] == [1, 3, 1, 3]


def tonics(track, made):
    """The pitch class of the bass on the first beat of each key."""
    starts = {}
    for span in made.line.spans:
        starts.setdefault(span.key, span.start)
    return [
        min(track.notes, key=lambda n, at=start: (abs(n.start - at), n.pitch)).pitch % 12
        for start in starts.values()
    ]


@pytest.mark.parametrize("name", [name for name in MADE if name != "warm-up"])
def test_with_the_band_it_is_the_same_line_over_its_chords_or_its_tonics(name):
    made = MADE[name]
    alone = routine_performance(made, Fraction(90))
    heard = routine_performance(made, Fraction(90), click=None, parts=BAND)
    parts = {track.part: track for track in heard.tracks}
    assert set(parts) == {*BAND, "line"}
    (line,) = (track for track in alone.tracks if track.part == "line")
    assert [n.pitch for n in parts["line"].notes] == [n.pitch for n in line.notes]
    assert (heard.length, heard.loop, heard.bars) == (alone.length, True, alone.bars)
    if name == "scales":
        assert tonics(parts["bass"], made) == [key.tonic.pitch_class for key in KEYS]
    else:
        firsts = [span.chord.root.pitch_class for span in made.line.spans if span.start == 0]
        assert [min(parts["bass"].notes).pitch % 12] == firsts


def test_what_the_band_plays_under_a_routine():
    own = accompanied(MADE["chords"].line.spans)
    assert [s.chord for s in own] == [s.chord for s in MADE["chords"].line.spans]
    scale = accompanied(MADE["scales"].line.spans)  # its triads change between beats
    assert {write_symbol(s.chord) for s in scale} == {"Gmaj7", "Cmaj7"}
    assert sum(s.new for s in scale) == len(KEYS)
    assert {write_symbol(s.next_chord) for s in scale} == {"Gmaj7", "Cmaj7"}
    assert accompanied(MADE["sevenths"].line.spans)[-1].next_chord is not None


def test_a_warm_up_has_nothing_for_a_band():
    with pytest.raises(RequestError, match="leave the band out"):
        routine_performance(MADE["warm-up"], Fraction(60), parts=BAND)


@pytest.mark.parametrize(("feel", "bar"), [("jazz waltz", 3), ("5/4 swing", 5), ("12/8 blues", 6)])
def test_a_feel_brings_its_meter(passages, feel, bar):
    made = scales(KEYS, FAMILIES["major"], FIGURES["thirds"], GUITAR, PLACE, feel=feel)
    assert {span.meter.length for span in made.line.spans} == {bar}
    assert [one.label for one in passages(made)] == ["G major", "thirds", "C major", "thirds"]
    heard = routine_performance(made, Fraction(120), count_in=1, parts=BAND)
    assert heard.start == -bar
    assert heard.length % bar == 0
    assert {meter.length for _, meter in heard.meters} == {bar}
    sheet = routine_sheet(made, Fraction(120))
    assert sheet.measures[0].meter.length == bar
    assert feel in sheet.subtitle


def test_keys_and_labels_come_at_their_beats():
    made = MADE["scales"]
    arrangement = arranged(made, Fraction(60))
    assert [key for _, key in arrangement.keys] == KEYS
    sections = [(m.start, m.text) for m in arrangement.markers if m.kind == "section"]
    assert [text for _, text in sections] == ["G major", "triads", "C major", "triads"]
    assert all(start % 4 == 0 for start, _ in sections)
    assert arrangement.keys[1][0] == sections[2][0]
    chords = [m.text for m in arrangement.markers if m.kind == "chord"]
    assert chords[:3] == ["G", "Am", "Bm"]


@pytest.mark.parametrize("made", MADE.values(), ids=MADE)
def test_a_sheet_has_every_note_with_its_string_fret_and_finger(made):
    sheet = routine_sheet(made, Fraction(60))
    events = [e for measure in sheet.measures for e in measure.events if not e.tied_back]
    assert [e.stop for e in events] == list(made.fingering.stops)
    assert sum(measure.length for measure in sheet.measures) == beats(made)
    assert all(not m.chords for m in sheet.measures) == (made.title == "Chromatic warm-up")
    assert sheet.tuning == GUITAR.tuning


def test_a_sheet_for_an_instrument_without_frets_has_no_tablature():
    flute = INSTRUMENTS["flute"]
    where = Where(None, flute.low, flute.high)
    sheet = routine_sheet(
        scales(KEYS[:1], FAMILIES["major"], FIGURES["thirds"], flute, where), Fraction(60)
    )
    assert sheet.tuning is None


def test_the_caution_stands_where_fingers_stretch():
    easy = warm_up(PATTERNS[:1], GUITAR, 5)
    assert routine_sheet(easy, Fraction(60)).caution == ""
    assert routine_sheet(MADE["chords"], Fraction(60)).caution == ""  # a hand that moves
    b_major = scales([Key(NoteName("B"))], FAMILIES["major"], FIGURES["scale"], GUITAR, PLACE)
    assert "stop on pain" in routine_sheet(b_major, Fraction(60)).caution
