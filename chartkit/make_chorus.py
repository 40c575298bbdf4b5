"""A phrase over a tune: where it fits, and a chorus that plays it there, as page and sound.

Conventions: the tune is the part of a chart that a take asks for, in the take's key. A place that a
position cannot reach is left out of the chorus.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from chartkit.arrange import form_of, tempo_of
from chartkit.chart import Tempo
from chartkit.errors import CannotPlay
from chartkit.guitar.fingering import Fingering
from chartkit.harmony import spans
from chartkit.line import Line
from chartkit.make import performance
from chartkit.phrase.chart import key_of
from chartkit.phrase.chorus import chorus_line, placed
from chartkit.phrase.phrase import Phrase
from chartkit.phrase.places import PlaceInTune, places, without_overlap
from chartkit.phrase.through_keys import cycle, through_keys
from chartkit.playable import Playable
from chartkit.player import GUITARIST, fingered, place_words, range_of
from chartkit.take import Take
from chartkit.theory.key import Key

if TYPE_CHECKING:
    from chartkit.notate.line import Staves


@dataclass(frozen=True, slots=True)
class Chorus:
    """A line that plays a phrase wherever it fits.

    Parameters
    ----------
    line : Line
    fingering : Fingering or None
    played : tuple of PlaceInTune
        In order of time.
    left_out : tuple of PlaceInTune
        Places that overlap with those played, or that the position does not reach.
    """

    line: Line
    fingering: Fingering | None
    played: tuple[PlaceInTune, ...]
    left_out: tuple[PlaceInTune, ...]


def tune_places(phrase: Phrase, take: Take) -> tuple[PlaceInTune, ...]:
    """Return every place of a take where a phrase fits, the best first.

    Raises
    ------
    CannotPlay
        Nothing is known of the chords that the phrase is played over.
    """
    return places(phrase, spans(form_of(take), loop=True))


def chorus(phrase: Phrase, take: Take, position: int | None = None) -> Chorus:
    """Return a chorus of a take that plays a phrase at its places.

    Parameters
    ----------
    phrase : Phrase
    take : Take
    position : int, optional
        Fret of the first finger; the hand is free by default.

    Raises
    ------
    CannotPlay
        It fits nowhere, or nowhere that the position reaches.
    """
    changes = spans(form_of(take), loop=True)
    found = places(phrase, changes)
    if not found:
        raise CannotPlay("the phrase fits nowhere here: its chords do not stand in this tune")
    low, high = range_of(GUITARIST, position)
    reached = [one for one in found if _reaches(phrase, one, low, high)]
    if not reached:
        raise CannotPlay("the phrase lies in this position at none of its places: leave it free")
    played = without_overlap(reached, phrase)
    line = chorus_line(phrase, played, changes, low, high)
    left_out = tuple(one for one in found if one not in played)
    return Chorus(line, fingered(line, GUITARIST, position), played, left_out)


def _reaches(phrase: Phrase, place: PlaceInTune, low: int, high: int) -> bool:
    try:
        placed(phrase, place, low, high)
    except CannotPlay:
        return False
    return True


def chorus_playable(
    phrase: Phrase, take: Take, position: int | None = None, staves: Staves = "both"
) -> Playable:
    """Return a chorus as page and sound, in the take's key.

    Raises what `chorus` raises.
    """
    from chartkit.notate import notate_line

    made = chorus(phrase, take, position)
    sheet = notate_line(
        made.line,
        made.fingering,
        title=take.chart.title,
        subtitle=", ".join((phrase.title or "A phrase", *place_words(GUITARIST, position))),
        composer=take.chart.composer,
        tempo=Tempo(tempo_of(take)),
        staves=staves,
    )
    heard = performance(take, partial(_line_in, phrase, take, position))
    return Playable(take.chart.title, sheet, heard)


def in_keys(phrase: Phrase, number: int, position: int | None = None) -> Phrase:
    """Return a phrase in so many keys round the cycle of fourths, from its own, as one phrase.

    Raises
    ------
    CannotPlay
        In some key it does not lie in the position, or on the neck.
    """
    low, high = range_of(GUITARIST, position)
    return through_keys(phrase, cycle(key_of(phrase), number), low, high)


def _line_in(phrase: Phrase, take: Take, position: int | None, key: Key) -> Line:
    return chorus(phrase, replace(take, key=key, keys=0), position).line
