"""The scale run: stepwise through the chord scales, a chord tone on every beat.

Conventions: a step is a semitone, a tone, or an augmented second of the scale, and passes over no
tone of the scale that it goes into. Where the scale would put one of its other tones on a beat, a
chromatic step is added between two of them that lie a whole tone apart, and gone through in one
direction: between flat seventh and root in a scale that has them so, in others between fifth and
sixth, and elsewhere only where that does not serve. Notes as long as a beat or longer have a chord
tone on every other one.

What a beat may carry, and where a chromatic step is usual, stands in `chartkit.exercise.ground`.

Of all such lines the one with the fewest points is taken: it turns as near to the rim of the range
as it can, and adds few chromatic steps. [common practice, no source]
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import Final, NamedTuple

from chartkit.errors import CannotPlay
from chartkit.exercise.ground import Ground, ground_of
from chartkit.exercise.slots import Slot, even, on_beats, resting
from chartkit.exercise.stepwise import Stuck, cheapest_way
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ChordTone, bar_words, note_words, tones_within
from chartkit.exercise.travel import first_tone
from chartkit.harmony import Span
from chartkit.line import Line

TONE: Final = 2
WIDEST: Final = 3
"""Semitones of a whole tone and of an augmented second."""

TURN: Final = 8
"""Points of a turn, and one more for each semitone that was left in the range."""


class _State(NamedTuple):
    """A note of the run: how it was reached, and whether it is a chromatic step."""

    midi: int
    upward: bool
    passing: bool = False


def scale_run(spans: Sequence[Span], terms: Terms) -> Line:
    """Return the scale run through some changes.

    Raises
    ------
    CannotPlay
        The note value does not fill a span, or a chord cannot be reached by step in the range.
    """
    slots = even(spans, terms.value)
    beats = {slot.start for slot in on_beats(spans, terms.value, 2)}
    grounds = [ground_of(slot.chord, slot.span.scale) for slot in slots]

    @cache
    def steps(ground: Ground, last: _State, *, on_beat: bool) -> list[tuple[_State, int]]:
        found = _onward(ground, last, terms)
        return list(_chord_tones(ground, found) if on_beat else found)

    def onward(number: int, last: _State) -> list[tuple[_State, int]]:
        return steps(grounds[number], last, on_beat=slots[number].start in beats)

    first = _State(_first(grounds[0], slots[0], terms), terms.upward)
    try:
        states = cheapest_way([(first, 0)], len(slots), onward)
    except Stuck as stuck:
        slot = slots[stuck.layer]
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} is not reached by step with a chord tone on every "
            f"beat from {note_words(terms.low)} to {note_words(terms.high)}; widen the range or "
            "choose another note value"
        ) from None
    tones = map(_tone, grounds, states)
    return resting((slot.note(tone) for slot, tone in zip(slots, tones, strict=True)), spans)


def _tone(ground: Ground, state: _State) -> ChordTone:
    if state.passing:
        return ground.chromatic(state.midi, rising=state.upward)
    return ground.tone(state.midi)


def _chord_tones(
    ground: Ground, found: Iterable[tuple[_State, int]]
) -> Iterator[tuple[_State, int]]:
    """Yield the notes that may be on a beat, with what that costs."""
    for state, points in found:
        pitch_class = state.midi % 12
        if not state.passing and pitch_class in ground.beat:
            yield state, points + ground.beat[pitch_class]


def _onward(ground: Ground, last: _State, terms: Terms) -> Iterator[tuple[_State, int]]:
    """Yield the notes that may follow a note, straight on first, and what each costs."""
    for upward in (last.upward, not last.upward):
        turns = upward != last.upward
        if turns and last.passing:
            return
        points = TURN + _left(last, terms) if turns else 0
        for state, more in _steps(ground, last, upward=upward):
            if terms.low <= state.midi <= terms.high:
                yield state, points + more


def _steps(ground: Ground, last: _State, *, upward: bool) -> Iterator[tuple[_State, int]]:
    """Yield the scale's next tone and a chromatic step towards it, where they are allowed."""
    way = 1 if upward else -1
    goal = ground.beyond(last.midi, way)
    size = abs(goal - last.midi)
    if size == 1 or (size <= WIDEST and not last.passing):
        yield _State(goal, upward), 0
    if size == TONE and last.midi % 12 in ground.scale and not last.passing:
        added = last.midi + way
        yield _State(added, upward, passing=True), ground.chromatic_points(added)


def _left(last: _State, terms: Terms) -> int:
    """Return the semitones that the range still had in the direction of travel."""
    return terms.high - last.midi if last.upward else last.midi - terms.low


def _first(ground: Ground, slot: Slot, terms: Terms) -> int:
    tones = tones_within(
        slot.chord.root,
        tuple(ground.scale[pitch_class] for pitch_class in ground.beat),
        terms.low,
        terms.high,
    )
    if not tones:
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} has no chord tone "
            f"from {note_words(terms.low)} to {note_words(terms.high)}; widen the range"
        )
    return first_tone(tones, terms.start, upward=terms.upward).midi
