"""Chord tones on the beat, each led into by notes off it.

Conventions: the targets are chord tones, travelled through as `chartkit.exercise.travel` has it,
on beats far enough apart for the notes that lead to them, and on the first beat of every chord. A
target lasts until those of the next one begin, each a note value long. An approach is one note, a
semitone below its target or the step above it in the target's scale; an enclosure is both, the one
above first. Where a chord is too short for an enclosure, only the note below leads out of it. The
last notes of the form lead to its first target; before a rest there are none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import Slot, on_beats, quarters, resting
from chartkit.exercise.spelling import semitone_below, step_above
from chartkit.exercise.terms import Terms
from chartkit.exercise.tone_sets import first_role, tone_sets
from chartkit.exercise.tones import ChordTone, bar_words, tones_within, two_at_least
from chartkit.exercise.travel import travel
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.line_options import Side
from chartkit.theory.pitch import Degree, Pitch

_ENCLOSED: Final[tuple[Side, ...]] = ("above", "below")


@dataclass(frozen=True, slots=True)
class _Target:
    slot: Slot
    tone: ChordTone


def approach(spans: Sequence[Span], terms: Terms) -> Line:
    """Return targets with one approach note each; options `tones` and `side`.

    Raises
    ------
    CannotPlay
        A chord has fewer than two targets in the range, or lasts too short a time for a note that
        leads out of it; the note value does not fill a span.
    """
    return _led(spans, terms, (terms.options.side or "below",))


def enclosure(spans: Sequence[Span], terms: Terms) -> Line:
    """Return enclosed targets; option `tones`. Raises what `approach` raises."""
    return _led(spans, terms, _ENCLOSED)


def _led(spans: Sequence[Span], terms: Terms, sides: tuple[Side, ...]) -> Line:
    sets = tone_sets(spans, terms.options.tones or "sevenths")
    slots = on_beats(spans, terms.value, len(sides) + 1)
    choices = (_choice(slot, sets[slot.span.start], sides, terms) for slot in slots)
    tones = travel(choices, terms.start, upward=terms.upward, role=first_role(sets))
    targets = [_Target(slot, tone) for slot, tone in zip(slots, tones, strict=True)]
    end = spans[-1].start + spans[-1].length
    notes = (
        note
        for target, after in zip(targets, _following(targets, end), strict=True)
        for note in _played(target, after, sides, terms.value)
    )
    return resting(notes, spans)


def _choice(
    slot: Slot, degrees: tuple[Degree, ...], sides: tuple[Side, ...], terms: Terms
) -> tuple[ChordTone, ...]:
    """Return the targets whose leading notes lie in the range too."""
    tones = tones_within(slot.chord.root, degrees, terms.low, terms.high)
    reached = (
        tone
        for tone in tones
        if all(terms.low <= _lead(slot, tone, side).midi <= terms.high for side in sides)
    )
    return two_at_least(tuple(reached), slot.span, slot.chord, terms)


def _following(targets: Sequence[_Target], end: Fraction) -> list[_Target | None]:
    """Return for each target the one that comes at its end, round the seam; None before a rest."""
    at = {target.slot.start % end: target for target in targets if target.slot.start >= 0}
    return [at.get(target.slot.end % end) for target in targets]


def _played(
    target: _Target, after: _Target | None, sides: tuple[Side, ...], value: Fraction
) -> Iterator[LineNote]:
    """Yield a target and the notes that lead to the next one."""
    if after is None:
        yield target.slot.note(target.tone)
        return
    leads = sides[-_room(target.slot, value) :]
    start = target.slot.end - len(leads) * value
    yield LineNote(
        target.slot.start, start - target.slot.start, target.tone.pitch, target.tone.role
    )
    for number, side in enumerate(leads):
        lead = _lead(after.slot, after.tone, side)
        yield LineNote(start + number * value, value, lead, "approach")


def _room(slot: Slot, value: Fraction) -> int:
    """Return how many notes a target leaves time for."""
    room = int(slot.length / value) - 1
    if not room:
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} lasts {quarters(slot.length)}, too short for a "
            f"target and a note of {quarters(value)} that leads on; choose shorter notes"
        )
    return room


def _lead(slot: Slot, tone: ChordTone, side: Side) -> Pitch:
    scale = slot.span.scale
    if side == "above" and scale:
        return step_above(scale, tone.pitch)
    return semitone_below(tone.pitch)
