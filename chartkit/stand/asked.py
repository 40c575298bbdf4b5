"""What the page asks for, as a value; and the take that it is.

Conventions: the fields of the JSON are those of `READERS`, all of them optional but for ``tune`` or
``item``. Nothing here is a path: a tune is named by its place on the `chartkit.stand.shelf.Shelf`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from chartkit.chart import Chart
from chartkit.controls.clicks import Click
from chartkit.controls.keys import FOURTHS, Keys, times_for
from chartkit.controls.ladder import Ladder
from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.exercise.motif import MOTIFS
from chartkit.feel import FEELS
from chartkit.form import key_of
from chartkit.line_options import FIRSTS, SHAPES, SIDES, TONES, LineOptions
from chartkit.notate.line import Staves
from chartkit.stand.fields import flag, number, one_of, read, same, several, whole, word
from chartkit.stand.parts import part_of
from chartkit.take import ExerciseAsked, Take
from chartkit.tempos import FASTEST, SLOWEST, tempo_of
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName

VALUES: Final = {
    "half": Fraction(2),
    "quarter": Fraction(1),
    "quarter-triplet": Fraction(2, 3),
    "eighth": Fraction(1, 2),
    "triplet": Fraction(1, 3),
    "sixteenth": Fraction(1, 4),
}
"""Names of note values and their lengths in quarter notes."""

MOST_TIMES: Final = 64
USUAL_POSITION: Final = 5
"""Where an exercise stands that names neither a position nor a free hand."""


def tonic(value: object) -> NoteName:
    """Read the tonic of a key, such as ``Bb``."""
    try:
        return NoteName.parse(word(value))
    except ValueError:
        raise ValueError("the name of a note, such as Bb") from None


def keys_in_turn(value: object) -> Keys:
    """Read ``fourths``, semitones, or keys in turn."""
    if value == "fourths":
        return FOURTHS
    if isinstance(value, list):
        return several(tonic, 12)(value)
    try:
        return whole(-11, 11)(value)
    except ValueError:
        raise ValueError("fourths, semitones from -11 to 11, or a list of keys") from None


def bars(value: object) -> tuple[int, int]:
    """Read the first and the last printed bar number."""
    found = several(whole(1, 99_999), 2)(value)
    if len(found) != 2 or found[0] > found[1]:  # noqa: PLR2004 (first and last)
        raise ValueError("two bar numbers, the first before the last")
    return found[0], found[1]


def click(value: object) -> Click:
    """Read where a click sounds."""
    asked = read(value, {"beats": several(whole(1, 16), 16), "oneBarIn": whole(1, 64)})
    return Click(asked.get("beats", ()), asked.get("oneBarIn", 1))


def ladder(value: object) -> Ladder:
    """Read how the tempo rises."""
    steps = {
        "by": number(0.1, 100),
        "upTo": number(SLOWEST, FASTEST),
        "every": whole(1, MOST_TIMES),
    }
    asked = read(value, steps)
    if not {"by", "upTo"} <= asked.keys():
        raise RequestError("a tempo ladder needs `by` and `upTo`")
    return Ladder(asked["by"], asked["upTo"], asked.get("every", 1))


EXERCISE: Final = {
    "kind": one_of(same(tuple(KINDS))),
    "position": whole(1, 18),
    "value": one_of(VALUES),
    "direction": one_of({"up": True, "down": False}),
    "tones": one_of(same(TONES)),
    "first": one_of(same(FIRSTS)),
    "shape": one_of(same(SHAPES)),
    "side": one_of(same(SIDES)),
    "motif": one_of(same(tuple(MOTIFS))),
    "cadences": flag,
}


def exercise(value: object) -> ExerciseAsked:
    """Read a kind of exercise and what is chosen for it."""
    asked = read(value, EXERCISE)
    chosen = {
        name: asked[name] for name in ("tones", "first", "shape", "side", "motif") if name in asked
    }
    return ExerciseAsked(
        asked.get("kind", "connected"),
        asked.get("position", USUAL_POSITION),
        value=asked.get("value"),
        upward=asked.get("direction", True),
        options=LineOptions(**chosen, cadences=asked.get("cadences", False)),
    )


READERS: Final = MappingProxyType(
    {
        "tune": word,
        "item": word,
        "sections": several(word, 16),
        "bars": bars,
        "tempo": number(SLOWEST, FASTEST),
        "key": tonic,
        "feel": one_of(same(tuple(FEELS))),
        "times": whole(1, MOST_TIMES),
        "loop": flag,
        "countIn": whole(0, 8),
        "seed": whole(0, 2**31 - 1),
        "click": click,
        "ladder": ladder,
        "keys": keys_in_turn,
        "exercise": exercise,
        "staves": one_of(same(("both", "staff", "tab"))),
    }
)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the page asks for.

    Parameters
    ----------
    tune : str or None
        A tune's id on the shelf.
    item : str or None
        Or the key of an item of today.
    fields : mapping
        All else, by the names of `READERS`.
    """

    tune: str | None = None
    item: str | None = None
    fields: tuple[tuple[str, Any], ...] = field(default=())

    @property
    def told(self) -> Mapping[str, Any]:
        """The fields by name."""
        return dict(self.fields)

    @property
    def staves(self) -> Staves:
        """What is printed of an exercise."""
        staves: Staves = self.told.get("staves", "both")
        return staves


def asked_of(data: object) -> Asked:
    """Read what was asked for.

    Raises
    ------
    RequestError
        It cannot be read; the sentence tells which field is wrong.
    """
    found = read(data, READERS)
    tune, item = found.pop("tune", None), found.pop("item", None)
    if (tune is None) == (item is None):
        raise RequestError("ask for a `tune` or for an `item` of today")
    return Asked(tune, item, tuple(sorted(found.items())))


def take_of(asked: Asked, chart: Chart, soundfont: str | None = None, a4: float = 440.0) -> Take:
    """Return the take that was asked for.

    Raises
    ------
    RequestError
        What is asked for does not go together.
    """
    told = asked.told
    key = told.get("key")
    loop = told.get("loop", True)
    take = Take(
        chart,
        bars=told.get("bars"),
        key=key and Key(key, key_of(chart).mode),
        tempo=told.get("tempo"),
        feel=told.get("feel"),
        loop=loop,
        count_in=told.get("countIn", 1),
        seed=told.get("seed", 0),
        click=told.get("click"),
        ladder=told.get("ladder"),
        keys=told.get("keys", 0),
        exercise=told.get("exercise"),
        soundfont=soundfont,
        a4=a4,
    )
    take = part_of(take, told.get("sections", ()))
    return _as_often(take, told.get("times"))


def _as_often(take: Take, times: int | None) -> Take:
    """Return a take that is played as often as asked, or as a ladder and all the keys need."""
    from dataclasses import replace

    climbing = take.ladder.times(tempo_of(take)) if take.ladder else 1
    return replace(take, times=times or max(1, times_for(take.keys), climbing))
