"""One thing to practise: its pages and what sounds, before it is engraved and rendered.

Conventions: the page of a chart is the whole tune whatever part of it sounds, that of an exercise
is the part that was asked for. With another key each time round there is a page for each key.
`chartkit.stand.telling` says what the browser gets of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from chartkit.arrange import arrange
from chartkit.errors import RequestError
from chartkit.guitar.fretboard import Tuning
from chartkit.make import performance as performed
from chartkit.notate import Sheet
from chartkit.notate.line import Staves
from chartkit.notate.symbols import printed_name
from chartkit.playable import Playable, page
from chartkit.rounds import rounds
from chartkit.stand.parts import parts_of
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.theory.scale import Scale
from chartkit.track import Performance

_SCALES: Final = {"major": "ionian", "minor": "aeolian"}

LONGEST: Final = 240
"""Seconds of music in one work: its stems lie in memory, some 400 kB a second for each part."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A page that is read from some beat on.

    Parameters
    ----------
    start : Fraction
        In quarter notes of the performance.
    key : Key or None
    sheet : Sheet
    mark : str
        What its bars' ids end in, to tell them from those of other pages.
    """

    start: Fraction
    key: Key | None
    sheet: Sheet
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """One thing to practise, before it is engraved and rendered.

    Parameters
    ----------
    kind : str
        "chart", "exercise", "technique" or "phrase".
    turns : tuple of Turn
        In order of beat; a page may be read again.
    performance : Performance
    sections : tuple of str
        Parts of the tune that can be asked for; see `chartkit.stand.parts`.
    feel : str
    position : int or None
    tuning : Tuning or None
        Where shapes are drawn.
    scales : tuple of (Fraction, str, Scale)
        From which beat on there is which scale, under its name.
    """

    kind: str
    turns: tuple[Turn, ...]
    performance: Performance
    sections: tuple[str, ...] = ()
    feel: str = ""
    position: int | None = None
    tuning: Tuning | None = None
    scales: tuple[tuple[Fraction, str, Scale], ...] = ()

    @property
    def pages(self) -> tuple[Turn, ...]:
        """Each page once, in the order in which it is first read."""
        return tuple({turn.mark: turn for turn in self.turns}.values())


def work_of(take: Take, staves: Staves = "both") -> Work:
    """Return a take as something to practise.

    Raises
    ------
    RequestError
        What is asked for is not there, does not go together, or is longer than `LONGEST`.
    CannotPlay
        The music does not exist.
    """
    played = rounds(take)
    _check_length(take)
    keys = dict.fromkeys(one.key for one in played)
    sheets = {key: page(replace(take, key=key, keys=0), staves) for key in keys}
    first = played[0].key
    turns = tuple(
        Turn(one.start if number else Fraction(0), one.key, sheets[one.key], _mark(one.key, first))
        for number, one in enumerate(played)
    )
    asked = take.exercise
    return Work(
        "exercise" if asked else "chart",
        turns,
        performed(take),
        parts_of(take.chart),
        " ".join((take.feel or take.chart.feel).split()),
        asked.position if asked else None,
        asked.player.instrument.tuning if asked else None,
        tuple(scale_of_key(turn.start, turn.key) for turn in turns if turn.key),
    )


def work_from(playable: Playable, kind: str) -> Work:
    """Return what stands ready as page and sound as something to practise; a loop goes once."""
    music = playable.performance
    music = replace(music, rounds=1) if music.loop else music
    key = music.keys[0][1] if music.keys else None
    return Work(kind, (Turn(Fraction(0), key, playable.sheet),), music)


def scale_of_key(start: Fraction, key: Key) -> tuple[Fraction, str, Scale]:
    """Return a key's own scale from a beat on, as `Work.scales` has it."""
    name = f"{printed_name(key.tonic)} {key.mode}"
    return start, name, Scale.on(key.tonic, _SCALES[key.mode])


def _check_length(take: Take) -> None:
    arranged = arrange(take)
    last = arranged.passes[-1]
    seconds = arranged.tempo.seconds(last.start + last.length)
    if seconds > LONGEST:
        raise RequestError(
            f"that is {float(seconds) / 60:.0f} minutes of music: ask for a shorter part, or for "
            f"fewer times round, up to {LONGEST // 60} minutes"
        )


def _mark(key: Key, first: Key) -> str:
    """Return what ids end in on the page of a key: nothing on the first."""
    if key == first:
        return ""
    return f"-in-{key.tonic}".replace("#", "-sharp")
