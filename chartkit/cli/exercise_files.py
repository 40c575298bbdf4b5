"""The files of an exercise: pages, notation and sound, one by one or all into a folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from chartkit.cli import options
from chartkit.cli.values import MUSIC, NOTATION, PAGES
from chartkit.errors import RequestError
from chartkit.notate.line import Staves
from chartkit.take import Take

EVERY: Final = (*NOTATION, *MUSIC)
"""The endings that an exercise may have."""


@dataclass(frozen=True, slots=True)
class Page:
    """How an exercise is printed."""

    paper: str
    staves: Staves
    diagrams: bool
    large: bool


def write_booklet(takes: Sequence[Take], path: Path, page: Page) -> None:
    """Write several exercises, in every key that each goes through, as one booklet.

    Raises
    ------
    RequestError
        The ending is not one of a page's.
    """
    from chartkit.make import each_key, exercise_booklet

    if path.suffix.lower() not in PAGES:
        raise RequestError(
            f"several exercises or keys make one booklet as {', '.join(PAGES)}; "
            "for other formats name a folder with -o"
        )
    printed = [one for take in takes for one in each_key(take)]
    booklet = exercise_booklet(printed, page.staves, diagrams=page.diagrams)
    options.print_sheet(booklet, path, page.paper, large=page.large)


def write_one(
    take: Take, path: Path, page: Page, *, stems: bool = False, over: bool = True
) -> None:
    """Write an exercise in the format of the path's ending; in several keys it is a booklet.

    As sound it may be a file for each part, written `over` what is there or not.
    """
    from chartkit.make import each_key, exercise_sheet

    if path.suffix.lower() in MUSIC:
        options.render(take, path, stems=stems, over=over)
    elif len(each_key(take)) > 1:
        write_booklet([take], path, page)
    else:
        sheet = exercise_sheet(take, page.staves, diagrams=page.diagrams)
        options.print_sheet(sheet, path, page.paper, large=page.large)


def write_all(take: Take, folder: Path, name: str, page: Page) -> None:
    """Write an exercise in every format into a folder; what holds one key, once for each."""
    from chartkit.cli.naming import named_in_key
    from chartkit.make import each_key

    keys = each_key(take)
    for ending in EVERY:
        if ending in (*MUSIC, *PAGES) or len(keys) == 1:
            write_one(take, folder / f"{name}{ending}", page)
        else:
            for one in keys:
                write_one(one, folder / f"{named_in_key(name, one)}{ending}", page)
