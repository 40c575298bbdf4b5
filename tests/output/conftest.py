"""Small performances, built by hand, for the outputs that sound."""

from dataclasses import replace
from fractions import Fraction

import pytest

from chartkit.chart import Meter
from chartkit.theory.key import Key
from chartkit.theory.pitch import NoteName
from chartkit.track import Marker, Note, Performance, TempoMap, Track

PROGRAMS = {"bass": 32, "chords": 26, "drums": 32, "line": 26, "click": 0}


def beats(text):
    return Fraction(text)


@pytest.fixture(scope="session")
def note():
    """`note("3/2", 1, 60)`: start, length, pitch and, if need be, velocity."""
    return lambda start, length, pitch, velocity=80: Note(
        beats(start), beats(length), pitch, velocity
    )


@pytest.fixture(scope="session")
def performance():
    """`performance({"bass": [notes]}, 8)`: parts and length in beats; the rest has defaults."""

    def built(parts, length, *, tempo=120, **changes):
        tracks = tuple(
            Track(part, PROGRAMS[part], tuple(sorted(notes))) for part, notes in parts.items()
        )
        whole = Performance(
            tracks,
            TempoMap(((Fraction(0), Fraction(tempo)),)),
            ((Fraction(0), Meter(4)),),
            ((Fraction(0), Key(NoteName("C"))),),
            (),
            Fraction(0),
            Fraction(length),
            loop=False,
        )
        return replace(whole, **changes)

    return built


@pytest.fixture(scope="session")
def four_bars(note, performance):
    """`four_bars(tempo=137, rounds=2)`: a band over four bars that go round.

    A chord is tied over the seam, an open hat rings into it and is choked after it.
    """

    def built(parts=("bass", "chords", "drums"), *, tempo=140, **changes):
        walk = (38, 41, 45, 44, 43, 47, 50, 37, 36, 40, 43, 46, 45, 43, 40, 39)
        hits = ((2, (53, 57, 60, 64)), ("11/2", (53, 57, 59, 64)), (9, (52, 55, 59, 62)))
        band = {
            "bass": [note(at, "9/10", pitch, 84 + at % 5) for at, pitch in enumerate(walk)],
            "chords": [
                *(note("-1/2", "5/2", pitch) for pitch in (53, 57, 60)),
                *(note(at, 1, pitch, 72) for at, chord in hits for pitch in chord),
            ],
            "drums": [
                *(note(at, "1/2", 51, 76 + at % 3) for at in range(16)),
                *(note(at, "1/2", 36, 30 + at % 3) for at in range(16)),
                *(note(at, "1/4", 44, 66) for at in range(1, 15, 2)),
                note("31/2", "1/2", 46, 90),
                note("1/2", "1/4", 42, 60),
                note("17/3", "1/3", 38, 58),
            ],
            "line": [note(Fraction(at, 2), "1/2", 60 + at % 12) for at in range(32)],
        }
        chosen = {part: band[part] for part in parts}
        return performance(chosen, 16, tempo=tempo, loop=True, **changes)

    return built


@pytest.fixture(scope="session")
def marker():
    return lambda start, text, kind="section": Marker(beats(start), text, kind)
