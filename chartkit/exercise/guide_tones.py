"""Guide tones: one note a chord, its third or its seventh, moving as little as it can.

Conventions: what stands for the third serves for it, and a sixth for the seventh; a triad has its
third and its root. The line begins on the tone asked for, nearest to the start or to the middle of
the range; then it takes whichever of the two is nearest to its last note, of two equally near the
lower. A note lasts as long as its chord in the bar. Over N.C. the line rests.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from chartkit.errors import CannotPlay
from chartkit.exercise.slots import Slot, one_each, resting
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import ChordTone, bar_words, note_words, tones_within
from chartkit.exercise.travel import nearest
from chartkit.harmony import Span
from chartkit.line import Line, LineNote
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree


def guide_tones(spans: Sequence[Span], terms: Terms) -> Line:
    """Return the guide-tone line through some changes; option `first` (third or seventh).

    Raises
    ------
    CannotPlay
        A chord has neither of its guide tones in the range.
    """
    return resting(_notes(one_each(spans), terms), spans)


def _notes(slots: Sequence[Slot], terms: Terms) -> Iterator[LineNote]:
    last: int | None = None
    for slot in slots:
        pair = _pair(slot.chord)
        if last is None:
            wanted = pair[1:] if terms.options.first == "seventh" else pair[:1]
            start = (terms.low + terms.high) // 2 if terms.start is None else terms.start
            tone = nearest(_tones(slot, wanted, terms), start)
        else:
            tone = nearest(_tones(slot, pair, terms), last)
        yield slot.note(tone)
        last = tone.midi


def _pair(chord: Chord) -> tuple[Degree, Degree]:
    """Return what serves for third and seventh; a chord without a third gives its fifth for it."""
    return chord.third or chord.fifth or Degree(1), chord.seventh or Degree(1)


def _tones(slot: Slot, degrees: tuple[Degree, ...], terms: Terms) -> tuple[ChordTone, ...]:
    tones = tones_within(slot.chord.root, degrees, terms.low, terms.high)
    if not tones:
        raise CannotPlay(
            f"{bar_words(slot.span, slot.chord)} has no guide tone "
            f"from {note_words(terms.low)} to {note_words(terms.high)}; widen the range"
        )
    return tones
