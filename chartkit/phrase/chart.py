"""The chords of a phrase as a little chart, so that the band can play them.

Conventions: a bar of the phrase is a bar of the chart, the pick-up left out; bars count from 1. A
loop needs room for the pick-up before it comes round: `looped` adds bars of the last chord.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Final

from chartkit.analysis import estimate_key
from chartkit.chart import Bar, Change, Chart, Section
from chartkit.errors import CannotPlay
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.values import as_written, heard
from chartkit.theory.key import Key

LABEL: Final = "A"
NO_CHORDS: Final = (
    "nothing is known of what the phrase is played over: write a `Chords:` line in it"
)


def key_of(phrase: Phrase) -> Key:
    """Return the key of a phrase as written, else the one that its chords suggest."""
    if phrase.key:
        return phrase.key
    return estimate_key((one.chord, one.length) for one in phrase.chords if one.chord)


def chart_of(phrase: Phrase) -> Chart:
    """Return the chords of a phrase as a chart of one section, without the pick-up.

    Raises
    ------
    CannotPlay
        The phrase has no chords.
    """
    if not phrase.chords:
        raise CannotPlay(NO_CHORDS)
    bars = tuple(
        Bar(n + 1, tuple(_changes(phrase, n)), ends_system=n + 1 == phrase.bars)
        for n in range(phrase.bars)
    )
    return Chart(
        (Section(LABEL, bars),),
        title=phrase.title,
        composer=phrase.source,
        key=key_of(phrase),
        meter=phrase.meter,
        feel=phrase.feel,
        tempo=phrase.tempo,
    )


def chords_in(phrase: Phrase, number: int) -> tuple[PhraseChord, ...]:
    """Return the chords of a bar, counted from 0."""
    first, bar = number * phrase.meter.length, phrase.meter.length
    return tuple(one for one in phrase.chords if first <= one.start < first + bar)


def _changes(phrase: Phrase, number: int) -> Iterator[Change]:
    for one in chords_in(phrase, number):
        yield Change(one.chord, int(one.length / phrase.meter.unit))


def looped(phrase: Phrase) -> Phrase:
    """Return a phrase with bars of its last chord, silent, so that it can come round.

    The number of bars is made even, and the pick-up has silence to come in.
    """
    room = phrase.length - _last_sound(phrase)
    extra = phrase.bars % 2
    while room + extra * phrase.meter.length < phrase.pickup:
        extra += 2
    return _longer(phrase, extra) if extra else phrase


def _last_sound(phrase: Phrase) -> Fraction:
    return max((note.end for note in phrase.notes if note.pitch), default=Fraction(0))


def _longer(phrase: Phrase, bars: int) -> Phrase:
    bar = phrase.meter.length
    until = phrase.length + bars * bar
    added: tuple[PhraseChord, ...] = ()
    if phrase.chords:
        last = phrase.chords[-1].chord
        added = tuple(PhraseChord(phrase.length + n * bar, bar, last) for n in range(bars))
    silence = as_written(heard(phrase.notes)[-1:], phrase.meter, until)
    rests = tuple(note for note in silence if note.start >= phrase.length)
    return replace(phrase, notes=(*phrase.notes, *rests), chords=(*phrase.chords, *added), lines=())
