"""A phrase written anew from other notes, over its own chords or others.

Conventions: where notes begin before the first bar they are its pick-up, which is shorter than a
bar; where they go on after the last bar, bars of the last chord are added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.values import Heard, as_written


def rewritten(
    phrase: Phrase, tones: Sequence[Heard], chords: Sequence[PhraseChord] | None = None
) -> Phrase | None:
    """Return a phrase with other notes; None where no page could show them.

    Parameters
    ----------
    phrase : Phrase
    tones : sequence of Heard
        In order of time, at least one, all with pitches.
    chords : sequence of PhraseChord, optional
        In place of its own; they fill whole bars.
    """
    bar = phrase.meter.length
    over = list(phrase.chords if chords is None else chords)
    length = over[-1].end if over else phrase.length
    pickup = max(-tones[0].start, Fraction(0))
    if pickup >= bar or any(b.start < a.end for a, b in pairwise(tones)):
        return None
    while length < tones[-1].end:
        if over:
            over.append(PhraseChord(length, bar, over[-1].chord))
        length += bar
    lead = Heard(-pickup, tones[0].start + pickup, None)
    written = (lead, *tones) if lead.length else tuple(tones)
    try:
        notes = as_written(written, phrase.meter, length)
    except ValueError:
        return None
    return replace(phrase, notes=notes, chords=tuple(over), pickup=pickup, comments=(), lines=())
