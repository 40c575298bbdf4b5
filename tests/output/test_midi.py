"""MIDI files, read back by other programs.

``python tests/output/test_midi.py`` writes the golden anew; read the difference before keeping it.
"""

import io
import random
import shutil
import subprocess
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import chartkit.charts
import mido
import pytest
import symusic
from hypothesis import given, settings
from hypothesis import strategies as st

from chartkit.chart import Meter
from chartkit.errors import RequestError
from chartkit.make import performance as perform
from chartkit.output.midi import encode, microseconds
from chartkit.reader import read
from chartkit.take import Take
from chartkit.theory.key import WRITTEN, Key
from chartkit.theory.pitch import NoteName
from chartkit.track import GRID, Marker, Note, Performance, TempoMap, Track

GOLDEN = Path(__file__).parent.parent / "golden" / "midi"
CHARTS = sorted(Path(chartkit.charts.__path__[0]).glob("*.chart"))

DRAWN = settings(derandomize=True, max_examples=200, deadline=None)


def opened(data):
    return mido.MidiFile(file=io.BytesIO(data), charset="utf-8")


def sounded(track):
    """(start, end, pitch, velocity) of a MIDI track, every strike with a release of its own."""
    now, ringing, notes = 0, {}, []
    for message in track:
        now += message.time
        if message.type == "note_on" and message.velocity:
            assert message.note not in ringing, "struck while it still rings"
            ringing[message.note] = now, message.velocity
        elif message.type in ("note_on", "note_off"):
            start, velocity = ringing.pop(message.note)
            assert now > start
            notes.append((start, now, message.note, velocity))
    assert not ringing, "stuck"
    return sorted(notes)


def metas(data, kind):
    now, found = 0, []
    for message in opened(data).tracks[0]:
        now += message.time
        if message.type == kind:
            found.append((now, message))
    return found


def listing(data):
    """The file as text: a line an event, in the words of the MIDI standard."""
    file = opened(data)
    lines = [f"format {file.type}, {file.ticks_per_beat} ticks a quarter note"]
    for track in file.tracks:
        lines += ["", "track"]
        now = 0
        for message in track:
            now += message.time
            fields = {k: v for k, v in vars(message).items() if k not in ("type", "time")}
            told = " ".join(f"{k}={v}" for k, v in fields.items())
            lines.append(f"{now:6} {message.type} {told}".rstrip())
    return "\n".join(lines) + "\n"


def two_rounds():
    """Two rounds of two bars with a count-in of a bar, a push over the seam, and markers."""

    def notes(*rows):
        return tuple(Note(Fraction(s), Fraction(n), p, v) for s, n, p, v in rows)

    return Performance(
        (
            Track("bass", 32, notes(*((at, "9/10", 36 + at, 90) for at in range(8)))),
            Track("chords", 26, notes(("-1/2", 1, 60, 70), ("-1/2", 1, 64, 70), (3, 1, 60, 72))),
            Track("drums", 32, notes(*((at, "1/2", 51, 70 + at) for at in range(8)))),
            Track("click", 0, notes((-4, "1/4", 76, 104), (-2, "1/4", 77, 88))),
        ),
        TempoMap(((Fraction(0), Fraction(140)), (Fraction(4), Fraction(132)))),
        ((Fraction(0), Meter(4)),),
        ((Fraction(0), Key(NoteName("B", -1))),),
        (
            Marker(Fraction(0), "A"),
            Marker(Fraction(0), "Bb6", "chord"),
            Marker(Fraction(4), "F7", "chord"),
        ),
        Fraction(-4),
        Fraction(8),
        loop=True,
        rounds=2,
        title="Zwei Runden für ♭",
    )


def test_golden():
    assert listing(encode(two_rounds())) == (GOLDEN / "two-rounds.txt").read_text(encoding="utf-8")


