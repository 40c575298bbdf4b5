"""What a chord offers to a line that goes step by step: its scale, and what its beats may carry.

Conventions: beats carry the root, third, fifth and seventh of the chord; with a major seventh the
sixth instead of it, because no tone of the scale lies between it and the root: 1 3 5 6. A triad has
the flat seventh or the sixth of its scale besides. Where two scale tones lie between the root and
what stands for the third, as in suspended and altered chords, the ninth may be on a beat too.

A chromatic step is usual between flat seventh and root in a scale that has them so, in others
between fifth and sixth. [common practice, no source]
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from typing import Final

from chartkit.exercise.spelling import between
from chartkit.exercise.tones import ChordTone, tone_at
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName
from chartkit.theory.scale import Scale

USUAL_CHROMATIC: Final = 1
OTHER_CHROMATIC: Final = 2
"""Points of an added chromatic step where it is usual, and elsewhere."""

NINTH: Final = 1
"""Points of a ninth on a beat."""

_FIFTH, _SIXTH, _FLAT_SEVENTH, _MAJOR_SEVENTH = 7, 9, 10, 11


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A chord's scale by pitch class, and the points of each tone that may be on a beat.

    There is one for each chord and scale (`ground_of`), so it is compared by identity.
    """

    root: NoteName
    scale: Mapping[int, Degree]
    beat: Mapping[int, int]

    def tone(self, midi: int) -> ChordTone:
        """Return a tone of the scale."""
        return tone_at(self.root, self.scale[midi % 12], midi)

    def chromatic(self, midi: int, *, rising: bool) -> ChordTone:
        """Return a step between two tones of the scale, on the way up or down."""
        low, high = self.tone(midi - 1), self.tone(midi + 1)
        return ChordTone(between(low.pitch, high.pitch, rising=rising), "passing")

    def beyond(self, midi: int, way: int) -> int:
        """Return the next tone of the scale, up (1) or down (-1)."""
        return next(m for m in count(midi + way, way) if m % 12 in self.scale)

    def chromatic_points(self, midi: int) -> int:
        """Return what a chromatic step costs."""
        above = {(pitch_class - self.root.pitch_class) % 12 for pitch_class in self.scale}
        usual = _MAJOR_SEVENTH if _FLAT_SEVENTH in above else _SIXTH - 1
        here = (midi - self.root.pitch_class) % 12
        return USUAL_CHROMATIC if here == usual else OTHER_CHROMATIC


@lru_cache(maxsize=1024)
def ground_of(chord: Chord, scale: Scale | None) -> Ground:
    """Return what a chord offers; where scale and symbol spell a tone differently, the symbol's."""
    steps = scale.degrees if scale else chord.degrees
    spelled = {degree.semitones % 12: degree for degree in (*steps, *chord.essential)}
    root = chord.root.pitch_class
    points = _beat_points(chord, sorted(spelled))
    return Ground(
        chord.root,
        {(root + above) % 12: degree for above, degree in spelled.items()},
        {(root + above) % 12: more for above, more in points.items()},
    )


def _beat_points(chord: Chord, scale: Sequence[int]) -> dict[int, int]:
    """Return the tones that may be on a beat and their points, in semitones above the root.

    Parameters
    ----------
    chord : Chord
    scale : sequence of int
        Semitones above the root, rising.
    """
    tones = {degree.semitones % 12 for degree in chord.essential}
    if {_FIFTH, _MAJOR_SEVENTH} <= tones and _SIXTH in scale:
        tones = tones - {_MAJOR_SEVENTH} | {_SIXTH}
    if chord.seventh is None:
        tones |= {next((step for step in (_FLAT_SEVENTH, _SIXTH) if step in scale), 0)}
    points = dict.fromkeys(tones, 0)
    third = chord.third.semitones if chord.third else 0
    between_them = [step for step in scale if 0 < step < third]
    if len(between_them) > 1:
        points.setdefault(between_them[0], NINTH)
    return points
