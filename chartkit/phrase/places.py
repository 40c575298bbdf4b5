"""Where in a tune a phrase fits: every place where its chord or its cadence stands.

Conventions: time is in quarter notes on the clock of the tune's spans. A phrase fits where the tune
has chords of the same kinds, their roots as far apart, and changes them when the phrase does; only
the first chord may have begun before and the last may go on. Played in halved or in doubled note
values it may fit where it would not as written. It begins on a bar line or in the middle of a bar
of even beats. At the seam a place does not come round: the line of one chorus has an end.

How well it fits is counted in points, none being the best, each for a reason that is told (the
points themselves are ours; no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from chartkit.errors import CannotPlay
from chartkit.form import BarId
from chartkit.harmony import Span
from chartkit.phrase.chart import NO_CHORDS
from chartkit.phrase.degrees import is_chord_tone, step_of
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.pitches import chord_at, degree_name
from chartkit.phrase.values import LETTERS_OF, heard
from chartkit.study.standing import interval
from chartkit.theory.chord import Chord
from chartkit.theory.chord_scale import kind, same_function
from chartkit.theory.pitch import NoteName

AS_WRITTEN: Final = Fraction(1)
STRETCHES: Final = {
    AS_WRITTEN: "",
    Fraction(1, 2): "in halved values",
    Fraction(2): "in doubled values",
}
"""How its values may be changed, and what that is called."""

OTHER_VALUES: Final = 8
MID_BAR: Final = 4
OTHER_TENSIONS: Final = 1
OUTSIDE_ON_BEAT: Final = 3
CUT_SHORT: Final = 2
PERFECT: Final = 16
"""Points for a misfit: of the whole phrase, of its start, of a chord, of a note, of its end; and
what a place without any is worth."""


@dataclass(frozen=True, slots=True)
class PlaceInTune:
    """Where a phrase fits.

    Parameters
    ----------
    start : Fraction
        The beat of the tune that the phrase's first full bar begins on.
    end : Fraction
        Where its last note ends.
    bar : BarId
        The bar that it begins in.
    beat : Fraction
        How far into that bar, in quarter notes.
    chords : tuple of PhraseChord
        The tune's chords under it, on the clock of the tune.
    stretch : Fraction
        What its note values are multiplied by: 1, 1/2 or 2.
    misfit : int
        Points; 0 is a perfect fit.
    reasons : tuple of str
        What each point is for.
    """

    start: Fraction
    end: Fraction
    bar: BarId
    beat: Fraction
    chords: tuple[PhraseChord, ...]
    stretch: Fraction
    misfit: int
    reasons: tuple[str, ...]


def places(phrase: Phrase, spans: Sequence[Span]) -> tuple[PlaceInTune, ...]:
    """Return every place where a phrase fits, the best first, then in order of time.

    Raises
    ------
    CannotPlay
        Nothing is known of the chords that the phrase is played over.
    """
    wanted = wanted_chords(phrase)
    found = (
        _place(phrase, spans, start, stretch)
        for stretch in STRETCHES
        if _can_stretch(phrase, stretch)
        for start in _starts(phrase, wanted, spans, stretch)
    )
    return tuple(sorted(found, key=lambda one: (one.misfit, one.start, one.stretch)))


def wanted_chords(phrase: Phrase) -> tuple[PhraseChord, ...]:
    """Return the chords that a phrase needs, equal neighbours joined, up to its last note.

    Raises
    ------
    CannotPlay
        It has none, or only N.C.
    """
    end = _sound_end(phrase)
    joined: list[PhraseChord] = []
    for one in phrase.chords:
        if one.start >= end:
            break
        length = min(one.end, end) - one.start
        if joined and _goes_on(joined[-1].chord, one.chord):
            last = joined[-1]
            joined[-1] = PhraseChord(last.start, last.length + length, last.chord)
        else:
            joined.append(PhraseChord(one.start, length, one.chord))
    if not any(one.chord for one in joined):
        raise CannotPlay(NO_CHORDS)
    return tuple(joined)


def _goes_on(one: Chord | None, other: Chord | None) -> bool:
    return bool(one and other and same_function(one, other))


def _sound_end(phrase: Phrase) -> Fraction:
    return max((one.end for one in heard(phrase.notes) if one.pitch), default=phrase.length)


def _can_stretch(phrase: Phrase, stretch: Fraction) -> bool:
    """Tell whether every note and rest still has a note value."""
    return all(note.length * stretch in LETTERS_OF for note in phrase.notes)


def _starts(
    phrase: Phrase, wanted: Sequence[PhraseChord], spans: Sequence[Span], stretch: Fraction
) -> Iterator[Fraction]:
    """Yield every beat that a phrase can begin on, its chords being the tune's."""
    end = spans[-1].start + spans[-1].length
    for start in _beginnings(phrase, spans):
        under = _under(spans, start, start + wanted[-1].end * stretch)
        if start + wanted[-1].end * stretch <= end and _agree(wanted, under, start, stretch):
            yield start