def test_bytes_of_a_short_file(note, performance):
    # Standard MIDI Files 1.0: chunk layout, and the variable-length quantities of its table.
    starts = (0, 127, 128, 8192, 16383, 16384)
    gaps = [Fraction(start, GRID) for start in starts]
    notes, now = [], Fraction(0)
    for number, gap in enumerate(gaps):
        now += gap
        notes.append(note(now, Fraction(1, GRID), 60 + number, 64))
        now += Fraction(1, GRID)
    data = encode(performance({"line": notes}, Fraction(43008, GRID), tempo=132))
    expected = """
        4D 54 68 64 00 00 00 06 00 01 00 02 03 C0   # MThd: format 1, two tracks, 960 ticks
        4D 54 72 6B 00 00 00 1B                     # MTrk, 27 bytes
        00 FF 51 03 06 EF 91                        # tempo: 454545 microseconds
        00 FF 58 04 04 02 18 08                     # 4/4, 24 clocks a click
        00 FF 59 02 00 00                           # C major
        82 D0 00 FF 2F 00                           # the end, after 43008 ticks
        4D 54 72 6B 00 00 00 4F                     # MTrk, 79 bytes
        00 FF 03 04 4C 69 6E 65                     # its name: Line
        00 C2 1A                                    # channel 3: program 26, jazz guitar
        00 B2 07 68 00 0A 4C 00 5B 28               # volume, pan and reverb (running status)
        00 92 3C 40 01 82 3C 00                     # a key struck at once, released a tick later
        7F 92 3D 40 01 82 3D 00                     # after 127 ticks
        81 00 92 3E 40 01 82 3E 00                  # after 128
        C0 00 92 3F 40 01 82 3F 00                  # after 8192
        FF 7F 92 40 40 01 82 40 00                  # after 16383
        81 80 00 92 41 40 01 82 41 00               # after 16384
        8D 7C FF 2F 00                              # the end, after 1788
    """
    expected = " ".join(line.split("#")[0] for line in expected.splitlines())
    assert data.hex(" ") == bytes.fromhex(expected).hex(" ")


@pytest.mark.parametrize(("tempo", "value"), [(120, 500000), (132, 454545), (140, 428571)])
def test_tempo_in_microseconds(performance, tempo, value):
    # 60,000,000 / tempo (Standard MIDI Files 1.0, set tempo), to the nearest
    assert microseconds(Fraction(tempo)) == value
    [(at, message)] = metas(encode(performance({}, 4, tempo=tempo)), "set_tempo")
    assert (at, message.tempo) == (0, value)


def test_the_slowest_tempo_fits_its_three_bytes():
    assert microseconds(Fraction(1)) == 0xFFFFFF


def test_general_midi_channels_and_programs(four_bars, note, performance):
    # General MIDI 1: programs from 0, percussion on channel 10 (9 from 0)
    parts = ("bass", "chords", "drums", "line")
    midi = encode(four_bars(parts, start=Fraction(-4)))
    tracks = opened(midi).tracks[1:]
    found = {
        track.name: {(m.channel, getattr(m, "program", None)) for m in track if m.type == kind}
        for track in tracks
        for kind in ("program_change",)
    }
    assert found == {
        "Bass": {(0, 32)},
        "Chords": {(1, 26)},
        "Drums": {(9, 32)},
        "Line": {(2, 26)},
    }
    for track in tracks:
        assert len({m.channel for m in track if not m.is_meta}) == 1
    click = encode(performance({"click": [note(-1, "1/4", 76)]}, 4, start=Fraction(-4)))
    kinds = {m.type for m in opened(click).tracks[1]}
    assert "program_change" not in kinds, "the click must leave the drummer's kit alone"


def test_a_note_over_the_seam(note, performance):
    held = note("-1/2", 2, 60)
    music = performance({"chords": [held]}, 4, loop=True, rounds=3)
    starts = [(s / GRID, e / GRID) for s, e, *_ in sounded(opened(encode(music)).tracks[1])]
    # from nothing it is struck at zero; over each seam it is one note; at the end it is cut
    assert starts == [(0, 1.5), (3.5, 5.5), (7.5, 9.5), (11.5, 12)]
    counted = replace(music, start=Fraction(-4))
    starts = [(s / GRID, e / GRID) for s, e, *_ in sounded(opened(encode(counted)).tracks[1])]
    assert starts == [(3.5, 5.5), (7.5, 9.5), (11.5, 13.5), (15.5, 16)]


def test_a_short_push_over_the_seam_is_heard_every_round(note, performance):
    music = performance({"chords": [note("-1/2", "1/4", 60)]}, 4, loop=True, rounds=2)
    ticks = [s / GRID for s, *_ in sounded(opened(encode(music)).tracks[1])]
    assert ticks == [3.5, 7.5]


