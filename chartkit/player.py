"""Who plays a line, on what, and how the hand may go about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from chartkit.errors import RequestError
from chartkit.guitar.cost import BODY
from chartkit.guitar.fingering import Fingering, Objective, finger
from chartkit.guitar.fretboard import Tuning, check_position, check_strings, numeral, window
from chartkit.instrument import GUITAR, Instrument, instrument_words
from chartkit.line import Line


@dataclass(frozen=True, slots=True)
class Player:
    """An instrument and, where it has frets, how its notes may be fingered.

    Parameters
    ----------
    instrument : Instrument
    strings : tuple of int or None
        Use only these; None for all.
    open_strings : bool
        Use open strings wherever they serve.
    objective : {"sum", "worst"}
        What is least: the sum of all steps or the worst of them.

    Raises
    ------
    RequestError
        The instrument has no frets, or no such strings.
    """

    instrument: Instrument = GUITAR
    strings: tuple[int, ...] | None = None
    open_strings: bool = False
    objective: Objective = "sum"

    def __post_init__(self) -> None:
        if self.strings is None:
            return
        if not self.instrument.tuning:
            raise RequestError(f"the {self.instrument.name} has no frets: leave the strings out")
        check_strings(self.instrument.tuning, self.strings)


GUITARIST: Final = Player()


def range_of(player: Player, position: int | None) -> tuple[int, int]:
    """Return the lowest and the highest note that a player has, MIDI numbers.

    Parameters
    ----------
    player : Player
        On a set of strings without a position, up to the neck's joint with the body.
    position : int or None
        None for a free hand.

    Raises
    ------
    RequestError
        There is no such position, or the instrument has no frets.
    """
    tuning = player.instrument.tuning
    if tuning is None:
        if position is not None:
            raise RequestError(f"the {player.instrument.name} has no frets: say a range instead")
        return player.instrument.low, player.instrument.high
    there = _notes(player, tuning, position)
    return there[0], there[-1]


def unbroken_range(player: Player, position: int | None) -> tuple[int, int]:
    """Return the longest range in which no note is missing, of two equally long the higher.

    It is `range_of` but where strings lie so far apart that the hand does not reach every note
    between them. Raises what `range_of` raises.
    """
    tuning = player.instrument.tuning
    if tuning is None:
        return range_of(player, position)
    there = _notes(player, tuning, position)
    runs = [there[start:end] for start, end in pairwise((0, *_gaps(there), len(there)))]
    longest = max(reversed(runs), key=len)
    return longest[0], longest[-1]


def _notes(player: Player, tuning: Tuning, position: int | None) -> list[int]:
    """Return the notes that have a place, lowest first."""
    strings = tuning.strings if player.strings is None else player.strings
    frets = _frets(player, tuning, position)
    return sorted({tuning.open_strings[-string] + fret for string in strings for fret in frets})


def _gaps(notes: Sequence[int]) -> Iterator[int]:
    """Yield the index of each note whose lower neighbour is missing."""
    for index, (last, note) in enumerate(pairwise(notes), 1):
        if note > last + 1:
            yield index


def _frets(player: Player, tuning: Tuning, position: int | None) -> range:
    """Return the frets that the hand has."""
    if position is not None:
        check_position(tuning, position)
        six = window(position)
        return range(six[0], min(six[-1], tuning.frets) + 1)
    return range(tuning.frets + 1 if player.strings is None else min(BODY, tuning.frets) + 1)


def fingered(line: Line, player: Player, position: int | None) -> Fingering | None:
    """Return a line's fingering; None on an instrument without frets.

    Raises
    ------
    RequestError
        There is no such position.
    CannotPlay
        A note has no place where it was asked to be; the bar and the note are named.
    """
    if player.instrument.tuning is None:
        return None
    return finger(
        line,
        player.instrument.tuning,
        position=position,
        strings=player.strings,
        open_strings=player.open_strings,
        objective=player.objective,
    )


def place_words(player: Player, position: int | None) -> Iterator[str]:
    """Yield where and on what a line is played, as far as a page should tell.

    >>> [*place_words(GUITARIST, 5)], [*place_words(Player(strings=(3, 2, 1)), None)]
    (['position V'], ['strings 3-2-1'])
    """
    yield from instrument_words(player.instrument)
    if position is not None:
        yield f"position {numeral(position)}"
    if player.strings is not None:
        yield f"strings {'-'.join(map(str, player.strings))}"
