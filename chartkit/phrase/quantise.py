"""Times as played to times as written.

Conventions: times in quarter notes. Points go to sixteenths or to sixths, whichever lie nearer to
all of their beat; its two eighths differ only where that puts right what either of the two would
miss by far, or is exact. Onsets count more than ends. Where the onsets are not those of a written
file, gaps of a sixteenth or less after a note are closed, and the last note ends on an eighth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from math import ceil
from statistics import median
from typing import Final, TypeAlias

Times: TypeAlias = tuple[Fraction, Fraction]
"""Where a note starts and ends."""

_Point: TypeAlias = tuple[Fraction, int]
"""A time and how much it counts."""

EIGHTH: Final = Fraction(1, 2)
GRIDS: Final = (Fraction(1, 4), Fraction(1, 6))
ONSET, END = 8, 1
"""How much a point counts when a grid is chosen."""

FAR: Final = ONSET * Fraction(1, 20) ** 2
"""A beat whose points are missed by so much in all may have two grids."""

EXACT: Final = Fraction(1, 200)
"""A file whose onsets all lie so near to a grid was written, not played; in quarter notes."""

LATE: Final = (Fraction(11, 20), Fraction(4, 5))
"""Where in its beat an off-beat lies that is played late."""
EARLY_INNER: Final = (Fraction(1, 5), Fraction(9, 20))
"""Where in its beat the second note of a triplet or of four sixteenths lies."""


def quantised(notes: Sequence[Times], report: list[str], *, swung: bool) -> list[Times]:
    """Return the times that notes, in order and without overlaps, are written at.

    Parameters
    ----------
    notes : sequence of (start, end)
    report : list of str
        What was done is added, a sentence each.
    swung : bool
        Read long and short within a beat as two eighths.

    Returns
    -------
    list of (start, end)
        One a note; a note that no time is left for has none (its end is its start).
    """
    late = _late(notes)
    if swung and late:
        notes = _straightened(notes, late, report)
    elif len(late) > 1:
        report.append(
            f"{len(late)} off-beats come late in their beat and are read as triplets; "
            "--swung reads them as eighths"
        )
    grids = _grids(notes)
    placed = [(_nearest(start, grids), _nearest(end, grids)) for start, end in notes]
    is_played = any(
        abs(start - at) > EXACT for (start, _), (at, _) in zip(notes, placed, strict=True)
    )
    if is_played:
        furthest = max(abs(start - at) for (start, _), (at, _) in zip(notes, placed, strict=True))
        report.append(
            f"times are moved to note values, by {float(furthest):.2f} of a quarter note at most"
        )
    return _settled(placed, grids, report, close=is_played)


def _late(notes: Sequence[Times]) -> dict[int, Fraction]:
    """Return where the one off-beat of a beat lies, by beat, where it comes late."""
    inner: defaultdict[int, list[Fraction]] = defaultdict(list)
    for start, _ in notes:
        if start % 1 > Fraction(3, 20) and start % 1 < Fraction(9, 10):
            inner[start // 1].append(start % 1)
    return {
        beat: points[0]
        for beat, points in inner.items()
        if len(points) == 1 and LATE[0] < points[0] < LATE[1] and points[0] != Fraction(3, 4)
    }


def _straightened(
    notes: Sequence[Times], late: dict[int, Fraction], report: list[str]
) -> list[Times]:
    """Return notes with late off-beats in the middle of their beats, and ends along with them."""
    usual = Fraction(median(late.values()))
    report.append(
        f"{len(late)} off-beats at {float(usual):.2f} of their beat are read as even eighths"
    )
    inner = {start // 1 for start, _ in notes if EARLY_INNER[0] < start % 1 < EARLY_INNER[1]}

    def even(point: Fraction) -> Fraction:
        beat, within = point // 1, point % 1
        if beat in inner:
            return point
        middle = late.get(beat, usual)
        if within <= middle:
            return beat + within / middle / 2
        return beat + EIGHTH + (within - middle) / (1 - middle) / 2

    return [(even(start), even(end)) for start, end in notes]


def _grids(notes: Sequence[Times]) -> dict[int, Fraction]:
    """Choose a grid for each eighth that something starts or ends in."""
    points: defaultdict[int, list[_Point]] = defaultdict(list)
    for start, end in notes:
        points[start // EIGHTH].append((start, ONSET))
        points[end // EIGHTH].append((end, END))
    found: dict[int, Fraction] = {}
    for beat in {eighth // 2 for eighth in points}:
        one, other = points.get(2 * beat, []), points.get(2 * beat + 1, [])
        found[2 * beat], found[2 * beat + 1] = _grids_of_beat(one, other)
    return found


def _grids_of_beat(one: Sequence[_Point], other: Sequence[_Point]) -> tuple[Fraction, Fraction]:
    """Return the grids of a beat's two eighths."""
    both = [*one, *other]
    grid = min(GRIDS, key=lambda grid: _error(both, grid))
    first = min(GRIDS, key=lambda grid: _error(one, grid))
    second = min(GRIDS, key=lambda grid: _error(other, grid))
    missed = _error(both, grid)
    mixed = _error(one, first) + _error(other, second)
    clear = missed > FAR or mixed <= EXACT**2
    return (first, second) if clear and mixed < missed / 4 else (grid, grid)


def _error(points: Sequence[_Point], grid: Fraction) -> Fraction:
    return sum(
        (weight * abs(point - _on(point, grid)) ** 2 for point, weight in points), Fraction(0)
    )


def _on(point: Fraction, grid: Fraction) -> Fraction:
    return (point / grid + EIGHTH) // 1 * grid


def _nearest(point: Fraction, grids: dict[int, Fraction]) -> Fraction:
    return _on(point, grids[point // EIGHTH])


def _settled(
    placed: Sequence[Times], grids: dict[int, Fraction], report: list[str], *, close: bool
) -> list[Times]:
    """Give each note at least a step of its grid, up to the next note; close short gaps."""
    found: list[Times] = []
    lost = closed = 0
    for n, (start, end) in enumerate(placed):
        limit = placed[n + 1][0] if n + 1 < len(placed) else None
        until = max(end, start + grids.get(start // EIGHTH, GRIDS[0]))
        if limit is None and close:
            until = ceil(until / EIGHTH) * EIGHTH
        if limit is not None:
            gap = limit - until
            if close and 0 < gap <= GRIDS[0]:
                closed, until = closed + 1, limit
            until = min(until, limit)
        lost += until <= start
        found.append((start, until))
    if lost:
        noun = "note" if lost == 1 else "notes"
        report.append(f"{lost} {noun} too short to be written left out")
    if closed:
        noun = "gap" if closed == 1 else "gaps"
        report.append(f"{closed} short {noun} between notes closed")
    return found
