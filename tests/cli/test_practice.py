"""Practice controls as they are typed, down to what is in the files."""

from fractions import Fraction
from itertools import accumulate
from pathlib import Path

import mido
import numpy as np
import pytest
import soundfile

RATE = 44_100
BAR = 4


def messages(path, kind):
    """(beat from the start of the file, message) of each message of a kind."""
    file = mido.MidiFile(path)
    found = []
    for track in file.tracks:
        at = accumulate(message.time for message in track)
        found += [
            (Fraction(tick, file.ticks_per_beat), message)
            for tick, message in zip(at, track, strict=True)
            if message.type == kind
        ]
    return sorted(found, key=lambda pair: pair[0])


def markers(path):
    return [(beat, message.text) for beat, message in messages(path, "marker")]


def notes(path, name):
    track = next(track for track in mido.MidiFile(path).tracks if track.name == name)
    at = accumulate(message.time for message in track)
    return [
        (tick, message.note)
        for tick, message in zip(at, track, strict=True)
        if message.type == "note_on" and message.velocity
    ]


def names(path):
    return {track.name for track in mido.MidiFile(path).tracks[1:]}


def test_a_ladder_is_exact_in_midi_and_to_the_sample_in_sound(chartkit):
    words = ["tune.chart", "A", "--tempo", "150", "--faster-by", "30", "--up-to", "210"]
    assert chartkit("loop", *words, "--count-in", "1", "-o", "a.mid").code == 0
    found = [(beat, m.tempo) for beat, m in messages("a.mid", "set_tempo")]
    # One bar of count-in at the first tempo, four bars at each tempo; 60,000,000 microseconds a
    # minute (Standard MIDI Files 1.0).
    assert found == [(0, 400_000), (20, round(60_000_000 / 180)), (36, round(60_000_000 / 210))]
    assert chartkit("loop", *words, "-o", "a.wav").code == 0
    seconds = sum(Fraction(16 * 60, tempo) for tempo in (150, 180, 210))
    assert abs(soundfile.info("a.wav").frames - seconds * RATE) <= 1


def test_the_last_tempo_is_held_until_the_times_are_done(chartkit):
    words = ["--faster-by", "20", "--faster-every", "2", "--up-to", "190", "--times", "8"]
    assert chartkit("loop", "tune.chart", "A", *words, "-o", "a.mid").code == 0
    tempos = [(beat, round(60_000_000 / m.tempo)) for beat, m in messages("a.mid", "set_tempo")]
    assert tempos == [(0, 160), (32, 180), (64, 190)]
    assert [text for _, text in markers("a.mid") if text.startswith("Round")] == [
        *("Round 1 at 160", "Round 2 at 160", "Round 3 at 180", "Round 4 at 180"),
        *("Round 5 at 190", "Round 6 at 190", "Round 7 at 190", "Round 8 at 190"),
    ]


def test_a_ladder_does_not_warn_of_the_feels_band(chartkit):
    plain = chartkit("loop", "tune.chart", "A", "--tempo", "40", "-o", "a.mid")
    words = ["--tempo", "40", "--faster-by", "20", "--up-to", "80"]
    ladder = chartkit("loop", "tune.chart", "A", *words, "-o", "b.mid")
    assert ("at home" in plain.err, ladder.err) == (True, "")


def test_keys_come_in_the_file_as_signatures_and_chords(chartkit):
    words = ["--key-each-time", "fourths", "--times", "3"]
    assert chartkit("loop", "tune.chart", "A", *words, "-o", "a.mid").code == 0
    signatures = [(beat, m.key) for beat, m in messages("a.mid", "key_signature")]
    assert signatures == [(0, "F"), (16, "Bb"), (32, "Eb")]
    texts = [m.text for _, m in messages("a.mid", "text")]
    assert texts == [
        *("Gm7", "C7", "F6", "D7b9"),
        *("Cm7", "F7", "Bb6", "G7b9"),
        *("Fm7", "Bb7", "Eb6", "C7b9"),
    ]


@pytest.mark.parametrize(
    ("words", "rounds"),
    [
        (["--key-each-time", "fourths"], 12),
        (["--key-each-time", "-3"], 4),
        (["--key-each-time", "C, Ab,E"], 3),
        (["--faster-by", "40", "--up-to", "230", "--faster-every", "2"], 6),
        (["--minutes", "0.25"], 2),
        (["--minutes", "0.01"], 1),
        ([], 1),
    ],
)
def test_as_often_as_it_takes(chartkit, words, rounds):
    assert chartkit("loop", "tune.chart", "A", *words, "-o", "a.mid").code == 0
    assert sum(text.startswith("Round") for _, text in markers("a.mid")) == rounds


