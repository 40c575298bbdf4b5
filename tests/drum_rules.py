"""What a drummer owes, read off the notes alone.

Import it as ``drum_rules``; ``check`` and ``check_hat`` are the whole of it. Keys: General MIDI 1,
percussion key map. The rest: common practice, no source.
"""

from fractions import Fraction
from itertools import groupby

from chartkit.band import kit

KICK, STICK, SNARE, SLAP, CLOSED_HAT, HAT, CRASH, RIDE = 36, 37, 38, 39, 42, 44, 49, 51
TOMS = {43, 47, 50}
HALF = Fraction(1, 2)


def on(notes, *keys):
    return [note for note in notes if note.pitch in keys]


def bars_of(arrangement):
    """Each bar as (start, end, its spans), without the held end."""
    for start, group in groupby(arrangement.spans, key=lambda span: span.bar_start):
        spans = [*group]
        yield start, spans[-1].start + spans[-1].length, spans


def silences(arrangement):
    """Stretches of time in which nothing may be struck: breaks, and stops after their hit."""
    spans = [*arrangement.lead_in, *arrangement.spans, *arrangement.tail]
    around = spans[0] if arrangement.loop else None
    for span, after in zip(spans, [*spans[1:], around], strict=True):
        if span.chord is None:
            early = HALF if after and after.pushed else 0
            yield span.start, span.start + span.length - early
    for one in arrangement.passes:
        for accent in one.accents:
            if accent.kind == "stop":
                yield accent.start + HALF, accent.start + accent.length


def hits(arrangement):
    """Where the band strikes together; played from nothing, a first push is on its beat."""
    return [accent.start for one in arrangement.passes for accent in one.accents]


def check(arrangement, notes):
    """All that holds for any chart."""
    quiet = [*silences(arrangement)]
    last = [*arrangement.spans, *arrangement.tail][-1]
    length = last.start + last.length
    for note in notes:
        assert note.pitch in kit.KEYS.values()
        assert 1 <= note.velocity <= 127
        assert note.length > 0
        assert note.start + note.length <= length
        assert not any(start <= note.start < end for start, end in quiet), note
    for at in hits(arrangement):
        struck = on(notes, KICK, STICK, SNARE, SLAP, RIDE, CRASH)
        assert len([note for note in struck if note.start == at]) >= 2, f"no hit at {at}"


HATS = {
    "swing": (HAT, lambda beats: range(1, beats, 2)),
    "two-beat swing": (HAT, lambda beats: range(1, beats, 2)),
    "half-time swing": (HAT, lambda beats: range(1, beats, 2)),
    "double-time swing": (HAT, lambda beats: range(1, beats, 2)),
    "ballad": (HAT, lambda beats: range(1, beats, 2)),
    "straight ballad": (HAT, lambda beats: range(1, beats, 2)),
    "straight eighths": (HAT, lambda beats: range(1, beats, 2)),
    "12/8 blues": (HAT, lambda beats: range(1, beats, 2)),
    "samba": (HAT, lambda beats: range(1, beats, 2)),
    "jazz waltz": (HAT, lambda _: (1,)),
    "5/4 swing": (HAT, lambda _: (1, 4)),
    "6/4 swing": (HAT, lambda _: (1, 4)),
    "bossa nova": (CLOSED_HAT, lambda beats: [HALF * n for n in range(2 * beats)]),
}
"""Which hat each feel has, and on which beats of the bar, from 0: by the foot on two and four as a
rule, on the second beat of each group where there are groups; in eighths by the hand."""

PULSES = {"12/8 blues": 3 * HALF, "half-time swing": 2, "double-time swing": HALF}
"""The beat of the feels that do not count in quarters."""


def check_hat(arrangement, notes):
    """The hat on its beats of every bar and nowhere else, but for silence."""
    quiet = [*silences(arrangement)]
    expected = {
        (HATS[spans[0].feel][0], at)
        for start, end, spans in bars_of(arrangement)
        for at in hat_beats(spans[0].feel, start, end)
        if not any(first <= at < until for first, until in quiet)
    }
    stops = {a.start for one in arrangement.passes for a in one.accents if a.kind == "stop"}
    asked = {key for key, _ in expected}
    found = {(note.pitch, note.start) for note in on(notes, *asked) if note.start >= 0}
    end = arrangement.passes[-1].end - HALF * any(span.pushed for span in arrangement.tail)
    apart = {one for one in found ^ expected if one[1] not in stops and one[1] < end}
    assert not apart


def hat_beats(feel, start, end):
    pulse = PULSES.get(feel, 1)
    return [start + beat * pulse for beat in HATS[feel][1](int((end - start) / pulse))]