def _beginnings(phrase: Phrase, spans: Sequence[Span]) -> Iterator[Fraction]:
    """Yield the bar lines of the phrase's meter, and the middles of its even bars."""
    for first in dict.fromkeys((span.bar_start, span.meter) for span in spans):
        bar_start, meter = first
        if meter != phrase.meter or bar_start < 0:
            continue
        yield bar_start
        if meter.beats % 2 == 0:
            yield bar_start + meter.length / 2


def _under(spans: Sequence[Span], start: Fraction, end: Fraction) -> tuple[PhraseChord, ...]:
    """Return the tune's chords between two beats, each with the length that lies there."""
    return tuple(
        PhraseChord(
            max(span.start, start),
            min(span.start + span.length, end) - max(span.start, start),
            span.chord,
        )
        for span in spans
        if span.start < end and span.start + span.length > start
    )


def _agree(
    wanted: Sequence[PhraseChord],
    under: Sequence[PhraseChord],
    start: Fraction,
    stretch: Fraction,
) -> bool:
    """Tell whether every chord wanted stands where it is wanted, and on the same distance."""
    root: tuple[Chord, Chord] | None = None
    for one in wanted:
        first, last = start + one.start * stretch, start + one.end * stretch
        here = [chord for chord in under if chord.start < last and chord.end > first]
        if not here or any((one.chord is None) != (other.chord is None) for other in here):
            return False
        for other in here:
            if not (one.chord and other.chord):
                continue
            if kind(one.chord) != kind(other.chord):
                return False
            root = root or (one.chord, other.chord)
            if interval(root[0], one.chord) != interval(root[1], other.chord):
                return False
    return True


def _place(
    phrase: Phrase, spans: Sequence[Span], start: Fraction, stretch: Fraction
) -> PlaceInTune:
    end = start + _sound_end(phrase) * stretch
    under = _under(spans, start, end)
    first = next(span for span in spans if span.start <= start < span.start + span.length)
    misfits = tuple(_misfits(phrase, spans, under, start, stretch))
    return PlaceInTune(
        start,
        end,
        first.bar,
        start - first.bar_start,
        under,
        stretch,
        sum(points for points, _ in misfits),
        tuple(dict.fromkeys(reason for _, reason in misfits)),
    )


def _misfits(
    phrase: Phrase,
    spans: Sequence[Span],
    under: Sequence[PhraseChord],
    start: Fraction,
    stretch: Fraction,
) -> Iterator[tuple[int, str]]:
    """Yield the points against a place and what each is for."""
    if stretch != AS_WRITTEN:
        yield OTHER_VALUES, STRETCHES[stretch]
    if all(span.bar_start != start for span in spans):
        yield MID_BAR, "from the middle of the bar"
    for one in wanted_chords(phrase):
        here = chord_at(tuple(under), start + one.start * stretch)
        if one.chord and here and here.chord and one.chord.degrees != here.chord.degrees:
            yield OTHER_TENSIONS, "other tensions"
    for name in _outside(phrase, spans, start, stretch):
        yield OUTSIDE_ON_BEAT, f"{name} is outside on the beat"
    if start + phrase.length * stretch > spans[-1].start + spans[-1].length:
        yield CUT_SHORT, "the tune ends before its last rest"


def _outside(
    phrase: Phrase, spans: Sequence[Span], start: Fraction, stretch: Fraction
) -> Iterator[NoteName]:
    """Yield the notes on beats that are neither in the tune's chord nor in its scale."""
    for note in heard(phrase.notes):
        beat = start + note.start * stretch
        over = chord_at(phrase.chords, note.start)
        here = next((s for s in spans if s.start <= beat < s.start + s.length), None)
        on_beat = (note.start * stretch).denominator == 1 and note.start >= 0
        if not (note.pitch and on_beat and here and here.chord and over and over.chord):
            continue
        name = degree_name(here.chord, step_of(over.chord.root, note.pitch.name))
        inside = here.scale and name.pitch_class in here.scale.pitch_classes
        if not inside and not is_chord_tone(here.chord, name):
            yield name


def without_overlap(found: Sequence[PlaceInTune], phrase: Phrase) -> tuple[PlaceInTune, ...]:
    """Return the places that are best played one after the other, in order of time.

    Each place is worth the more the better it fits, and the worth of all is made as great as can
    be: more places are better than fewer, but one as written is better than one in other values. A
    pick-up needs its room, which the place before may not reach into.
    """
    best: list[tuple[int, tuple[PlaceInTune, ...]]] = [(0, ())]
    for one in sorted(found, key=lambda place: (place.end, place.misfit)):
        begins = one.start - phrase.pickup * one.stretch
        worth, before = max(
            (way for way in best if not way[1] or way[1][-1].end <= begins), key=_rank
        )
        best.append((worth + max(1, PERFECT - one.misfit), (*before, one)))
    return max(best, key=_rank)[1]


def _rank(way: tuple[int, tuple[PlaceInTune, ...]]) -> tuple[int, int]:
    """Return what a choice of places is compared by: its worth, then how few they are."""
    worth, chosen = way
    return worth, -len(chosen)