def test_only_and_without_leave_the_same_notes_in_the_others(chartkit):
    for name, words in {
        "all": [],
        "bass": ["--only", "bass"],
        "two": ["--without", "drums"],
    }.items():
        assert chartkit("loop", "tune.chart", "A", *words, "-o", f"{name}.mid").code == 0
    assert names("bass.mid") == {"Bass"}
    assert names("two.mid") == {"Bass", "Chords"}
    assert notes("bass.mid", "Bass") == notes("all.mid", "Bass") == notes("two.mid", "Bass")


def test_a_click_sounds_with_the_band_or_without_it(chartkit):
    silent = ["--without", "bass", "--without", "chords", "--without", "drums"]
    words = ["--click", "2 and 4", "--one-bar-in", "2"]
    assert chartkit("loop", "tune.chart", "A", *silent, *words, "-o", "a.mid").code == 0
    assert names("a.mid") == {"Click"}
    assert [tick / 960 for tick, _ in notes("a.mid", "Click")] == [1, 3, 9, 11]
    assert chartkit("loop", "tune.chart", "A", "--click", "1", "-o", "b.mid").code == 0
    assert [tick / 960 for tick, _ in notes("b.mid", "Click")] == [0, 4, 8, 12]
    assert names("b.mid") == {"Bass", "Chords", "Drums", "Click"}


def test_a_level_is_heard_in_sound_and_stands_in_midi(chartkit):
    for name, level in (("a", "0"), ("b", "-6")):
        words = ["tune.chart", "A", "--only", "bass", "--level", f"bass={level}"]
        assert chartkit("loop", *words, "-o", f"{name}.wav").code == 0
        assert chartkit("loop", *words, "-o", f"{name}.mid").code == 0
    loud, soft = (soundfile.read(f"{name}.wav")[0] for name in "ab")
    fall = 20 * np.log10(np.sqrt((soft**2).mean()) / np.sqrt((loud**2).mean()))
    assert fall == pytest.approx(-6, abs=0.1)
    volumes = [
        next(m.value for _, m in messages(f"{name}.mid", "control_change") if m.control == 7)
        for name in "ab"
    ]
    # 40 log10 of the ratio (General MIDI 2's recommended curve, from memory).
    assert 40 * np.log10(volumes[1] / volumes[0]) == pytest.approx(-6, abs=0.2)


def test_a_level_leaves_the_other_parts_alone(chartkit):
    chartkit("loop", "tune.chart", "A", "-o", "a.mid")
    chartkit("loop", "tune.chart", "A", "--level", "bass=-6", "-o", "b.mid")

    def volumes(path):
        return {m.channel: m.value for _, m in messages(path, "control_change") if m.control == 7}

    one, two = volumes("a.mid"), volumes("b.mid")
    assert one.pop(0) > two.pop(0)
    assert one == two


def test_trading_fours_is_marked_and_the_band_drops_out(chartkit):
    words = ["--trade", "fours", "--times", "2"]
    assert chartkit("loop", "tune.chart", *words, "-o", "a.mid").code == 0
    turns = [pair for pair in markers("a.mid") if pair[1] in ("Player", "Band")]
    assert turns == [(0, "Band"), (16, "Player"), (32, "Band"), (48, "Player")]
    drums = [tick // (960 * BAR) for tick, _ in notes("a.mid", "Drums")]
    bass = [(tick + 60) // (960 * BAR) for tick, _ in notes("a.mid", "Bass")]
    assert set(drums) >= set(range(16))
    assert set(bass) == {*range(4), *range(8, 12)}


def test_an_intro_and_an_end_cut_off(chartkit):
    words = ["--intro", "last-four", "--last-chord", "cut", "--choruses", "1", "--count-in", "0"]
    assert chartkit("playalong", "tune.chart", *words, "-o", "a.mid").code == 0
    named = [pair for pair in markers("a.mid") if pair[1] in ("Intro", "Chorus 1")]
    assert named == [(0, "Intro"), (16, "Chorus 1")]
    # The tune ends on C7 in F, so one bar of F is added: hit, then silence.
    last = max(tick for tick, _ in notes("a.mid", "Bass"))
    assert last / 960 == pytest.approx(12 * BAR, abs=0.1)
    assert max(beat for beat, _ in messages("a.mid", "end_of_track")) == 13 * BAR


def test_a_loop_with_an_ending_is_a_loop_no_more(chartkit):
    words = ["A", "--ending", "standard", "--times", "2"]
    assert chartkit("loop", "tune.chart", *words, "-o", "a.mid").code == 0
    found = [text for _, text in markers("a.mid")]
    assert "Loop start" not in found
    assert "Chorus 2" in found


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--faster-by", "5"], "needs both --faster-by and --up-to"),
        (["--up-to", "200"], "needs both --faster-by and --up-to"),
        (["--faster-every", "2"], "needs both --faster-by and --up-to"),
        (["--faster-by", "5", "--up-to", "100"], "does not lead up to 100"),
        (["--faster-by", "0", "--up-to", "200"], "not a step of tempo"),
        (["--key", "C", "--key-each-time", "C,F"], "not for both"),
        (["--key-each-time", "Dm,Gm"], "say --key-each-time D"),
        (["--key-each-time", "sideways"], "or write fourths"),
        (["--key-each-time", "12"], "at most 11 semitones"),
        (["--minutes", "2", "--times", "3"], "not both"),
        (["--minutes", "0"], "not a number of minutes"),
        (["--only", "bass", "--without", "drums"], "not with both"),
        (["--without", "bass", "--without", "drums", "--without", "chords"], "nobody would play"),
        (["--level", "flute=3"], "not a part's level"),
        (["--level", "bass=20"], "from -60 to 6 dB"),
        (["--click", "5"], "no bar here has a beat 5"),
        (["--click", "loud"], "not beats of a bar"),
        (["--trade-over", "nothing"], "goes with --trade"),
        (["A", "--trade", "fours"], "never gets a turn"),
        (["--intro", "vamp"], "ask for an ending too"),
        (["--last-chord", "cut"], "ask for an ending too"),
        (["--ending", "written"], "no written ending"),
        (["--ending", "standard", "--intro", "written"], "no written intro"),
    ],
)
def test_what_does_not_go_is_one_sentence(chartkit, made, words, told):
    result = chartkit("loop", "tune.chart", *words, "-o", "a.mid")
    assert result.code == 2
    assert told in result.err
    assert "Traceback" not in result.err
    assert made() == []


