"""Sound measured: length, seam, onsets, pitch, levels, and files that are whole or not there.

Tolerances, not bytes: another version of the synthesiser sounds a little different.
"""

import itertools
import os
import resource
import shutil
import signal
import struct
import subprocess
import sys
import time
from dataclasses import replace
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
import soundfile

from chartkit.errors import OutputError, RequestError, SoundError
from chartkit.output import audio, limiter, player, recording, stretches
from chartkit.output.audio import FORMATS, render, warning_for
from chartkit.output.events import piece
from chartkit.output.frames import frames
from chartkit.track import Track

RATE = 44_100

PACKAGED = Path(find_spec("pretty_midi").submodule_search_locations[0], "TimGM6mb.sf2")
FLUID = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")

needs_fluid = pytest.mark.skipif(not FLUID.exists(), reason="fluid-soundfont-gm is not installed")
FONTS = (
    pytest.param(PACKAGED, id="TimGM6mb"),
    pytest.param(FLUID, id="FluidR3", marks=needs_fluid),
)

TUNED = ("bass", "chords")
BAND = ("bass", "chords", "drums")


def sound(music, font=PACKAGED, *, rate=RATE, a4=440.0):
    """All frames of a performance's file."""
    synth = audio.maker(music, font, rate, a4)
    return np.concatenate(list(frames(piece(music, rate), synth, rate)))


def decibels(error, against):
    return 10 * np.log10((np.mean(np.square(error)) + 1e-20) / np.mean(np.square(against)))


@pytest.fixture
def dry(monkeypatch):
    """No reverberation, which is never twice the same, and the same levels whatever is played."""
    monkeypatch.setitem(player._ROOM, "level", 0.0)
    even = {"bass": -2.0, "chords": -2.0, "drums": 8.0, "line": -2.0}
    monkeypatch.setattr(audio, "levels", lambda *_: even)


def straight_on(music, rounds):
    """The same loop written out and played once through, as a band would that goes on."""

    def later(note, number):
        return replace(note, start=note.start + number * music.length)

    tracks = (
        replace(
            track,
            notes=tuple(
                sorted(later(n, k) for k in range(rounds) for n in track.notes if k or n.start >= 0)
            ),
        )
        for track in music.tracks
    )
    return replace(music, tracks=tuple(tracks), loop=False, length=music.length * rounds, rounds=1)


def attacks(music, frames):
    """True for the first block of each note, over so many frames from beat zero."""
    at = np.zeros(frames + player.BLOCK, bool)
    for strike in piece(music, RATE).body.strikes:
        at[strike.start * player.BLOCK :][: player.BLOCK] = True
    return at[:frames]


@pytest.mark.parametrize("tempo", [140, 137, Fraction("97.3"), 208, 400])
@pytest.mark.parametrize("ending", [".wav", ".flac", ".ogg"])
def test_a_loop_is_exactly_as_long_as_its_beats(four_bars, tmp_path, tempo, ending):
    path = tmp_path / f"loop{ending}"
    render(four_bars(("bass",), tempo=tempo), path, soundfont=PACKAGED)
    assert soundfile.info(path).frames == round(Fraction(16 * 60 * RATE) / tempo)


@pytest.mark.parametrize(
    ("tempo", "over"),
    # 16 beats at 131 are 0.43 of a frame short of a whole number, at 145 0.41 over one
    [(131, -0.4), (145, 0.4)],
)
def test_rounds_do_not_drift(four_bars, tempo, over):
    rounds, exact = 9, Fraction(16 * 60 * RATE, tempo)
    assert exact - round(exact) == pytest.approx(over, abs=0.05)
    frames = sound(four_bars(TUNED, tempo=Fraction(tempo), rounds=rounds))
    ends = [round(exact * number) for number in range(rounds + 1)]
    assert len(frames) == ends[-1]
    assert {end - start for start, end in itertools.pairwise(ends)} > {round(exact)}
    rough = np.abs(np.diff(frames, 3, axis=0)).max(axis=1)
    for start, end in itertools.pairwise(ends):
        alike = round(exact) - stretches.RUN_UP - 1
        assert np.array_equal(frames[start:][:alike], frames[:alike])
        slid = rough[end - stretches.RUN_UP : end - 3]
        assert slid.max() <= 1.1 * rough[ends[1] - 5000 : ends[1]].max()


