"""MIDI in and out. Files played by hand are made here, with times that no grid has."""

import random
from fractions import Fraction
from io import BytesIO

import mido
import pytest
import symusic
from hypothesis import given, settings
from phrase_strategies import phrases

from chartkit.errors import OutputError, RequestError
from chartkit.make_phrase import exact_performance, phrase_performance, phrase_take
from chartkit.output.midi import encode
from chartkit.phrase.from_midi import LARGEST, import_midi
from chartkit.phrase.reader import parse
from chartkit.phrase.values import heard
from chartkit.phrase.writer import write

TEXT = """Title: Corner
Key: Bb major
Tempo: 132
Chords: Cm7 | F7 / / F7b9 | Bbmaj7 | N.C.
Melody: e D4 | e Eb4 G Bb D5 te C B4 C5 q G4 | e A4 F Gb Ab h A _ | q A e C5 Bb4 h r | r q. r e F4
"""


def phrase_of(text):
    return parse(text, "x").phrase


def tones(phrase):
    return [(one.start, one.length, one.pitch.midi) for one in heard(phrase.notes) if one.pitch]


def played(notes, *, ticks=480, meta=()):
    """A file of notes (start, length, MIDI number), in quarter notes."""
    file = mido.MidiFile(type=1, ticks_per_beat=ticks)
    track = mido.MidiTrack()
    events = [(0, message) for message in meta]
    for start, length, midi in notes:
        events.append((round(start * ticks), mido.Message("note_on", note=midi, velocity=80)))
        end = round((start + length) * ticks)
        events.append((end, mido.Message("note_off", note=midi, velocity=0)))
    now = 0
    for at, message in sorted(events, key=lambda one: (one[0], one[1].type != "note_off")):
        track.append(message.copy(time=at - now))
        now = at
    file.tracks.append(track)
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


# ---- Out and in -----------------------------------------------------------------------------


def test_symusic_reads_the_same_notes():
    phrase = phrase_of(TEXT)
    score = symusic.Score.from_midi(encode(exact_performance(phrase)))
    (track,) = score.tracks
    bar = phrase.meter.length
    assert [
        (Fraction(n.start, score.tpq) - bar, Fraction(n.duration, score.tpq), n.pitch)
        for n in track.notes
    ] == tones(phrase)


def test_our_own_file_is_read_back():
    phrase = phrase_of(TEXT)
    made = import_midi(encode(exact_performance(phrase)))
    assert tones(made.phrase) == tones(phrase)
    assert made.phrase.chords == phrase.chords
    for field in ("title", "key", "meter", "tempo", "pickup"):
        assert getattr(made.phrase, field) == getattr(phrase, field)
    assert made.report == (
        "names of notes are guessed, in Bb major: mend those that you would spell otherwise",
    )


@settings(max_examples=40, deadline=None, derandomize=True)
@given(phrases())
def test_random_phrases_come_back(phrase):
    if not tones(phrase):
        return
    made = import_midi(encode(exact_performance(phrase)))
    again, own = tones(made.phrase), tones(phrase)
    shift = own[0][0] - again[0][0]
    assert shift % phrase.meter.length == 0  # bars of silence before it are left out
    assert [(start + shift, length, midi) for start, length, midi in again] == own
    assert made.phrase.meter == phrase.meter
    assert parse(write(made.phrase), "x").phrase == made.phrase


# ---- Files of other programs ------------------------------------------------------------------


def test_chances_of_the_hand_are_put_right():
    rng = random.Random(3)
    exact = tones(phrase_of("Key: C\nMelody: e C4 E G B te C5 B4 A q G | s A B A G e F E q D C"))
    human = [
        (
            max(Fraction(0), start + Fraction(rng.randint(-18, 18), 480)),
            length - Fraction(rng.randint(8, 36), 480),
            midi,
        )
        for start, length, midi in exact
    ]
    made = import_midi(played(human))
    assert tones(made.phrase) == exact
    assert any("moved to note values, by 0.0" in sentence for sentence in made.report)


def test_a_performance_of_our_own_is_read_as_it_was_written():
    phrase = phrase_of(
        "Key: C\nTempo: 120\nChords: C7 | F7\nMelody: e C4 E G Bb A G E C | q F4 A h C5"
    )
    music = phrase_performance(phrase, phrase_take(phrase))
    alone = encode(music)
    (number,) = [
        n for n, track in enumerate(t for t in mido.MidiFile(file=BytesIO(alone)).tracks
                                    if any(m.type == "note_on" and m.channel != 9 for m in t))
        if any(m.type == "track_name" and m.name == "Line" for m in track)
    ] or [None]  # fmt: skip
    made = import_midi(alone, part=number and number + 1, swung=True)
    assert [one[2] for one in tones(made.phrase)] == [one[2] for one in tones(phrase)]
    assert [one[0] for one in tones(made.phrase)] == [one[0] for one in tones(phrase)]


def swung(notes, at):
    late = lambda point: point // 1 + (Fraction(at) if point % 1 == Fraction(1, 2) else point % 1)  # noqa: E731
    return [(late(s), late(s + length) - late(s), midi) for s, length, midi in notes]


@pytest.mark.parametrize("at", ["3/5", "31/50", "2/3", "7/10"])
def test_swung_eighths_are_read_as_eighths_where_asked(at):
    exact = tones(phrase_of("Key: C\nMelody: e C4 E G B C5 B4 A G | e A B q A e F E q D"))
    made = import_midi(played(swung(exact, at)), swung=True)
    assert tones(made.phrase) == exact
    assert "6 off-beats at" in made.report[0]


