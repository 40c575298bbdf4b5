"""An etude over a tune, on paper and with the band.

Conventions: the tune is the part of a chart that a take asks for, in the take's key. An etude lies
in the middle of the range that a position or a free hand has, as wide as its grade.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import TYPE_CHECKING

from chartkit.arrange import form_of, tempo_of
from chartkit.chart import Tempo
from chartkit.errors import RequestError
from chartkit.guitar.fingering import Fingering
from chartkit.harmony import spans
from chartkit.line import Line
from chartkit.make import performance
from chartkit.phrase.etude import etude
from chartkit.phrase.etude_grades import GRADES, USUAL_GRADE, USUAL_POSITION
from chartkit.phrase.etude_terms import EtudePart, EtudeTerms
from chartkit.phrase.phrase import Phrase
from chartkit.playable import Playable
from chartkit.player import GUITARIST, fingered, place_words, range_of
from chartkit.take import Take
from chartkit.theory.key import Key

if TYPE_CHECKING:
    from chartkit.notate.line import Staves


@dataclass(frozen=True, slots=True)
class EtudeAsked:
    """What a player asks of an etude.

    Parameters
    ----------
    phrases : tuple of Phrase
        Those that may come up.
    grade : int
        A number of `chartkit.phrase.etude_grades.GRADES`.
    position : int or None
        Fret of the first finger; None for a free hand.
    seed : str
        Another seed, another etude.
    """

    phrases: tuple[Phrase, ...] = ()
    grade: int = USUAL_GRADE
    position: int | None = USUAL_POSITION
    seed: str = ""


@dataclass(frozen=True, slots=True)
class MadeEtude:
    """An etude, its fingering, and the stretches that it was joined from."""

    line: Line
    fingering: Fingering | None
    parts: tuple[EtudePart, ...]


def terms_of(asked: EtudeAsked) -> EtudeTerms:
    """Return the terms of an etude.

    Raises
    ------
    RequestError
        There is no such grade, or no such position.
    """
    if asked.grade not in GRADES:
        raise RequestError(f"an etude is of grade {min(GRADES)} to {max(GRADES)}")
    grade = GRADES[asked.grade]
    low, high = range_of(GUITARIST, asked.position)
    spare = max(high - low - grade.span, 0)
    return EtudeTerms(grade, low + spare // 2, high - (spare - spare // 2))


def made_etude(take: Take, asked: EtudeAsked) -> MadeEtude:
    """Return an etude over a take, fingered.

    Raises
    ------
    CannotPlay
        There is no chord to play it on.
    RequestError
        There is no such grade, or no such position.
    """
    rng = Random(f"{asked.seed}/etude")
    made = etude(spans(form_of(take), loop=True), asked.phrases, terms_of(asked), rng)
    return MadeEtude(made.line, fingered(made.line, GUITARIST, asked.position), made.parts)


def etude_playable(take: Take, asked: EtudeAsked, staves: Staves = "both") -> Playable:
    """Return an etude as page and sound, with the band of a take.

    Raises what `made_etude` raises.
    """
    from chartkit.notate import notate_line

    made = made_etude(take, asked)
    words = (f"Etude, grade {asked.grade}", *place_words(GUITARIST, asked.position))
    sheet = notate_line(
        made.line,
        made.fingering,
        title=take.chart.title,
        subtitle=", ".join(words),
        composer=take.chart.composer,
        tempo=Tempo(tempo_of(take)),
        staves=staves,
    )

    def line_in(key: Key) -> Line:
        return made_etude(replace(take, key=key, keys=0), asked).line

    return Playable(take.chart.title, sheet, performance(take, line_in))


def demo_phrases(named: Sequence[str] = ()) -> tuple[Phrase, ...]:
    """Return the demo phrases of these names, all of them by default."""
    from importlib.resources import files

    from chartkit.phrase.reader import parse

    texts = (
        (one.name, one.read_text(encoding="utf-8"))
        for one in sorted(files("chartkit.phrases").iterdir(), key=lambda one: one.name)
        if one.name.endswith(".phrase") and (not named or one.name.partition(".")[0] in named)
    )
    found = (parse(text, name).phrase for name, text in texts)
    return tuple(phrase for phrase in found if phrase)
