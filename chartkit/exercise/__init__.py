"""Lines through the changes, one kind a file.

Conventions: a kind is a row of `KINDS` and a module with its maker; nothing else needs to know of
it. A maker takes spans, whose end leads into their beginning, and the terms of the line, and
returns a line that fills the spans, spelled as the chord symbols are, each note with its role.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from chartkit.errors import CannotPlay, RequestError, either
from chartkit.exercise.approach import approach, enclosure
from chartkit.exercise.arpeggio import arpeggio
from chartkit.exercise.cadences import cadences_alone
from chartkit.exercise.cells import cells
from chartkit.exercise.connected import connected_arpeggio
from chartkit.exercise.guide_tones import guide_tones
from chartkit.exercise.motif import MOTIFS, motif
from chartkit.exercise.scale_run import scale_run
from chartkit.exercise.terms import Terms
from chartkit.exercise.tones import note_words
from chartkit.exercise.triad_pair import triad_pair
from chartkit.harmony import Span
from chartkit.line import Line
from chartkit.line_options import FIRSTS, SHAPES, SIDES, TONES, LineOptions

Maker = Callable[[Sequence[Span], Terms], Line]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of exercise.

    Parameters
    ----------
    name : str
        What a player asks for.
    title : str
        Its title in print.
    description : str
        One line on it for help.
    maker : callable
    takes : mapping
        The options that it has a use for, by their names in `LineOptions`, each with the values
        that it knows, its own first.
    takes_value : bool
        Its rhythm is made of notes of a value that the player chooses.
    """

    name: str
    title: str
    description: str
    maker: Maker
    takes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    takes_value: bool = True


_KINDS: Final = (
    Kind(
        "arpeggio",
        "Arpeggio",
        "each chord's tones in order, started again on every chord",
        arpeggio,
        {"tones": TONES, "first": FIRSTS, "shape": SHAPES},
    ),
    Kind(
        "connected",
        "Connected arpeggio",
        "an unbroken arpeggio: each change goes on to its nearest chord tone",
        connected_arpeggio,
        {"tones": TONES},
    ),
    Kind(
        "guide-tones",
        "Guide tones",
        "one long note a chord, its third or seventh, moving as little as it can",
        guide_tones,
        {"first": ("third", "seventh")},
        takes_value=False,
    ),
    Kind(
        "scale",
        "Scale run",
        "step by step through the chord scales, a chord tone on every beat",
        scale_run,
    ),
    Kind(
        "cells",
        "Cells of four notes",
        "1 2 3 5 on every chord",
        cells,
        {"shape": SHAPES},
    ),
    Kind(
        "approach",
        "Approach notes",
        "chord tones on the beat, a note beside each before it",
        approach,
        {"tones": TONES, "side": SIDES},
    ),
    Kind(
        "enclosure",
        "Enclosures",
        "chord tones on the beat, the notes above and below each before it",
        enclosure,
        {"tones": TONES},
    ),
    Kind(
        "triad-pair",
        "Triad pairs",
        "two triads without a common tone, three notes of each in turn",
        triad_pair,
        {"shape": SHAPES},
    ),
    Kind(
        "motif",
        "Rhythm motif",
        "one rhythm in every bar, its pitches following the chords",
        motif,
        {"motif": tuple(MOTIFS), "tones": TONES},
    ),
)

KINDS: Final = {kind.name: kind for kind in _KINDS}
"""Every kind by its name."""


def line_through(spans: Sequence[Span], kind: str, terms: Terms) -> Line:
    """Return a line of some kind through the changes.

    Parameters
    ----------
    spans : sequence of Span
        Their end leads into their beginning.
    kind : str
        A name from `KINDS`.
    terms : Terms

    Raises
    ------
    RequestError
        The start lies outside the range, or the kind has no use for an option.
    CannotPlay
        No such line exists; the bar and the reason are named.
    """
    _check(KINDS[kind], terms)
    if all(span.chord is None for span in spans):
        raise CannotPlay("there is no chord here to play a line on")
    played = cadences_alone(spans) if terms.options.cadences else spans
    return replace(KINDS[kind].maker(played, terms), spans=tuple(spans))


def _check(kind: Kind, terms: Terms) -> None:
    if terms.start is not None and not terms.low <= terms.start <= terms.high:
        raise RequestError(
            f"the start {note_words(terms.start)} lies outside the range "
            f"{note_words(terms.low)} to {note_words(terms.high)}"
        )
    for option in ("tones", "first", "shape", "side", "motif"):
        _check_option(kind, option, terms.options)


def _check_option(kind: Kind, option: str, options: LineOptions) -> None:
    chosen = getattr(options, option)
    known = kind.takes.get(option, ())
    if chosen is None or chosen in known:
        return
    if known:
        raise RequestError(f"{kind.title}: choose {either(known)} instead of {chosen}")
    others = either(tuple(k.name for k in _KINDS if option in k.takes))
    raise RequestError(f"{kind.title}: `{chosen}` means nothing here; it is for {others}")