def test_late_off_beats_are_told_where_not_asked():
    exact = tones(phrase_of("Key: C\nMelody: e C4 E G B C5 B4 A G"))
    made = import_midi(played(swung(exact, "2/3")))
    assert made.report[0].startswith("4 off-beats come late in their beat and are read as triplets")


def test_triplets_stay_triplets_beside_swung_eighths():
    exact = tones(phrase_of("Key: C\nMelody: e C4 E te G A B e C5 B4 A G"))
    assert tones(import_midi(played(swung(exact, "2/3")), swung=True).phrase) == exact


def test_notes_together_and_notes_that_ring_on_are_told():
    made = import_midi(played([(0, 2, 60), (0, 1, 64), (1, 3, 62), (2, 2, 65)]))
    assert tones(made.phrase) == [(0, 1, 64), (1, 1, 62), (2, 2, 65)]
    assert made.report[:2] == (
        "1 note under a higher one left out",
        "1 note shortened, which rang on into the next one",
    )


def test_silence_before_it_and_a_pickup_are_told():
    made = import_midi(played([(8, 4, 60)]))
    assert tones(made.phrase) == [(0, 4, 60)]
    assert "2 bars of silence before it left out" in made.report
    made = import_midi(played([(3, 1, 60), (4, 4, 62)]))
    assert made.phrase.pickup == 1
    assert "what comes before the first full bar is read as a pick-up" in made.report


def test_bars_and_parts_can_be_chosen():
    data = played([(n * 4, 4, 60 + n) for n in range(6)])
    assert tones(import_midi(data, bars=(3, 4)).phrase) == [(0, 4, 62), (4, 4, 63)]
    with pytest.raises(OutputError, match="no notes in bars 9-9"):
        import_midi(data, bars=(9, 9))
    with pytest.raises(RequestError, match="there is no part 2: it has 1 part"):
        import_midi(data, part=2)


def test_names_are_guessed_by_key_and_chord():
    meta = [mido.MetaMessage("key_signature", key="F"), mido.MetaMessage("text", text="D7b9")]
    made = import_midi(played([(0, 1, 66), (1, 1, 63), (2, 1, 68), (3, 1, 69)], meta=meta))
    assert [str(n.pitch) for n in made.phrase.notes] == ["F#4", "Eb4", "G#4", "A4"]


def test_a_key_is_guessed_from_the_notes():
    # music21's analysis by the same authors' profiles agrees.
    import music21

    line = [(n, 1, midi) for n, midi in enumerate((62, 64, 65, 67, 69, 65, 64, 61, 62, 69, 65, 62))]
    made = import_midi(played(line))
    stream = music21.stream.Stream([music21.note.Note(midi) for *_, midi in line])
    other = stream.analyze("key.krumhansl" + "kessler")
    assert str(made.phrase.key) == f"{other.tonic.name} {other.mode}" == "D minor"


def test_chords_come_from_text_that_is_one():
    meta = [mido.MetaMessage("text", text=text) for text in ("copyright me", "Gm7", "  ", "verse")]
    made = import_midi(played([(0, 4, 62)], meta=meta))
    assert [one.chord.root.letter for one in made.phrase.chords] == ["G"]


def test_what_comes_before_the_first_chord_has_none():
    file = mido.MidiFile(file=BytesIO(played([(0, 4, 62), (4, 4, 65)])))
    meta = [mido.MetaMessage("text", text="Dm7", time=4 * 480)]
    file.tracks.append(mido.MidiTrack(meta))
    buffer = BytesIO()
    file.save(file=buffer)
    made = import_midi(buffer.getvalue())
    assert [one.chord and one.chord.root.letter for one in made.phrase.chords] == [None, "D"]
    assert "no chord is told for its beginning: N.C. stands there" in made.report


# ---- Files that are none ----------------------------------------------------------------------


def test_percussion_is_no_phrase():
    file = mido.MidiFile()
    file.tracks.append(
        mido.MidiTrack(
            [
                mido.Message("note_on", channel=9, note=38, velocity=80),
                mido.Message("note_off", channel=9, note=38, time=480),
            ]
        )
    )
    buffer = BytesIO()
    file.save(file=buffer)
    with pytest.raises(OutputError, match="no notes"):
        import_midi(buffer.getvalue())


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "it is no MIDI file"),
        (b"RIFF", "it is no MIDI file"),
        (b"MThd", "breaks off"),
        (b"MThd" + bytes(LARGEST), "larger than 1 MB"),
        (b"MThd\0\0\0\6\0\0\0\1\xe7\x28MTrk\0\0\0\4\0\xff\x2f\0", "film frames"),
    ],
)
def test_what_is_no_file_is_one_sentence(data, said):
    with pytest.raises(OutputError, match=said) as raised:
        import_midi(data)
    assert "\n" not in str(raised.value)


def test_a_meter_that_changes_is_refused():
    meta = [
        mido.MetaMessage("time_signature", numerator=4, denominator=4),
        mido.MetaMessage("time_signature", numerator=3, denominator=4),
    ]
    with pytest.raises(OutputError, match="its meter changes"):
        import_midi(played([(0, 1, 60)], meta=meta))


def test_every_broken_copy_is_a_phrase_or_one_sentence():
    data = encode(exact_performance(phrase_of(TEXT)))
    rng = random.Random(5)
    for _ in range(400):
        broken = bytearray(data)
        for _ in range(rng.randint(1, 4)):
            broken[rng.randrange(len(broken))] = rng.randrange(256)
        try:
            made = import_midi(bytes(broken[: rng.choice((len(data), rng.randrange(len(data))))]))
        except (OutputError, RequestError):
            continue
        reading = parse(write(made.phrase), "x")
        assert reading.phrase == made.phrase, reading.faults
