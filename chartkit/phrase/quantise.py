"""Times as played to times as written.

Conventions: times in quarter notes. Within each eighth of a beat's two, points go to sixteenths or
to sixths, whichever lie nearer to them all; onsets count more than ends. Where the onsets are not
those of a written file, gaps of a sixteenth or less after a note are closed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from statistics import median
from typing import Final, TypeAlias

Times: TypeAlias = tuple[Fraction, Fraction]
"""Where a note starts and ends."""

EIGHTH: Final = Fraction(1, 2)
GRIDS: Final = (Fraction(1, 4), Fraction(1, 6))
ONSET, END = 8, 1
"""How much a point counts when a grid is chosen."""

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
    points: defaultdict[int, list[tuple[Fraction, int]]] = defaultdict(list)
    for start, end in notes:
        points[start // EIGHTH].append((start, ONSET))
        points[end // EIGHTH].append((end, END))
    return {
        eighth: min(GRIDS, key=lambda grid: _error(own, grid)) for eighth, own in points.items()
    }


def _error(points: Sequence[tuple[Fraction, int]], grid: Fraction) -> Fraction:
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
