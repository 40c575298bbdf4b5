"""MusicXML in and out. The outside check is music21, which reads and writes the format itself."""

import random
from contextlib import suppress
from fractions import Fraction

import music21
import pytest
from hypothesis import given, settings
from phrase_strategies import phrases

from chartkit.errors import OutputError, RequestError
from chartkit.make_phrase import staff_sheet
from chartkit.output.musicxml import encode
from chartkit.phrase.from_musicxml import import_musicxml
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.reader import parse
from chartkit.phrase.values import heard
from chartkit.phrase.writer import write
from chartkit.theory.symbol import write_symbol

TEXT = """Title: Corner
Source: a lesson
Key: Bb major
Tempo: 132
Chords: Cm7 | F7 / / F7b9 | Bbmaj7 | N.C.
Melody: e D4 | e Eb4 G Bb D5 te C B4 C5 q G4 | e A4 F Gb Ab h A _ | q A e C5 Bb4 h r | r q. r e F4
"""


def phrase_of(text):
    return parse(text, "x").phrase


def tones(phrase):
    return [(one.start, one.length, one.pitch) for one in heard(phrase.notes) if one.pitch]


# ---- Out, read by music21 ------------------------------------------------------------------------


def heard_by_music21(data):
    """Notes as music21 hears them: (start, length, MIDI number, name), ties joined."""
    score = music21.converter.parseData(data, format="musicxml")
    found = []
    for note in score.parts[0].flatten().getElementsByClass(music21.note.Note):
        start, length = (
            Fraction(x).limit_denominator(96) for x in (note.offset, note.quarterLength)
        )
        if note.tie and note.tie.type in ("continue", "stop"):
            first, before, midi, name = found.pop()
            assert (first + before, midi) == (start, note.pitch.midi)
            found.append((first, before + length, midi, name))
        else:
            found.append((start, length, note.pitch.midi, note.pitch.name))
    return found


def printed(name):
    """A name as music21 writes it."""
    return str(name.plain if abs(name.alter) > 1 else name).replace("b", "-")


@pytest.mark.parametrize(
    "text", [TEXT, "Key: A\nMeter: 3/4\nMelody: q C#4 te D E F# q G _ | e G q A"]
)
def test_music21_reads_the_same_notes(text):
    phrase = phrase_of(text)
    found = heard_by_music21(encode(staff_sheet(phrase)))
    assert found == [
        (start + phrase.pickup, length, pitch.midi, printed(pitch.name))
        for start, length, pitch in tones(phrase)
    ]


def test_music21_reads_the_same_notes_of_random_phrases():
    @settings(max_examples=5, deadline=None, derandomize=True)
    @given(phrases(most_bars=2))
    def check(phrase):
        found = heard_by_music21(encode(staff_sheet(phrase)))
        expected = [
            (start + phrase.pickup, length, pitch.midi) for start, length, pitch in tones(phrase)
        ]
        assert [one[:3] for one in found] == expected

    check()


# ---- Out and in ---------------------------------------------------------------------------------


def test_our_own_file_is_read_back():
    phrase = phrase_of(TEXT)
    made = import_musicxml(encode(staff_sheet(phrase)))
    assert made.report == ()
    assert tones(made.phrase) == tones(phrase)
    for field in ("title", "source", "key", "meter", "tempo", "pickup", "length"):
        assert getattr(made.phrase, field) == getattr(phrase, field)
    assert standing(made.phrase) == standing(phrase)


def standing(phrase):
    return [(one.start, one.length, one.chord) for one in phrase.chords]


def joined(chords):
    """Chords where they change."""
    return [one for one, before in zip(chords, [None, *chords], strict=False)
            if before is None or one.chord != before.chord]  # fmt: skip


@settings(max_examples=40, deadline=None, derandomize=True)
@given(phrases())
def test_random_phrases_come_back(phrase):
    if not any(note.pitch for note in phrase.notes):
        return
    made = import_musicxml(encode(staff_sheet(phrase)))
    assert [(s, length, p.midi) for s, length, p in tones(made.phrase)] == [
        (s, length, p.midi) for s, length, p in tones(phrase)
    ]
    assert made.phrase.meter == phrase.meter
    assert made.phrase.length == phrase.length
    sounds = [(one.start, one.chord and (one.chord.pitch_classes, one.chord.lowest.pitch_class))
              for one in joined(phrase.chords)]  # fmt: skip
    if any(one.chord for one in phrase.chords):
        again = [(one.start, one.chord and (one.chord.pitch_classes, one.chord.lowest.pitch_class))
                 for one in joined(made.phrase.chords)]  # fmt: skip
        assert again == sounds
    assert parse(write(made.phrase), "x").phrase == made.phrase