def test_a_pickup_and_a_count_in_are_heard_once(note, performance):
    parts = {"line": [note(-1, 1, 60), note(0, 1, 62)], "click": [note(-4, "1/4", 76)]}
    tracks = opened(encode(performance(parts, 4, start=Fraction(-4)))).tracks
    assert [(s // GRID, p) for s, _, p, _ in sounded(tracks[1])] == [(3, 60), (4, 62)]
    assert [s for s, *_ in sounded(tracks[2])] == [0]


def test_two_strikes_of_a_key_at_once_are_one(note, performance):
    notes = [note(0, 4, 60, 70), note(0, 2, 60, 90), note(1, 1, 60)]
    heard = sounded(opened(encode(performance({"line": notes}, 4))).tracks[1])
    assert heard == [(0, GRID, 60, 90), (GRID, 2 * GRID, 60, 80)]


def test_every_round_is_marked_and_in_its_tempo_meter_and_key(marker, performance):
    music = performance(
        {},
        8,
        loop=True,
        rounds=2,
        start=Fraction(-4),
        tempo=120,
    )
    music = replace(
        music,
        tempo=TempoMap(((Fraction(0), Fraction(100)), (Fraction(4), Fraction(200)))),
        meters=((Fraction(0), Meter(4)), (Fraction(4), Meter(3)), (Fraction(7), Meter(1))),
        keys=((Fraction(0), Key(NoteName("F"))), (Fraction(4), Key(NoteName("D"), "minor"))),
        markers=(marker(0, "A"), marker(4, "B"), marker(4, "Gm7", "chord")),
    )
    data = encode(music)

    def ticks(kind, field):
        return [(at / GRID, getattr(message, field)) for at, message in metas(data, kind)]

    assert ticks("set_tempo", "tempo") == [(0, 600000), (8, 300000), (12, 600000), (16, 300000)]
    assert ticks("time_signature", "numerator") == [
        (0, 4),
        (8, 3),
        (11, 1),
        (12, 4),
        (16, 3),
        (19, 1),
    ]
    assert ticks("key_signature", "key") == [(0, "F"), (8, "Dm"), (12, "F"), (16, "Dm")]
    assert ticks("marker", "text") == [(4, "A"), (8, "B"), (12, "A"), (16, "B")]
    assert ticks("text", "text") == [(8, "Gm7"), (16, "Gm7")]


@pytest.mark.parametrize(
    ("meter", "expected"),
    [
        # numerator, denominator, MIDI clocks a beat (24 to a quarter note: Standard MIDI Files 1.0)
        (Meter(4), (4, 4, 24)),
        (Meter(3), (3, 4, 24)),
        (Meter(2, Fraction(2)), (2, 2, 48)),
        (Meter(4, Fraction(3, 2)), (12, 8, 36)),
        (Meter(2, Fraction(3, 2)), (6, 8, 36)),
    ],
)
def test_meters(performance, meter, expected):
    [(_, found)] = metas(
        encode(performance({}, 4, meters=((Fraction(0), meter),))), "time_signature"
    )
    assert (found.numerator, found.denominator, found.clocks_per_click) == expected


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("pitch_class", range(12))
def test_key_signatures(performance, pitch_class, mode):
    key = Key.written(pitch_class, mode)
    data = encode(performance({}, 4, keys=((Fraction(0), key),)))
    [signature] = symusic.Score.from_midi(data).key_signatures
    assert (signature.key, signature.tonality) == (key.fifths, int(mode == "minor"))


def test_a_key_beyond_seven_accidentals_takes_its_other_name(performance):
    key = Key(NoteName("D", -1), "minor")  # eight flats
    [(_, found)] = metas(encode(performance({}, 4, keys=((Fraction(0), key),))), "key_signature")
    assert found.key == f"{WRITTEN['minor'][1]}m"


def test_text_is_kept_whatever_its_letters(performance):
    data = encode(performance({}, 4, title="Ζωή ♭ 夢"))
    [(_, name)] = metas(data, "track_name")
    assert name.name == "Ζωή ♭ 夢"


@st.composite
def performances(draw):
    """Anything that fits the type, tidy or not."""
    length = draw(st.integers(1, 16))
    loop = draw(st.booleans())
    start = Fraction(-draw(st.integers(0, 8)))
    beat = st.fractions(-2 if loop else start, length, max_denominator=960)
    a_note = st.builds(
        Note,
        beat,
        st.fractions(Fraction(1, 960), 5, max_denominator=960),
        st.integers(30, 40),
        st.integers(1, 127),
    )
    parts = draw(st.lists(st.sampled_from(("bass", "chords", "drums", "line")), unique=True))
    return Performance(
        tuple(Track(part, 0, tuple(sorted(draw(st.lists(a_note, max_size=12))))) for part in parts),
        TempoMap(((Fraction(0), Fraction(draw(st.integers(30, 400)))),)),
        ((Fraction(0), Meter(4)),),
        ((Fraction(0), Key(NoteName("C"))),),
        (),
        start,
        Fraction(length),
        loop=loop,
        rounds=draw(st.integers(1, 4)) if loop else 1,
    )


@DRAWN
@given(performances())
def test_nothing_is_stuck_overlaps_or_sounds_after_the_end(music):
    data = encode(music)
    end = (music.length * music.rounds - music.start) * GRID
    for track in opened(data).tracks:
        assert sum(message.time for message in track) == end
        assert track[-1].type == "end_of_track"
        assert all(0 <= start < stop <= end for start, stop, *_ in sounded(track))
    assert encode(music) == data


@DRAWN
@given(performances())
def test_a_strict_reader_finds_the_same_notes(music):
    data = encode(music)
    score = symusic.Score.from_midi(data)
    assert score.ticks_per_quarter == GRID
    ours = [sounded(track) for track in opened(data).tracks[1:]]
    theirs = [
        sorted((n.start, n.end, n.pitch, n.velocity) for n in track.notes) for track in score.tracks
    ]
    assert [notes for notes in theirs if notes] == [notes for notes in ours if notes]


@pytest.mark.skipif(not shutil.which("midicsv"), reason="the program midicsv is not installed")
def test_midicsv_reads_the_same(tmp_path):
    data = encode(two_rounds())
    path = tmp_path / "two rounds.mid"
    path.write_bytes(data)
    told = subprocess.run(["midicsv", path], capture_output=True, check=True)
    assert not told.stderr
    rows = [line.split(", ") for line in told.stdout.decode("latin-1").splitlines()]
    named = {
        kind: [row[1:2] + row[3:] for row in rows if row[2] == kind]
        for kind in {r[2] for r in rows}
    }
    assert named["Header"] == [["0", "1", "5", "960"]]
    assert named["Tempo"][:2] == [["0", "428571"], ["7680", "454545"]]
    assert named["Marker_t"] == [["3840", '"A"'], ["11520", '"A"']]
    assert named["End_track"] == [["19200"]] * 5
    struck = [row for row in rows if row[2] == "Note_on_c"]
    assert len(struck) == sum(len(sounded(track)) for track in opened(data).tracks)


def playable(path):
    try:
        return perform(Take(read(path), times=2, seed=3))
    except RequestError as error:
        pytest.skip(str(error))


@pytest.mark.parametrize("name", ["twelve-doors", "sixteen-marbles"])
def test_a_play_along_marks_every_chorus_section_chord_key_and_meter(name):
    chart = read(Path(chartkit.charts.__path__[0], f"{name}.chart"))
    music = perform(Take(chart, times=2, loop=False, count_in=1))
    data = encode(music)
    score = symusic.Score.from_midi(data)
    sections = [m.text for m in music.markers if m.kind == "section"]
    marked = [marker.text for marker in score.markers]
    assert [text for text in marked if text.startswith("Chorus")] == ["Chorus 1", "Chorus 2"]
    assert [text for text in marked if text in set(sections)] == sections
    chords = [(at, message.text) for at, message in metas(data, "text")]
    assert len(chords) == sum(m.kind == "chord" for m in music.markers)
    assert len(score.key_signatures) == len(metas(data, "key_signature"))
    assert len({k.key for k in score.key_signatures}) == len({k.fifths for _, k in music.keys})
    meters = {(t.numerator, t.denominator) for t in score.time_signatures}
    assert meters == {meter.signature for _, meter in music.meters}


@pytest.mark.parametrize("path", CHARTS, ids=lambda path: path.stem)
def test_the_band_on_every_demo_chart(path):
    music = playable(path)
    data = encode(music)
    assert data == encode(perform(Take(read(path), times=2, seed=3)))
    score = symusic.Score.from_midi(data)
    for track, written in zip(score.tracks, [t for t in music.tracks if t.notes], strict=True):
        assert len(track.notes) >= len(written.notes)
        assert max(note.end for note in track.notes) <= music.length * GRID
    texts = {marker.text for marker in score.markers}
    assert {m.text for m in music.markers if m.kind in ("section", "chorus")} <= texts


def test_chance_in_the_order_of_notes_changes_nothing(four_bars):
    music = four_bars()
    shuffled = []
    for track in music.tracks:
        notes = list(track.notes)
        random.Random(1).shuffle(notes)
        shuffled.append(replace(track, notes=tuple(notes)))
    assert encode(replace(music, tracks=tuple(shuffled))) == encode(music)


if __name__ == "__main__":
    GOLDEN.mkdir(parents=True, exist_ok=True)
    (GOLDEN / "two-rounds.txt").write_text(listing(encode(two_rounds())), encoding="utf-8")
