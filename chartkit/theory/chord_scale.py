"""The scale that goes with a chord, from the key and from where the chord goes.

Conventions: a chord's goal is the next chord that is another root or another kind of chord. The
rules are rows of a table, tried from the top; common practice, no source, as are all chord scales.
A row names scales, the first that contains the written chord is taken; where none does, the first
is bent: the written tone replaces the scale's own step of its number, and the name says so
("dorian (b9)"). So the scale always contains the written chord.

Where a row says "nearest", its scales are tried in order of how many tones they share with the key.
In the key's own chords that gives ionian on I, dorian on ii, phrygian on iii, lydian on IV,
mixolydian on V and aeolian on vi, and lydian on the major chords borrowed from the flat side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Degree
from chartkit.theory.scale import Scale

Kind = Literal[
    "major", "minor", "dominant", "half-diminished", "diminished", "augmented", "open third"
]


@dataclass(frozen=True, slots=True)
class Setting:
    """A chord where it stands.

    Parameters
    ----------
    chord : Chord
    key : Key
    goal : Chord or None
        Where the chord goes; None where the music ends.
    blues : bool
        The key's own tonic chord is a dominant seventh.
    """

    chord: Chord
    key: Key
    goal: Chord | None = None
    blues: bool = False

    @property
    def step(self) -> int:
        """Semitones of the root above the key's tonic, 0-11."""
        return (self.chord.root.pitch_class - self.key.tonic.pitch_class) % 12

    def goes(self, semitones: int) -> bool:
        """Tell whether the goal's root lies so many semitones above this one's (modulo 12)."""
        if self.goal is None:
            return False
        return (self.goal.root.pitch_class - self.chord.root.pitch_class - semitones) % 12 == 0


def kind(chord: Chord) -> Kind:
    """Return what a chord is at bottom, whatever tensions it carries."""
    third, fifth, seventh = str(chord.third), str(chord.fifth), str(chord.seventh)
    if third == "b3":
        if fifth != "b5":
            return "minor"
        return "half-diminished" if seventh == "b7" else "diminished"
    if seventh == "b7":
        return "dominant"
    if third == "3":
        return "augmented" if fifth == "#5" else "major"
    return "open third"


def same_function(one: Chord, other: Chord) -> bool:
    """Tell whether two chords have one root, however spelled, and are of one kind."""
    return one.root.pitch_class == other.root.pitch_class and kind(one) == kind(other)


@lru_cache(maxsize=4096)
def chord_scale(setting: Setting) -> Scale:
    """Return the chord scale; it contains every tone of the chord.

    Examples
    --------
    >>> from chartkit.theory.symbol import read_symbol
    >>> dm7, g7 = (read_symbol(text).chord for text in ("Dm7", "G7"))
    >>> chord_scale(Setting(dm7, Key.written(0, "major"), goal=g7)).name
    'dorian'
    """
    rule = next(rule for rule in _RULES if rule.applies(setting))
    scales = [Scale.on(setting.chord.root, name) for name in rule.scales]
    if rule.nearest:
        home = _key_tones(setting.key)
        scales.sort(key=lambda scale: -len(scale.pitch_classes & home))
    wanted = setting.chord.pitch_classes
    fitting = (scale for scale in scales if wanted <= scale.pitch_classes)
    return next(fitting, None) or _bent(scales[0], setting.chord)


def _key_tones(key: Key) -> frozenset[int]:
    return Scale.on(key.tonic, "ionian" if key.mode == "major" else "aeolian").pitch_classes


def _bent(scale: Scale, chord: Chord) -> Scale:
    """Put the chord's tones that a scale lacks in the place of its steps of the same number."""
    wanted = {degree.semitones % 12 for degree in chord.degrees}
    own = {degree.semitones for degree in scale.degrees}
    strange = [degree for degree in chord.degrees if degree.semitones % 12 not in own]
    steps = [Degree((degree.number - 1) % 7 + 1, degree.alter) for degree in strange]
    numbers = {step.number for step in steps}
    kept = [d for d in scale.degrees if d.number not in numbers or d.semitones in wanted]
    name = f"{scale.name} ({','.join(map(str, strange))})"
    return Scale(name, scale.root, tuple(sorted((*kept, *steps), key=lambda d: d.semitones)))


class _Rule(NamedTuple):
    """A row: where it applies, and its scales in order of preference."""

    applies: Callable[[Setting], bool]
    scales: tuple[str, ...]
    nearest: bool = False