# ---- In, written by music21 ----------------------------------------------------------------------


def from_music21(*elements, **settings_of):
    part = music21.stream.Part()
    for element in elements:
        part.append(element)
    score = music21.stream.Score([part, *settings_of.get("more", ())])
    exporter = music21.musicxml.m21ToXml.GeneralObjectExporter(score)
    return exporter.parse()


def notes_of(made: Phrase):
    return [(str(start), str(length), str(pitch)) for start, length, pitch in tones(made)]


def test_notes_written_by_music21():
    n = music21.note
    data = from_music21(
        music21.meter.TimeSignature("4/4"),
        music21.key.KeySignature(-3),
        n.Note("E-4", quarterLength=0.5),
        n.Note("G4", quarterLength=Fraction(1, 3)),
        n.Note("A4", quarterLength=Fraction(1, 3)),
        n.Note("B-4", quarterLength=Fraction(1, 3)),
        n.Rest(quarterLength=0.5),
        n.Note("C5", quarterLength=3),
        n.Note("F#4", quarterLength=0.25),
    )
    made = import_musicxml(data)
    assert notes_of(made.phrase) == [
        ("0", "1/2", "Eb4"),
        ("1/2", "1/3", "G4"),
        ("5/6", "1/3", "A4"),
        ("7/6", "1/3", "Bb4"),
        ("2", "3", "C5"),
        ("5", "1/4", "F#4"),
    ]
    assert str(made.phrase.key) == "Eb major"


def test_chords_and_symbols_written_by_music21():
    h = music21.harmony.ChordSymbol
    data = from_music21(
        h("Dm7"), music21.note.Note("F4", quarterLength=4),
        h("G7"), music21.chord.Chord(["B3", "F4"], quarterLength=4),
        h("CM7"), music21.note.Note("E4", quarterLength=4),
    )  # fmt: skip
    made = import_musicxml(data)
    assert [write_symbol(one.chord) for one in made.phrase.chords] == ["Dm7", "G7", "Cmaj7"]
    assert [pitch for *_, pitch in notes_of(made.phrase)] == ["F4", "F4", "E4"]
    assert "1 note under a higher one left out" in made.report


# ---- In, written by hand -------------------------------------------------------------------------


def score(measures, part_list="", more=""):
    return f"""<?xml version="1.0"?><score-partwise version="4.0">{part_list}
    <part id="P1">{measures}</part>{more}</score-partwise>""".encode()


def note(step, octave, duration, extra="", alter=""):
    alter = f"<alter>{alter}</alter>" if alter else ""
    return (
        f"<note><pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration>{extra}</note>"
    )


FOUR = "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"


def test_a_part_that_sounds_otherwise_than_it_reads():
    transpose = "<transpose><chromatic>-2</chromatic></transpose>"
    key = "<key><fifths>2</fifths></key>"
    harmony = "<harmony><root><root-step>A</root-step></root><kind>dominant</kind></harmony>"
    data = score(
        f"<measure number='1'>{FOUR}{key}{transpose}</attributes>{harmony}"
        f"{note('F', 4, 4, alter=1)}{note('C', 5, 4, alter=1)}</measure>"
    )
    made = import_musicxml(data).phrase
    assert [pitch for *_, pitch in notes_of(made)] == ["E4", "B4"]
    assert str(made.key) == "C major"
    assert write_symbol(made.chords[0].chord) == "G7"


def test_a_guitar_written_an_octave_above():
    octave = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    data = score(f"<measure number='1'>{FOUR}{octave}</attributes>{note('E', 5, 8)}</measure>")
    assert notes_of(import_musicxml(data).phrase) == [("0", "4", "E4")]


def test_what_is_left_out_is_told():
    grace = "<note><grace/><pitch><step>C</step><octave>4</octave></pitch></note>"
    other = note("C", 3, 8, "<voice>2</voice>")
    odd = "<harmony><root><root-step>C</root-step></root><kind>Tristan</kind></harmony>"
    back = "<backup><duration>8</duration></backup>"
    repeat = "<barline location='right'><repeat direction='backward'/></barline>"
    data = score(
        f"<measure number='1'>{FOUR}</attributes>{odd}{grace}{note('E', 4, 8, '<voice>1</voice>')}"
        f"{back}{other}{repeat}</measure>",
        more=f"<part id='P2'><measure number='1'>{note('G', 4, 1)}</measure></part>",
    )
    made = import_musicxml(data)
    assert notes_of(made.phrase) == [("0", "4", "E4")]
    assert made.report == (
        "part 1 of 2 is taken; --part takes another",
        "grace 1 note left out",
        "1 note of other voices left out",
        "chords that have no symbol here are left out, in measure 1",
        "repeats are written out once",
        "no chords are told: write a `Chords:` line over the melody",
        "no key is told: E major is guessed from the notes",
    )
    assert notes_of(import_musicxml(data, part=2).phrase)[0][2] == "G4"