def test_another_rate(four_bars):
    assert len(sound(four_bars(TUNED, tempo=137), rate=48_000)) == round(16 * 60 * 48_000 / 137)


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.usefixtures("dry")
def test_the_seam_is_as_if_the_band_had_played_on(four_bars, font):
    music = four_bars(BAND)
    loop = sound(music, font)
    assert len(loop) % player.BLOCK == 0, "so that both times round begin on a block"
    on = sound(straight_on(music, 3), font)[len(loop) :][: len(loop)]
    # FluidSynth starts a note a little differently on a voice that has sounded before: leave the
    # first block of each note out.
    kept = ~attacks(music, len(loop))
    beginning = kept & (np.arange(len(loop)) < RATE)
    assert decibels((loop - on)[beginning], on[beginning]) < -50
    assert decibels((loop - on)[kept], on[kept]) < -50


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.usefixtures("dry")
def test_the_seam_of_bass_and_chords_to_the_last_frame(four_bars, font):
    music = four_bars(TUNED)
    loop = sound(music, font)
    on = sound(straight_on(music, 2), font)[len(loop) :][: len(loop)]
    assert decibels((loop - on)[:RATE], on[:RATE]) < -50


@pytest.mark.usefixtures("dry")
def test_a_cut_seam_would_be_found(four_bars):
    music = four_bars(TUNED)
    cut = sound(replace(music, loop=False))[: len(sound(music))]
    on = sound(straight_on(music, 2))[len(cut) :][: len(cut)]
    assert decibels((cut - on)[:RATE], on[:RATE]) > -20


@pytest.mark.parametrize("tempo", [137, 138, 143, Fraction("133.7")])
@pytest.mark.usefixtures("dry")
def test_nothing_jumps_at_the_seam_of_odd_lengths(four_bars, tempo):
    music = four_bars(("chords",), tempo=tempo)
    loop = sound(music)
    assert len(loop) % player.BLOCK
    # the chord that rings over the seam; roughness (third difference) there and around it
    turn = np.concatenate([loop[-6000:], loop[:6000]])
    rough = np.abs(np.diff(turn, 3, axis=0)).max(axis=1)
    assert rough[5990:6010].max() < 1.5 * rough[2000:5900].max()


