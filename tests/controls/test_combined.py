"""Controls together, two and two: what each promises holds whatever else is asked for.

The checks are written from what is promised, not from how it is made: times round are laid end to
end by hand, tempos and keys counted up, turns dealt out bar by bar.
"""

import random
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from chartkit import band
from chartkit.arrange import arrange, tempo_of
from chartkit.controls.clicks import Click
from chartkit.controls.ladder import Ladder
from chartkit.controls.trading import Trading
from chartkit.feel import FEELS
from chartkit.form import body, chorus
from chartkit.reader import read
from chartkit.take import Take
from chartkit.theory.pitch import NoteName
from chartkit.timing import perform

CHARTS = {
    path.stem: chart
    for path in sorted((Path(__file__).parents[2] / "charts").glob("*.chart"))
    if FEELS[(chart := read(str(path))).feel].built
}
FEW = [*CHARTS][::3]

HAND = Fraction(1, 10)
"""Quarter notes by which a hand is early or late at most, at the tempos here."""

# Each control in two settings; a pair of rows is tried together.
CONTROLS = {
    "loop": ({"loop": True}, {"loop": False}),
    "same": ({}, {"same": True}),
    "count_in": ({"count_in": 2}, {"count_in": 1}),
    "parts": ({"parts": ("bass",)}, {"parts": ("drums", "chords")}),
    "click": ({"click": Click((1,))}, {"click": Click((), 3)}),
    "ladder": (
        {"tempo": Fraction(90), "ladder": Ladder(Fraction(25), Fraction(150), 1)},
        {"tempo": Fraction(140), "ladder": Ladder(Fraction(7), Fraction(300), 2)},
    ),
    "keys": ({"keys": 5}, {"keys": tuple(map(NoteName.parse, ("A", "Eb")))}),
    "trading": ({"trading": Trading(4)}, {"trading": Trading(8, "nothing")}),
    "intro": ({"loop": False, "intro": "last-four"}, {"loop": False, "intro": "vamp"}),
    "ending": ({"loop": False, "ending": "standard"}, {"loop": False, "last_chord": "cut"}),
    "minutes": ({"minutes": Fraction(2)}, {"minutes": Fraction(7, 2)}),
    "chords": ({"long_chords": True}, {"chords_on": "piano", "voicings": "rootless"}),
    "levels": ({"levels": (("bass", -6.0),)}, {"levels": (("drums", 3.0),)}),
}


def cases():
    rng = random.Random(1)
    for one, two in combinations(CONTROLS, 2):
        crossed = rng.random() < 1 / 2
        for n, left in enumerate(CONTROLS[one]):
            for m, right in [*enumerate(CONTROLS[two])][n ^ crossed : (n ^ crossed) + 1]:
                wanted = {"times": 3, **left, **right}
                ends = {left.get("loop"), right.get("loop")}
                if ends == {True, False}:
                    continue  # a loop that goes round has no ends
                if "loop" not in (one, two) and False not in ends:
                    wanted["loop"] = rng.random() < 1 / 2
                yield pytest.param(rng.choice(FEW), wanted, id=f"{one}{n}-{two}{m}")


def seconds_of(take, music, times):
    """What so many times round last, from the forms themselves and tempos counted up."""
    tempo, total = tempo_of(take), Fraction(0)
    for number in range(1, times + 1):
        whole = take.loop or take.ending == "standard"
        form = body(take.chart) if whole else chorus(take.chart, number, times)
        intro = music.passes[0].opening if number == 1 and take.intro else 0
        total += (form.length + intro) * 60 / tempo
        if take.ladder and number % take.ladder.every == 0:
            tempo = min(tempo + take.ladder.by, take.ladder.up_to)
    return total


@pytest.mark.parametrize(("name", "wanted"), list(cases()))
def test_what_each_control_promises(name, wanted):
    take = Take(CHARTS[name], **wanted)
    music = arrange(take)
    tracks = band.play(music, take.parts, take.seed)
    heard = perform(music, tracks, take.seed)
    check_rounds(take, music)
    check_tempo(take, music)
    check_keys(take, music)
    check_parts(take, heard)
    check_clicks(take, music, heard)
    check_turns(take, music, heard)
    check_ends(take, music)
    check_notes(music, heard)


def check_rounds(take, music):
    assert music.passes[0].start == 0
    assert all(one.end == two.start for one, two in pairwise(music.passes))
    if take.minutes is None:
        assert len(music.passes) * music.rounds == take.times
        return
    times = len(music.passes) * music.rounds
    assert seconds_of(take, music, times) <= take.minutes * 60 or times == 1
    assert seconds_of(take, music, times + 1) > take.minutes * 60


