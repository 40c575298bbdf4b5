"""The scale run: stepwise through the chord scales, a chord tone on every beat.

Conventions: a step is a semitone, a tone, or an augmented second of the scale, and passes over no
tone of the scale that it goes into. Where the scale would put one of its other tones on a beat, a
chromatic step is added between two of them that lie a whole tone apart, and gone through in one
direction: between flat seventh and root in a scale that has them so, in others between fifth and
sixth, and elsewhere only where that does not serve. Notes as long as a beat or longer have a chord
tone on every other one.

Beats carry the root, third, fifth and seventh of the chord; with a major seventh the sixth instead
of it, because no tone of the scale lies between it and the root: 1 3 5 6. A triad has the flat
seventh or the sixth of its scale besides. Where two scale tones lie between the root and what
stands for the third, as in suspended and altered chords, the ninth may be on a beat too. [common
practice, no source]

Of all such lines the one with the fewest points is taken: it turns as near to the rim of the range
as it can, and adds few chromatic steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import count
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import Slot, even, on_beats, resting
from chartkit.exercise.spelling import between
from chartkit.exercise.stepwise import Stuck, cheapest_way
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ChordTone, bar_words, note_words, tone_at, tones_within
from chartkit.exercise.travel import first_tone
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, Pitch
from chartkit.theory.scale import Scale

TONE: Final = 2
WIDEST: Final = 3
"""Semitones of a whole tone and of an augmented second."""

_FIFTH, _SIXTH, _FLAT_SEVENTH, _MAJOR_SEVENTH = 7, 9, 10, 11

TURN: Final = 8
"""Points of a turn, and one more for each semitone that was left in the range."""

USUAL_CHROMATIC: Final = 1
OTHER_CHROMATIC: Final = 2
"""Points of an added chromatic step where it is usual, and elsewhere."""

NINTH: Final = 1
"""Points of a ninth on a beat."""


@dataclass(frozen=True, slots=True)
class _State:
    """A note of the run: how it was reached, and whether it is a chromatic step."""

    tone: ChordTone
    upward: bool
    passing: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """What a chord offers: its scale by pitch class, and the points of a tone on a beat.

    There is one for each chord and scale (`_ground`), so it is compared by identity.
    """

    root: NoteName
    scale: Mapping[int, Degree]
    beat: Mapping[int, int]

    def tone(self, midi: int) -> ChordTone:
        return tone_at(self.root, self.scale[midi % 12], midi)

    def beyond(self, midi: int, way: int) -> int:
        """Return the next tone of the scale, up (1) or down (-1)."""
        return next(m for m in count(midi + way, way) if m % 12 in self.scale)


def scale_run(spans: Sequence[Span], terms: Terms) -> Line:
    """Return the scale run through some changes.

    Raises
    ------
    CannotPlay
        The note value does not fill a span, or a chord cannot be reached by step in the range.
    """
    slots = even(spans, terms.value)
    beats = {slot.start for slot in on_beats(spans, terms.value, 2)}
    grounds = [_ground(slot.chord, slot.span.scale) for slot in slots]

    @cache
    def steps(ground: _Ground, last: _State, *, on_beat: bool) -> list[tuple[_State, int]]:
        found = _onward(ground, last, terms)
        return list(_chord_tones(ground, found) if on_beat else found)

    def onward(number: int, last: _State) -> list[tuple[_State, int]]:
        return steps(grounds[number], last, on_beat=slots[number].start in beats)

    first = _first(grounds[0], slots[0], terms)
    try:
        states = cheapest_way([(_State(first, terms.upward), 0)], len(slots), onward)
    except Stuck as stuck:
        slot = slots[stuck.layer]
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} is not reached by step with a chord tone on every "
            f"beat from {note_words(terms.low)} to {note_words(terms.high)}; widen the range or "
            "choose another note value"
        ) from None
    return resting((s.note(state.tone) for s, state in zip(slots, states, strict=True)), spans)


def _chord_tones(
    ground: _Ground, found: Iterable[tuple[_State, int]]
) -> Iterator[tuple[_State, int]]:
    """Yield the notes that may be on a beat, with what that costs."""
    for state, points in found:
        pitch_class = state.tone.midi % 12
        if not state.passing and pitch_class in ground.beat:
            yield state, points + ground.beat[pitch_class]


def _onward(ground: _Ground, last: _State, terms: Terms) -> Iterator[tuple[_State, int]]:
    """Yield the notes that may follow a note, straight on first, and what each costs."""
    for upward in (last.upward, not last.upward):
        turns = upward != last.upward
        if turns and last.passing:
            return
        points = TURN + _left(last, terms) if turns else 0
        for state, more in _steps(ground, last, upward=upward):
            if terms.low <= state.tone.midi <= terms.high:
                yield state, points + more


def _steps(ground: _Ground, last: _State, *, upward: bool) -> Iterator[tuple[_State, int]]:
    """Yield the scale's next tone and a chromatic step towards it, where they are allowed."""
    way = 1 if upward else -1
    midi = last.tone.midi
    goal = ground.beyond(midi, way)
    size = abs(goal - midi)
    if size == 1 or (size <= WIDEST and not last.passing):
        yield _State(ground.tone(goal), upward), 0
    if size == TONE and midi % 12 in ground.scale and not last.passing:
        low, high = sorted((ground.tone(midi).pitch, ground.tone(goal).pitch), key=_midi)
        added = ChordTone(between(low, high, rising=upward), "passing")
        yield _State(added, upward, passing=True), _chromatic_points(ground, added)


def _midi(pitch: Pitch) -> int:
    return pitch.midi


def _left(last: _State, terms: Terms) -> int:
    """Return the semitones that the range still had in the direction of travel."""
    return terms.high - last.tone.midi if last.upward else last.tone.midi - terms.low


def _chromatic_points(ground: _Ground, added: ChordTone) -> int:
    above = {(pitch_class - ground.root.pitch_class) % 12 for pitch_class in ground.scale}
    usual = _MAJOR_SEVENTH if _FLAT_SEVENTH in above else _SIXTH - 1
    here = (added.midi - ground.root.pitch_class) % 12
    return USUAL_CHROMATIC if here == usual else OTHER_CHROMATIC


def _first(ground: _Ground, slot: Slot, terms: Terms) -> ChordTone:
    tones = tones_within(
        slot.chord.root,
        [degree for pitch_class, degree in ground.scale.items() if pitch_class in ground.beat],
        terms.low,
        terms.high,
    )
    if not tones:
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} has no chord tone "
            f"from {note_words(terms.low)} to {note_words(terms.high)}; widen the range"
        )
    return first_tone(tones, terms.start, upward=terms.upward)


@lru_cache(maxsize=1024)
def _ground(chord: Chord, scale: Scale | None) -> _Ground:
    """Return what a chord offers; where scale and symbol spell a tone differently, the symbol's."""
    steps = scale.degrees if scale else chord.degrees
    spelled = {degree.semitones % 12: degree for degree in (*steps, *chord.essential)}
    root = chord.root.pitch_class
    points = _beat_points(chord, sorted(spelled))
    return _Ground(
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
