"""The band against chance and against a naive one, on the same charts; a table to read.

Naive: a bass of root, third, fifth, root over each chord, chords in one fixed position. Chance: any
tone of the chord scale on each beat, any of a chord's voicings. Leads to a new chord by a semitone,
a tone or its fifth, little movement of the voices: common practice, no source.
"""

import random
from collections import Counter
from itertools import pairwise
from pathlib import Path

from bass_rules import LEADS
from comping_rules import hits

from chartkit.arrange import arrange
from chartkit.band import bass, comping
from chartkit.band.hands import is_held
from chartkit.reader import read
from chartkit.take import Take
from chartkit.theory.voicing import movement, voicings

CHARTS = {
    path.stem: chart
    for path in sorted((Path(__file__).parents[2] / "charts").glob("*.chart"))
    if (chart := read(str(path))).feel == "swing"
}
SEEDS = 3


def quarters(arranged):
    """Each beat with the span that sounds on it."""
    for span in arranged.spans:
        if span.chord is not None:
            yield from ((span.start + beat, span) for beat in range(int(span.length)))


def walked(arranged, seed):
    notes = bass.play(arranged, None, random.Random(seed)).notes
    return {note.start: note.pitch for note in notes if note.start.denominator == 1}


def naive_bass(arranged, _):
    line = {}
    for beat, span in quarters(arranged):
        degrees = [0, *(d.semitones for d in span.chord.degrees if d.number in (3, 5)), 0]
        low = 28 + (span.chord.lowest.pitch_class - 28) % 12
        line[beat] = low + degrees[int(beat - span.start) % len(degrees)]
    return line


def chance_bass(arranged, seed):
    rng = random.Random(seed)
    return {
        beat: rng.choice([p for p in range(28, 56) if p % 12 in span.scale.pitch_classes])
        for beat, span in quarters(arranged)
    }


def led_chords(arranged, seed):
    return [hit.pitches for hit in hits(comping.play(arranged, None, random.Random(seed)))]


def changes(arranged):
    return [span for span in arranged.spans if span.chord is not None and span.new]


def naive_chords(arranged, _):
    """Root, third, fifth and seventh above C3, whatever comes next."""
    for span in changes(arranged):
        root = 48 + span.chord.root.pitch_class
        yield tuple(sorted({root + d.semitones % 12 for d in span.chord.degrees[:4]}))


def chance_chords(arranged, seed):
    rng = random.Random(seed)
    for span in changes(arranged):
        every = voicings(span.chord, scale=span.scale)
        yield rng.choice([one.pitches for one in every if is_held(one.pitches)])


def judged_bass(arranged, line):
    """Shares: of new chords that are led to, of bar lines over which a pitch comes again, of bars
    of four beats that have been there before."""
    firsts = [
        span.start
        for span in arranged.spans
        if span.new and {span.start, span.start - 1} <= {*line}
    ]
    led = [line[at] - line[at - 1] in LEADS for at in firsts]
    starts = [s.bar_start for s in arranged.spans if {s.bar_start, s.bar_start - 1} <= {*line}]
    again = [line[at] == line[at - 1] for at in starts]
    bars = Counter(
        tuple(line.get(start + beat) for beat in range(4))
        for start in {span.bar_start for span in arranged.spans}
    )
    return sum(led) / len(led), sum(again) / len(again), 1 - len(bars) / bars.total()


def moved(chords):
    """Semitones that all voices move, in all, from chord to other chord."""
    return sum(movement(a, b) for a, b in pairwise(chords))


PLAYERS = {
    "chartkit": (walked, led_chords),
    "naive": (naive_bass, naive_chords),
    "chance": (chance_bass, chance_chords),
}


def test_better_than_chance_and_than_a_naive_band(capsys):
    table = {}
    for name, (line_of, chords_of) in PLAYERS.items():
        rows = []
        for chart in CHARTS.values():
            arranged = arrange(Take(chart, times=2))
            for seed in range(SEEDS):
                figures = judged_bass(arranged, line_of(arranged, seed))
                rows.append((*figures, moved([*chords_of(arranged, seed)])))
        led, again, bars, voices = (sum(column) / len(rows) for column in zip(*rows, strict=True))
        table[name] = led, again, bars, voices
    with capsys.disabled():
        print(f"\n{len(CHARTS)} charts in swing, twice round, {SEEDS} seeds")  # noqa: T201 (to read)
        print("           leads  over bars  bars again  voices move in all")  # noqa: T201
        for name, (led, again, bars, voices) in table.items():
            print(f"{name:9s} {led:6.0%} {again:10.1%} {bars:11.0%} {voices:14.0f}")  # noqa: T201
    ours = table.pop("chartkit")
    for led, again, _, voices in table.values():
        assert ours[0] > led + 0.3
        assert ours[1] < again
        assert ours[3] < 0.6 * voices
    assert ours[2] < table["naive"][2] / 2