def test_bars_can_be_chosen_and_keep_the_chord_that_stands():
    harmony = "<harmony><root><root-step>C</root-step></root><kind>dominant</kind></harmony>"
    bars = "".join(
        f"<measure number='{n}'>{harmony if n == 1 else ''}{note(step, 4, 8)}</measure>"
        for n, step in enumerate("CDEF", 1)
    )
    data = score(bars.replace("<measure number='1'>", f"<measure number='1'>{FOUR}</attributes>"))
    made = import_musicxml(data, bars=(2, 3)).phrase
    assert notes_of(made) == [("0", "4", "D4"), ("4", "4", "E4")]
    assert [write_symbol(one.chord) for one in made.chords] == ["C7", "C7"]
    with pytest.raises(RequestError, match="no bars 4-5: it has 4"):
        import_musicxml(data, bars=(4, 5))
    with pytest.raises(RequestError, match="no part 3"):
        import_musicxml(data, part=3)


def test_values_that_do_not_exist_here_are_moved_and_told():
    data = score(
        "<measure number='1'><attributes><divisions>5</divisions></attributes>"
        + "".join(note(step, 4, 1) for step in "CDEFG") + "</measure>"
    )  # fmt: skip
    made = import_musicxml(data)
    assert any("moved to note values" in one for one in made.report)
    assert parse(write(made.phrase), "x").phrase == made.phrase


BROKEN = {
    "no part": (b"<score-partwise/>", "there is no part"),
    "no measures": (score(""), "there are no measures"),
    "no notes": (score("<measure number='1'/>"), "there are no notes"),
    "bad meter": (
        score("<measure><attributes><time><beats>4</beats><beat-type>3</beat-type></time>"
              "</attributes></measure>"),
        "its meter cannot be read",
    ),
    "two meters": (
        score(f"<measure>{FOUR}</attributes>{note('C', 4, 8)}</measure><measure><attributes><time>"
              f"<beats>3</beats><beat-type>4</beat-type></time></attributes>{note('C', 4, 6)}"
              "</measure>"),
        "its meter changes",
    ),
    "too full": (score(f"<measure>{FOUR}</attributes>{note('C', 4, 9)}</measure>"), "holds more"),
    "too long": (score(f"<measure>{note('C', 4, 99999)}</measure>"), "too long to be one"),
    "too many": (score(f"<measure>{FOUR}</attributes>{note('C', 4, 8)}</measure>" * 65), "65 bars"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_no_phrase_is_one_sentence(name):
    data, said = BROKEN[name]
    with pytest.raises(OutputError, match=said) as raised:
        import_musicxml(data)
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize("word", ["1e999999999", "nan", "-4", "", "x", "9" * 40, "1/0", "inf"])
@pytest.mark.parametrize("place", ["divisions", "duration", "octave", "alter", "fifths", "offset"])
def test_odd_numbers_do_no_harm(word, place):
    text = score(
        f"<measure number='1'><attributes><divisions>2</divisions><key><fifths>0</fifths></key>"
        "</attributes><harmony><root><root-step>C</root-step></root><kind>major</kind>"
        f"<offset>0</offset></harmony>{note('C', 4, 4, alter=1)}{note('D', 4, 4)}</measure>"
    ).decode()
    start = text.index(f"<{place}>") + len(place) + 2
    end = text.index(f"</{place}>")
    with suppress(OutputError):
        made = import_musicxml((text[:start] + word + text[end:]).encode())
        assert parse(write(made.phrase), "x").phrase == made.phrase


def test_every_broken_copy_is_a_phrase_or_one_sentence():
    data = encode(staff_sheet(phrase_of(TEXT)))
    rng = random.Random(7)
    for _ in range(150):
        broken = bytearray(data)
        for _ in range(rng.randint(1, 3)):
            broken[rng.randrange(len(broken))] = rng.choice(b"0123456789<>/ABCDEFGabc -.")
        with suppress(OutputError):
            made = import_musicxml(bytes(broken))
            reading = parse(write(made.phrase), "x")
            assert reading.phrase == made.phrase, reading.faults