@pytest.mark.usefixtures("dry")
def test_an_open_hat_is_choked_round_the_seam(note, performance):
    hat = [note("7/2", "1/2", 46, 100), note(0, "1/4", 42, 60)]
    music = performance({"drums": hat}, 4, loop=True)
    ringing = performance({"drums": hat[:1]}, 4, loop=True)
    closed = performance({"drums": hat[1:]}, 4, loop=True)
    later = slice(RATE // 5, RATE // 3)
    left = sound(music)[later] - sound(closed)[later]
    assert decibels(left, sound(ringing)[later]) < -20


@pytest.mark.usefixtures("dry")
def test_a_loop_shorter_than_its_decay(note, performance):
    # a crash that rings for seconds, struck at every beat of half a second (344 whole blocks)
    beat = 344 * player.BLOCK
    crash = {"drums": [note(0, "1/2", 49, 100)]}
    music = performance(crash, 1, tempo=Fraction(60 * RATE, beat), loop=True)
    loop = sound(music)
    assert len(loop) == beat
    on = sound(straight_on(music, 20))[19 * beat :][:beat]
    kept = ~attacks(music, beat)
    assert decibels((loop - on)[kept], on[kept]) < -50
    once = sound(replace(music, loop=False))[:beat]
    assert decibels((once - on)[kept], on[kept]) > -30, "much rings on from the times before"


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.usefixtures("dry")
def test_pieces_of_time_join_as_if_never_cut(four_bars, monkeypatch, font):
    music = straight_on(four_bars(TUNED), 4)
    cut = sound(music, font)
    assert len(stretches.cut(piece(music, RATE).body, RATE)) == 2
    monkeypatch.setattr(stretches, "_WHOLE_SECONDS", 10**6)
    whole = sound(music, font)
    length = min(len(cut), len(whole))
    middle = round(2 * 16 * 60 / 140 * RATE)
    assert np.array_equal(cut[: middle - 1000], whole[: middle - 1000])
    assert decibels(cut[:length] - whole[:length], whole[:length]) < -50


@pytest.mark.usefixtures("dry")
def test_a_note_held_over_whole_pieces_of_time(note, performance, monkeypatch, tmp_path):
    # cut every ten seconds; a note that does not fade goes on from five seconds to thirty-five
    font = soundfont_of_one_sine(tmp_path / "sine.sf2")
    music = performance({"line": [note(5, 30, 69)]}, 40, tempo=60)
    monkeypatch.setattr(stretches, "_WHOLE_SECONDS", 1)
    monkeypatch.setattr(stretches, "_PAIR_SECONDS", 20)
    cut = sound(music, font)
    assert len(stretches.cut(piece(music, RATE).body, RATE)) == 4
    monkeypatch.setattr(stretches, "_WHOLE_SECONDS", 10**6)
    whole = sound(music, font)
    common = 40 * RATE
    assert decibels(cut[:common] - whole[:common], whole[:common]) < -50


def test_the_same_sound_every_time_on_any_number_of_cores(four_bars, monkeypatch):
    music = straight_on(four_bars(BAND), 4)
    first = sound(music)
    for cores in (1, 2, 8):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert np.array_equal(sound(music), first)


@pytest.mark.usefixtures("dry")
def test_a_long_cycle_in_pieces_has_its_frames_and_its_seam(four_bars):
    once = four_bars(TUNED)
    four = replace(straight_on(once, 4), loop=True)
    first = [n for n in once.tracks[1].notes if n.start < 0]
    chords = replace(four.tracks[1], notes=(*first, *four.tracks[1].notes))
    four = replace(four, tracks=(four.tracks[0], chords))
    one, long = sound(once), sound(four)
    assert len(stretches.cut(piece(four, RATE).body, RATE)) == 2
    assert len(long) == 4 * len(one)
    assert decibels(long[: len(one)] - one, one) < -50


def test_a_count_in_comes_before_an_unchanged_loop(four_bars, note):
    music = four_bars(BAND)
    clicks = tuple(note(at, "1/4", 77, 88) for at in range(-4, 0))
    counted = replace(music, tracks=(*music.tracks, Track("click", 0, clicks)), start=Fraction(-4))
    plain, whole = sound(music), sound(counted)
    before = round(4 * 60 / 140 * RATE)
    assert len(whole) == before + len(plain)
    assert np.array_equal(whole[before:], plain)
    for beat in range(4):
        start = round(beat * 60 / 140 * RATE)
        assert np.abs(whole[start : start + 2000]).max() > 0.1
    rough = np.abs(np.diff(whole, 3, axis=0)).max(axis=1)
    assert rough[before - 4 : before + 2].max() < 2 * rough[before - 2000 : before - 4].max()


def test_other_music_dies_away(note, performance):
    music = performance({"chords": [note(0, 4, 60)], "drums": [note(3, 1, 49, 110)]}, 4)
    whole = sound(music)
    after = whole[2 * RATE :]
    assert RATE // 2 < len(after) <= stretches.TAIL_SECONDS * RATE + 64 * player.BLOCK
    assert np.abs(after[-RATE // 100 :]).max() < 10 ** (-60 / 20)
    assert np.abs(np.diff(after, axis=0))[-RATE // 10 :].max() < 10 ** (-60 / 20)


def test_a_pickup_and_a_count_in_lead_other_music(note, performance):
    music = performance(
        {"line": [note(-1, 1, 72), note(0, 1, 74)], "click": [note(-4, "1/4", 76)]},
        4,
        start=Fraction(-4),
    )
    whole = sound(music)
    heard = [np.abs(whole[round(at * RATE) :][:4000]).max() > 0.02 for at in (0, 0.75, 1.5, 2)]
    assert heard == [True, False, True, True]


def strikes(music):
    """The performed onsets in seconds from the start."""
    zero = music.tempo.seconds(music.start)
    return sorted(
        {float(music.tempo.seconds(n.start) - zero) for t in music.tracks for n in t.notes}
    )


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.filterwarnings("ignore::FutureWarning")
@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("font", FONTS)
@pytest.mark.parametrize("tempo", [90, 140, 210])
def test_onsets_are_where_they_were_performed(note, performance, font, tempo):
    # a general-purpose onset detector (librosa: spectral flux)
    import librosa

    human = (0, "1/96", "-1/80", "1/120")
    line = [
        note(Fraction(at, 1) + Fraction(human[at % 4]) + 1, "3/4", 50 + at * 5 % 24, 90)
        for at in range(16)
    ]
    music = performance({"line": line}, 18, tempo=tempo)
    mono = sound(music, font).mean(axis=1)
    found = librosa.onset.onset_detect(
        y=mono, sr=RATE, hop_length=128, units="time", backtrack=False
    )
    for onset in strikes(music):
        assert np.abs(found - onset).min() < 0.030


# ISO 16: A4 = 440 Hz; equal temperament. The open strings of a guitar and A4, in Hz.
PITCHES = {40: 82.407, 45: 110.0, 50: 146.832, 55: 195.998, 59: 246.942, 64: 329.628, 69: 440.0}


def pitch_near(frames, hertz):
    """The fundamental near a frequency, from the autocorrelation of two seconds."""
    mono = frames[RATE // 4 :][: 2 * RATE].mean(axis=1)
    size = 2 ** int(np.ceil(np.log2(2 * len(mono))))
    power = np.abs(np.fft.rfft(mono * np.hanning(len(mono)), size)) ** 2
    correlation = np.fft.irfft(power)
    # the tenth period back, for a finer reading
    lag = 10 * RATE / hertz
    low, high = int(lag * 0.97), int(lag * 1.03)
    top = low + int(np.argmax(correlation[low:high]))
    left, middle, right = correlation[top - 1 : top + 2]
    return 10 * RATE / (top + (left - right) / (2 * (left - 2 * middle + right)))


def cents(found, expected):
    return 1200 * np.log2(found / expected)


@pytest.mark.parametrize("font", FONTS)
@pytest.mark.parametrize("key", PITCHES)
def test_pitch(note, performance, font, key):
    music = performance({"line": [note(0, 5, key, 90)]}, 5)
    found = pitch_near(sound(music, font), PITCHES[key])
    assert abs(cents(found, PITCHES[key])) < 10


@pytest.mark.parametrize("a4", [415.0, 432.0, 442.0, 466.0])
def test_tuning(note, performance, a4):
    music = performance({"line": [note(0, 5, 57, 90)]}, 5)
    plain = pitch_near(sound(music), 220)
    tuned = pitch_near(sound(music, a4=a4), a4 / 2)
    assert cents(tuned / plain, a4 / 440) == pytest.approx(0, abs=1.0)


@pytest.mark.usefixtures("dry")
def test_tuning_leaves_the_drums_alone(four_bars):
    music = four_bars(("drums",))
    assert np.array_equal(sound(music), sound(music, a4=415.0))


@pytest.mark.usefixtures("dry")
def test_a_part_sounds_the_same_whoever_else_plays(four_bars, monkeypatch):
    monkeypatch.setattr(limiter, "CEILING", 10.0)
    stems = [sound(four_bars((part,))) for part in BAND]
    mix = sound(four_bars(BAND))
    kept = ~attacks(four_bars(BAND), len(mix))
    assert np.abs(sum(stems) - mix)[kept].max() < 10 ** (-50 / 20)


def test_peaks_stay_under_the_ceiling(four_bars):
    from scipy.signal import resample_poly

    music = four_bars((*BAND, "line"))
    loud = replace(
        music,
        tracks=tuple(
            replace(t, notes=tuple(replace(n, velocity=127) for n in t.notes)) for t in music.tracks
        ),
    )
    frames = sound(loud)
    assert np.abs(frames).max() <= 10 ** (-1 / 20)
    # true peak: four times oversampled (ITU-R BS.1770-4, annex 2)
    assert np.abs(resample_poly(frames, 4, 1)).max() <= 10 ** (-1 / 20)


def chunks(path):
    """Name and body of a RIFF file's chunks, as the specification lays them out."""
    data = path.read_bytes()
    assert data[:4] == b"RIFF"
    assert struct.unpack("<I", data[4:8])[0] == len(data) - 8
    at, found = 12, {}
    while at < len(data):
        name, size = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])[0]
        found[name] = data[at + 8 : at + 8 + size]
        at += 8 + size + size % 2
    assert at == len(data)
    return found


def test_a_wav_loop_carries_its_loop_points_and_markers(four_bars, note, marker, tmp_path):
    clicks = tuple(note(at, "1/4", 77, 88) for at in range(-4, 0))
    music = four_bars(
        ("bass",), markers=(marker(0, "A"), marker(8, "Bé"), marker(4, "G7", "chord"))
    )
    music = replace(
        music, tracks=(*music.tracks, Track("click", 0, clicks)), start=Fraction(-4), rounds=2
    )
    path = tmp_path / "loop.wav"
    render(music, path, soundfont=PACKAGED)
    info = soundfile.info(path)
    assert (info.format, info.subtype, info.channels) == ("WAV", "PCM_16", 2)
    before, frames = round(4 * 60 / 140 * RATE), info.frames
    found = chunks(path)
    # RIFF `smpl`: one forward loop, its end inclusive, play count 0 = for ever
    loops, start, end, count = struct.unpack("<28xI12x2I4xI", found[b"smpl"])
    assert (loops, start, end, count) == (1, before, frames - 1, 0)
    points = list(struct.iter_unpack("<II4sIII", found[b"cue "][4:]))
    half = round(8 * 60 / 140 * RATE)
    assert [point[5] for point in points] == [
        before,
        before + half,
        before + 2 * half,
        before + 3 * half,
    ]
    assert [point[0] for point in points] == [1, 2, 3, 4]
    assert found[b"LIST"].count("Bé".encode()) == 2
    assert b"G7" not in found[b"LIST"]


def test_readers_tolerate_a_wav_files_chunks(four_bars, marker, tmp_path):
    music = four_bars(BAND, markers=(marker(0, "A"), marker(8, "B")), title="Two Cups")
    path = tmp_path / "loop.wav"
    render(music, path, soundfont=PACKAGED)
    assert chunks(path).keys() >= {b"smpl", b"cue ", b"LIST", b"id3 ", b"data"}
    frames = sound(music)
    assert np.abs(soundfile.read(path, dtype="float32")[0] - frames).max() <= 2**-15
    if shutil.which("sox"):
        program = ("sox", path, "-t", "s16", "-")
        told = subprocess.run(program, capture_output=True, check=True)
        assert not told.stderr
        assert told.stdout == chunks(path)[b"data"], "bit for bit, and nothing after the music"


@pytest.mark.parametrize("ending", FORMATS)
def test_formats(four_bars, tmp_path, ending):
    path = tmp_path / f"tune{ending.upper()}"
    told = []
    render(
        four_bars(("bass",), title="Two cups, ♭ and all"),
        path,
        soundfont=PACKAGED,
        progress=told.append,
    )
    with soundfile.SoundFile(path) as file:
        assert file.samplerate == RATE
        assert file.title == "Two cups, ♭ and all"
        assert np.abs(file.read()).max() > 0.05
    assert told == sorted(told)
    assert 0 < told[0] <= told[-1] == 1
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_only_an_mp3_warns():
    assert [ending for ending in FORMATS if warning_for(Path(f"a{ending}"))] == [".mp3"]
    assert "gap" in warning_for(Path("a.MP3"))


def test_an_unknown_format_is_told(four_bars, tmp_path):
    with pytest.raises(RequestError, match=r"one of \.wav, \.flac, \.ogg or \.mp3"):
        render(four_bars(), tmp_path / "a.aiff", soundfont=PACKAGED)


def test_a_wav_too_long_for_its_lengths_is_told(four_bars, tmp_path):
    with pytest.raises(OutputError, match=r"at most 4 GB, so choose \.flac"):
        render(four_bars(rounds=4000), tmp_path / "a.wav", soundfont=PACKAGED)
    assert not list(tmp_path.iterdir())


@pytest.fixture
def file_limit():
    """`file_limit(bytes)`: as if the disk were full after so many bytes of a file."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    yield lambda size: resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("ending", FORMATS)
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_a_full_disk_leaves_nothing(four_bars, tmp_path, file_limit, ending, share):
    music, path = four_bars(("bass",)), tmp_path / f"a{ending}"
    render(music, path, soundfont=PACKAGED)
    size = path.stat().st_size
    path.unlink()
    file_limit(max(100, int(size * share) - 1))
    with pytest.raises(OutputError, match=f"cannot write {path}: the file would be larger"):
        render(music, path, soundfont=PACKAGED)
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
def test_a_full_device_is_told(four_bars, tmp_path, monkeypatch):
    from contextlib import contextmanager

    @contextmanager
    def to_a_full_device(_):
        yield Path("/dev/full")

    from chartkit.output.files import cannot_write

    monkeypatch.setattr(recording, "replacing", to_a_full_device)
    with pytest.raises(OSError, match="No space left") as told:
        render(four_bars(("bass",)), tmp_path / "a.flac", soundfont=PACKAGED)
    assert "the disk is full" in str(cannot_write(tmp_path, told.value))


def test_a_missing_folder_is_told(four_bars, tmp_path):
    with pytest.raises(OutputError, match="no such folder"):
        render(four_bars(), tmp_path / "there" / "a.wav", soundfont=PACKAGED)


def test_what_stood_there_stays_when_it_fails(four_bars, tmp_path):
    path = tmp_path / "a.wav"
    path.write_bytes(b"mine")

    def interrupt(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        render(straight_on(four_bars(BAND), 6), path, soundfont=PACKAGED, progress=interrupt)
    assert path.read_bytes() == b"mine"
    assert [p.name for p in tmp_path.iterdir()] == ["a.wav"]


INTERRUPTED = """
import sys
from fractions import Fraction
from pathlib import Path
from chartkit.output import audio
from chartkit.track import Note, Performance, TempoMap, Track

notes = tuple(Note(Fraction(at, 2), Fraction(1, 2), 50 + at % 24, 90) for at in range(20_000))
music = Performance(
    (Track("line", 26, notes),), TempoMap(((Fraction(0), Fraction(120)),)), (), (), (),
    Fraction(0), Fraction(10_000), loop=False,
)
print("go", flush=True)
try:
    audio.render(music, Path("long.flac"), soundfont=Path(sys.argv[1]))
except KeyboardInterrupt:
    print("stopped")
"""


def test_an_interrupt_in_the_middle_of_a_render(tmp_path):
    running = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED, PACKAGED],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stdout.readline() == "go\n"
    time.sleep(1)
    running.send_signal(signal.SIGINT)
    out, errors = running.communicate(timeout=30)
    assert (out, errors, running.returncode) == ("stopped\n", "", 0)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "content",
    [b"RIFF\x04\0\0\0sfbk", b"RIFF\xe8\x03\0\0sfbk" + b"LIST\xdc\x03\0\0" + bytes(988)],
    ids=["nothing in it", "rubbish in it"],
)
def test_a_damaged_soundfont_is_one_sentence(four_bars, tmp_path, capfd, content):
    font = tmp_path / "font.sf2"
    font.write_bytes(content)
    with pytest.raises(SoundError, match=f"cannot play with {font}: the soundfont is damaged"):
        render(four_bars(), tmp_path / "a.wav", soundfont=font)
    assert capfd.readouterr() == ("", "")
    assert [p.name for p in tmp_path.iterdir()] == ["font.sf2"]


def test_a_large_damaged_soundfont(four_bars, tmp_path, capfd):
    data = bytearray(PACKAGED.read_bytes())
    middle = len(data) - 400_000
    data[middle:] = bytes(len(data) - middle)
    font = tmp_path / "font.sf2"
    font.write_bytes(bytes(data))
    with pytest.raises(SoundError):
        render(four_bars(), tmp_path / "a.wav", soundfont=font)
    assert capfd.readouterr() == ("", "")


def soundfont_of_one_sine(path):
    """A soundfont with a single instrument, a sine at A4, in bank 0, program 0 (SoundFont 2.04)."""

    def chunk(name, body):
        return name + struct.pack("<I", len(body)) + body

    def listed(kind, *bodies):
        return chunk(b"LIST", kind + b"".join(bodies))

    def record(layout, *rows):
        return b"".join(struct.pack(layout, *row) for row in rows)

    period = 100
    sine = np.sin(2 * np.pi * np.arange(20 * period) / period) * 20_000
    data = sine.astype("<i2").tobytes() + bytes(2 * 46)
    # rate, and the key at which the recording sounds at its own pitch
    header = (b"Sine", 0, len(sine), period, 19 * period, period * 440, 69, 0, 0, 1)
    hydra = (
        (b"phdr", record("<20sHHHIII", (b"Sine", 0, 0, 0, 0, 0, 0), (b"EOP", 0, 0, 1, 0, 0, 0))),
        (b"pbag", record("<HH", (0, 0), (1, 0))),
        (b"pmod", bytes(10)),
        (b"pgen", record("<HH", (41, 0), (0, 0))),  # 41: instrument
        (b"inst", record("<20sH", (b"Sine", 0), (b"EOI", 1))),
        (b"ibag", record("<HH", (0, 0), (2, 0))),
        (b"imod", bytes(10)),
        (b"igen", record("<HH", (54, 1), (53, 0), (0, 0))),  # 54: loop, 53: sample
        (b"shdr", record("<20sIIIIIBbHH", header, (b"EOS", 0, 0, 0, 0, 0, 0, 0, 0, 0))),
    )
    body = (
        listed(b"INFO", chunk(b"ifil", struct.pack("<HH", 2, 4)), chunk(b"INAM", b"Sine\0\0"))
        + listed(b"sdta", chunk(b"smpl", data))
        + listed(b"pdta", *(chunk(name, rows) for name, rows in hydra))
    )
    path.write_bytes(chunk(b"RIFF", b"sfbk" + body))
    return path


def test_a_soundfont_of_few_instruments_plays_what_it_can(note, performance, tmp_path):
    font = soundfont_of_one_sine(tmp_path / "sine.sf2")
    music = performance({"line": [note(0, 5, 69, 90)]}, 5)
    assert abs(cents(pitch_near(sound(music, font), 440), 440)) < 1
    with pytest.raises(SoundError, match=f"{font} has no sound for the drums: use a General MIDI"):
        render(performance({"drums": [note(0, 1, 51)]}, 4), tmp_path / "a.wav", soundfont=font)
    assert [p.name for p in tmp_path.iterdir()] == ["sine.sf2"]