def _has(setting: Setting, *names: str) -> bool:
    """Tell whether the chord has any of these degrees."""
    return any(str(degree) in names for degree in setting.chord.degrees)


def _is(setting: Setting, *kinds: Kind) -> bool:
    return kind(setting.chord) in kinds


def _dominant(setting: Setting) -> bool:
    return _is(setting, "dominant")


def _in_minor(setting: Setting) -> bool:
    return setting.key.mode == "minor"


def _resolves_to(setting: Setting, *, minor: bool) -> bool:
    """Tell whether the chord goes up a fourth (down a fifth) to a chord with such a third."""
    return (
        setting.goal is not None
        and setting.goes(5)
        and (setting.goal.third == Degree(3, -1)) == minor
    )


def _before_its_dominant(setting: Setting) -> bool:
    return setting.goal is not None and setting.goes(5) and kind(setting.goal) == "dominant"


_TONIC, _SUBDOMINANT, _FIFTH = 0, 5, 7

_TO_MAJOR = ("mixolydian", "lydian dominant", "mixolydian b6", "half-whole", "phrygian dominant")
_TO_MINOR = ("phrygian dominant", "mixolydian b6", "altered", "half-whole", "mixolydian")
_UNRESOLVED = ("lydian dominant", *_TO_MAJOR)

_RULES: Final = (
    # Dominants that say it themselves.
    _Rule(lambda s: _dominant(s) and _has(s, "4", "2"), ("mixolydian",)),
    _Rule(lambda s: _dominant(s) and _has(s, "b9", "#9") and _has(s, "13"), ("half-whole",)),
    _Rule(lambda s: _dominant(s) and _has(s, "#9"), ("altered",)),
    _Rule(lambda s: _dominant(s) and _has(s, "#5"), ("whole tone", "altered")),
    # Dominants by where they go.
    _Rule(
        lambda s: _dominant(s) and s.blues and s.step in (_TONIC, _SUBDOMINANT),
        _TO_MAJOR,
    ),
    _Rule(lambda s: _dominant(s) and s.goes(-1), _UNRESOLVED),
    _Rule(lambda s: _dominant(s) and _resolves_to(s, minor=True), _TO_MINOR),
    _Rule(lambda s: _dominant(s) and _resolves_to(s, minor=False), _TO_MAJOR),
    _Rule(lambda s: _dominant(s) and s.step == _FIFTH and _in_minor(s), _TO_MINOR),
    _Rule(lambda s: _dominant(s) and s.step == _FIFTH, _TO_MAJOR),
    _Rule(_dominant, _UNRESOLVED),
    # Diminished and augmented chords.
    _Rule(lambda s: _is(s, "half-diminished"), ("locrian", "locrian natural 2")),
    _Rule(lambda s: _is(s, "diminished") and s.chord.seventh is not None, ("whole-half",)),
    _Rule(lambda s: _is(s, "diminished"), ("locrian", "whole-half"), nearest=True),
    _Rule(lambda s: _is(s, "augmented") and _has(s, "7"), ("lydian augmented",)),
    _Rule(lambda s: _is(s, "augmented"), ("whole tone", "lydian augmented")),
    # Minor chords.
    _Rule(lambda s: _is(s, "minor") and _has(s, "7"), ("melodic minor", "harmonic minor")),
    _Rule(
        lambda s: _is(s, "minor") and _has(s, "6") and _in_minor(s) and s.step == _TONIC,
        ("melodic minor",),
    ),
    _Rule(
        lambda s: _is(s, "minor") and _in_minor(s) and s.step in (_TONIC, _SUBDOMINANT),
        ("dorian", "aeolian", "phrygian"),
    ),
    _Rule(
        lambda s: _is(s, "minor") and _has(s, "b7") and _before_its_dominant(s),
        ("dorian", "aeolian", "phrygian"),
    ),
    _Rule(
        lambda s: _is(s, "minor") and _has(s, "6"),
        ("melodic minor", "dorian"),
        nearest=True,
    ),
    _Rule(lambda s: _is(s, "minor"), ("dorian", "aeolian", "phrygian"), nearest=True),
    # Major chords, and chords without a third.
    _Rule(lambda s: _is(s, "major") and s.step == _TONIC, ("ionian", "lydian")),
    _Rule(lambda s: _is(s, "major"), ("ionian", "lydian", "mixolydian"), nearest=True),
    _Rule(
        lambda _: True,
        ("ionian", "mixolydian", "dorian", "aeolian", "phrygian", "lydian"),
        nearest=True,
    ),
)