@pytest.mark.parametrize("command", ["loop", "playalong"])
def test_help_has_its_options_under_headings(chartkit, command):
    told = chartkit(command, "--help").out
    headings = ("How long:", "A tempo ladder:", "Another key each time round:", "Trading:")
    assert all(f"\n{heading}" in told for heading in headings)
    assert told.count(f"chartkit {command} my-tune.chart") >= 5


@pytest.mark.parametrize("command", ["loop", "playalong"])
def test_the_examples_of_the_help_are_played(chartkit, command):
    told = chartkit(command, "--help").out
    for number, line in enumerate(told[told.index("Example: ") :].splitlines()):
        _, typed = line.split("chartkit ")
        words = typed.replace("my-tune.chart", "tune.chart").split()
        assert chartkit(*words, "-o", f"{number}.mid").code == 0, line
    assert Path("4.mid").exists()


def test_who_plays_the_chords(chartkit):
    """General MIDI from 0: a jazz guitar is 26, a grand piano 0."""
    programs = []
    for words in ([], ["--chords-on", "piano"]):
        assert chartkit("loop", "tune.chart", *words, "-o", "a.mid", "--force").code == 0
        found = messages("a.mid", "program_change")
        chords = {channel for track, channel in channels("a.mid") if track == "Chords"}
        programs += [m.program for _, m in found if m.channel in chords]
    assert programs == [26, 0]


def channels(path):
    """(name of the track, channel) for each channel that a track plays on."""
    for track in mido.MidiFile(path).tracks[1:]:
        yield from {(track.name, m.channel) for m in track if m.type == "note_on"}


def struck(path):
    """The chords of a file, each as its notes from the lowest up."""
    found = {}
    for tick, note in notes(path, "Chords"):
        found.setdefault(tick, []).append(note)
    return [sorted(chord) for chord in found.values()]


def test_voicings_of_one_kind(chartkit):
    assert chartkit("loop", "tune.chart", "--voicings", "shell", "-o", "a.mid").code == 0
    for low, middle, high in struck("a.mid"):
        # Root, and third and seventh (or sixth) in either order: all of a shell but for D7b9 and
        # its flat nine.
        assert high - low <= 16
        assert high - middle >= 2
    assert chartkit("loop", "tune.chart", "--voicings", "drop-2", "-o", "b.mid").code == 0
    wide = [chord for chord in struck("b.mid") if len(chord) == 4]
    assert all(third < lowest + 12 < top for lowest, _, third, top in wide)
    assert len(wide) > len(struck("b.mid")) / 2


def test_long_plain_chords(chartkit):
    assert chartkit("loop", "tune.chart", "--long-chords", "-o", "a.mid").code == 0
    assert len(struck("a.mid")) == 8  # one to a bar


def test_room_for_a_soloist_and_for_the_exercise(chartkit):
    assert chartkit("loop", "tune.chart", "--leave-room", "G3-C6", "-o", "a.mid").code == 0
    assert max(max(chord) for chord in struck("a.mid")) < 72
    words = ["--with-band", "--range", "G2-B3", "--leave-room", "line", "-o", "b.mid"]
    assert chartkit("exercise", "tune.chart", *words).code == 0
    assert min(min(chord) for chord in struck("b.mid")) > 59
    refused = chartkit("loop", "tune.chart", "--leave-room", "line", "-o", "c.mid")
    assert refused.code == 2
    assert "no line to leave room for" in refused.err