def check_tempo(take, music):
    if take.ladder is None:
        assert len(music.tempo.steps) == 1
        return
    now = take.tempo
    for number, one in enumerate(music.passes, 1):
        assert music.tempo.at(one.start) == now
        assert music.tempo.at(one.end - Fraction(1, 960)) == now
        if number % take.ladder.every == 0:
            now = min(now + take.ladder.by, take.ladder.up_to)
    assert {beat for beat, _ in music.tempo.steps} <= {one.start for one in music.passes}
    assert music.tempo.at(-music.count_in) == take.tempo


def check_keys(take, music):
    firsts = [one.spans[0].key.tonic.pitch_class for one in music.passes]
    steps = [(tonic - firsts[0]) % 12 for tonic in firsts]
    if isinstance(take.keys, tuple):
        turn = [take.keys[n % len(take.keys)].pitch_class for n in range(len(firsts))]
        assert steps == [(tonic - turn[0]) % 12 for tonic in turn]
    else:
        assert steps == [take.keys * n % 12 for n in range(len(firsts))]
    spans = [*music.lead_in, *music.spans, *music.tail]
    after = [*spans[1:], *([music.spans[0]] if music.loop else [None])]
    for one, two in zip(spans, after, strict=True):
        if two and two.chord != one.chord:
            assert one.next_chord == two.chord


def check_parts(take, heard):
    parts = {track.part for track in heard.tracks}
    click = {"click"} if take.count_in or take.click else set()
    assert parts == {*take.parts} | click


def check_clicks(take, music, heard):
    if take.click is None:
        return
    (track,) = [track for track in heard.tracks if track.part == "click"]
    wanted = []
    bars = sorted({(s.bar_start) for s in music.spans})
    for n, start in enumerate(bars):
        own = [s for s in music.spans if s.bar_start == start]
        end = max(s.start + s.length for s in own)
        pulse = FEELS[own[0].feel].pulse
        if n % take.click.one_bar_in == 0:
            beats = [
                b for b in range(int((end - start) / pulse)) if take.click.beats in ((), (b + 1,))
            ]
            wanted += [start + b * pulse for b in beats]
    assert [note.start for note in track.notes if note.start >= 0] == wanted
    assert sum(note.start < 0 for note in track.notes) > 0 or not take.count_in


def owners(take, music):
    """Deal the bars out, one by one: each bar's first beat, its end, and whose it is."""
    player = False
    for one in music.passes:
        first, end = one.start + one.opening, one.end - one.closing
        starts = sorted({span.bar_start for span in one.spans if first <= span.start < end})
        for counted, (start, after) in enumerate(pairwise([*starts, end])):
            if counted and counted % take.trading.bars == 0:
                player = not player
            yield start, after, player
        player = not player


def check_turns(take, music, heard):
    turns = [(marker.start, marker.text) for marker in music.markers if marker.kind == "turn"]
    marks = [mark for mark in turns if mark[1] != "Cue"]
    if take.trading is None:
        assert not turns
        return
    bars = [*owners(take, music)]
    changes = [bars[0], *(two for one, two in pairwise(bars) if one[2] != two[2])]
    told = [(start, "Player" if player else "Band") for start, _, player in changes]
    assert marks[: len(told)] == told
    assert [text for _, text in marks[len(told) :]] in ([], ["Band"])
    quiet = {"bass", "chords"} | ({"drums"} if take.trading.behind == "nothing" else set())
    cues = [start for start, text in turns if text == "Cue"]
    assert bool(cues) == ("drums" in quiet)
    pushed = {span.start for span in music.spans if span.pushed}
    for track in heard.tracks:
        for start, end, player in bars:
            if not player or track.part not in quiet:
                continue
            # Human hands and a push of the band's next chord may reach in by so much.
            late = end - Fraction(3, 5) if {end, end % heard.length} & pushed else end - HAND
            if track.part == "drums":
                late = min([late, *(cue - HAND for cue in cues if start < cue < end)])
            struck = [note for note in track.notes if start + HAND <= note.start < late]
            assert not struck, (track.part, start)


def check_ends(take, music):
    if take.loop:
        assert music.tail == ()
    elif take.last_chord == "cut":
        assert music.tail == ()
        assert any(a.kind == "stop" for a in music.passes[-1].accents)
    if take.intro in ("last-four", "vamp"):
        assert music.passes[0].opening > 0
        assert next(m.text for m in music.markers if m.kind == "section") == "Intro"
        chorus = next(m for m in music.markers if m.kind == "chorus")
        assert chorus.start == music.passes[0].opening


def check_notes(music, heard):
    for track in heard.tracks:
        assert all(note.length > 0 for note in track.notes)
        if not music.loop or track.part == "click":
            assert all(heard.start <= note.start for note in track.notes)
        assert all(note.end <= heard.length for note in track.notes)
        keys = {}
        for note in sorted(track.notes):
            assert keys.get(note.pitch, note.start) <= note.start
            keys[note.pitch] = note.end
