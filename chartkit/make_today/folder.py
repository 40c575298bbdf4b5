"""The folder of a day: a booklet, a sound for each item, one for all of it, and the plan.

Conventions: the folder appears whole or not at all; it is made beside its place under another name.
A folder that holds a plan is one of ours and is replaced; any other is left alone.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Final

from chartkit.errors import RequestError
from chartkit.make_today import sound
from chartkit.make_today.items import clock, item_page, item_playable
from chartkit.make_today.kept import Kept, clear_abandoned, digest_of
from chartkit.make_today.phrases import phrase_of
from chartkit.make_today.today import Today
from chartkit.output.files import cannot_write
from chartkit.output.paper import PAPERS
from chartkit.output.sizes import LARGE, ORDINARY
from chartkit.phrase.phrase import Phrase
from chartkit.practice.item import Item
from chartkit.practice.order import EVIDENCE
from chartkit.practice.plan import write_plan

PLAN: Final = "plan.json"
BOOKLET: Final = "booklet.pdf"
WHOLE: Final = "whole"

CAUTION: Final = (
    "Warm up first, stop on pain, and keep the volume safe; a teacher or a clinician knows more "
    "than a program."
)

STRETCHES: Final = (
    "Where the hand stretches: warm up, stop on pain, and take pain that lasts to a clinician."
)
"""Stands at the foot of every page, so it cannot say `here`."""

RECIPE: Final = 1
LAYOUT: Final = 2
"""Changes when the same plan is to sound or to look otherwise, so that nothing old is kept."""


@dataclass(frozen=True, slots=True)
class Making:
    """How a day is to be made.

    Parameters
    ----------
    soundfont : Path
    ending : str
        Of the sound files, with its dot.
    paper : str
        A name of `chartkit.output.paper.PAPERS`.
    large : bool
        Print large.
    """

    soundfont: Path
    ending: str = ".flac"
    paper: str = "a4"
    large: bool = False


@dataclass(frozen=True, slots=True)
class File:
    """A file of the folder: its name, the digest of what it is made from, and how."""

    name: str
    digest: str
    make: Callable[[Path], None]


def build(
    today: Today,
    folder: Path,
    kept: Kept,
    making: Making,
    progress: Callable[[float], None] | None = None,
) -> tuple[str, ...]:
    """Make the folder of a day; return the names of its files.

    Parameters
    ----------
    today : Today
    folder : Path
        Where it is to be.
    kept : Kept
        Where what was made before is found.
    making : Making
    progress : callable, optional
        Called with the share that is done, 0 to 1.

    Raises
    ------
    RequestError
        There is a folder that holds something else.
    OutputError
        Something cannot be written; then nothing is left of it.
    """
    _check(folder)
    items = [_sound_file(today, number, making) for number in range(len(today.plan.items))]
    files = [*items, _booklet_file(today, making)]
    with _beside(folder) as scratch:
        sources = _all_made(files, kept, progress)
        whole = _whole_file(today, items, [sources[one.name] for one in items], making)
        sources[whole.name] = kept.made(whole.digest, making.ending, whole.make)
        for name, source in sources.items():
            shutil.copyfile(source, scratch / name)
        (scratch / PLAN).write_text(write_plan(today.plan), encoding="utf-8")
        _put(scratch, folder)
    kept.prune()
    if progress:
        progress(1.0)
    return (BOOKLET, whole.name, *(one.name for one in items), PLAN)


def item_name(number: int, item: Item, ending: str) -> str:
    """Return the name of an item's sound, such as ``02-scales.flac``; `number` counts from 1."""
    return f"{number:02d}-{item.activity.replace(' ', '-')}{ending}"


def _sound_file(today: Today, number: int, making: Making) -> File:
    item = today.plan.items[number]
    chart = today.chart(item)

    def make(path: Path) -> None:
        made = item_playable(item, chart)
        sound.write_item(item, made.performance, path, making.soundfont)

    name = item_name(number + 1, item, making.ending)
    told = replace(item, why="")
    digest = digest_of(RECIPE, told, chart, _phrase(item), _font(making), making.ending)
    return File(name, digest, make)


def _phrase(item: Item) -> Phrase | None:
    return phrase_of(item.phrase) if item.phrase else None


def _whole_file(today: Today, items: list[File], sounds: list[Path], making: Making) -> File:
    title = f"{today.plan.day.isoformat()}, {today.plan.minutes} minutes"
    make = partial(_write_whole, today, sounds, title)
    names = [item.title for item in today.plan.items]
    digest = digest_of(RECIPE, title, names, [one.digest for one in items])
    return File(f"{WHOLE}{making.ending}", digest, make)


def _write_whole(today: Today, sounds: list[Path], title: str, path: Path) -> None:
    sound.write_whole(today.plan.items, sounds, path, title)


def _booklet_file(today: Today, making: Making) -> File:
    def make(path: Path) -> None:
        from chartkit.output import engrave
        from chartkit.output.booklet import Booklet

        sheets = tuple(
            replace(
                page,
                title=f"{' and '.join(map(str, numbers))}. {page.title}",
                caution=STRETCHES if page.caution else "",
            )
            for numbers, item in _on_pages(today.plan.items)
            for page in [item_page(item, today.chart(item))]
        )
        booklet = Booklet(title_of(today), sheets, (CAUTION, EVIDENCE))
        sizes = LARGE if making.large else ORDINARY
        path.write_bytes(engrave.pdf(booklet, PAPERS[making.paper], sizes))

    look = (LAYOUT, making.paper, making.large, EVIDENCE, CAUTION, STRETCHES)
    phrases = tuple(map(_phrase, today.plan.items))
    digest = digest_of(RECIPE, title_of(today), today.plan.items, today.charts, phrases, look)
    return File(BOOKLET, digest, make)


def _on_pages(items: Sequence[Item]) -> Iterator[tuple[tuple[int, ...], Item]]:
    """Yield what has a page, with its numbers: two turns of the same have one between them."""
    numbers: dict[tuple[object, ...], list[int]] = {}
    for number, item in enumerate(items, 1):
        numbers.setdefault(item.combination, []).append(number)
    for of_one in numbers.values():
        yield tuple(of_one), items[of_one[0] - 1]


def title_of(today: Today) -> str:
    """Return the title of a day: its date and its time."""
    day = today.plan.day
    return f"{day.day} {day:%B %Y}: {clock(today.plan.seconds)}"


def _font(making: Making) -> tuple[str, int, int]:
    state = making.soundfont.stat()
    return str(making.soundfont), state.st_size, state.st_mtime_ns


def _all_made(
    files: list[File], kept: Kept, progress: Callable[[float], None] | None
) -> dict[str, Path]:
    """Make files a few at a time, the longest first; stop at the first that fails."""
    made: dict[str, Path] = {}
    with ThreadPoolExecutor(min(len(files), os.cpu_count() or 1)) as pool:
        waiting: dict[Future[Path], File] = {
            pool.submit(kept.made, one.digest, Path(one.name).suffix, one.make): one
            for one in sorted(files, key=lambda one: one.name != BOOKLET)
        }
        try:
            while waiting:
                done, _ = wait(waiting, timeout=0.2, return_when=FIRST_COMPLETED)
                for future in done:
                    made[waiting.pop(future).name] = future.result()
                if progress:
                    progress(len(made) / (len(files) + 1))
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    return made


def _check(folder: Path) -> None:
    """Refuse to replace what is not ours."""
    if folder.is_dir():
        ours = (folder / PLAN).is_file() or not any(folder.iterdir())
    else:
        ours = not folder.exists()
    if not ours:
        raise RequestError(f"{folder} holds something else: choose another place with -o")


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    """Give a new folder beside one; nothing is left of it afterwards."""
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        clear_abandoned(folder.parent, _scratch(folder))
        scratch = Path(tempfile.mkdtemp(prefix=_scratch(folder), dir=folder.parent))
    except OSError as error:
        raise cannot_write(folder, error) from error
    try:
        yield scratch
    except OSError as error:
        raise cannot_write(folder, error) from error
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _scratch(folder: Path) -> str:
    """Return how the names of folders begin in which one is made."""
    return f".{folder.name}-"


def _put(scratch: Path, folder: Path) -> None:
    """Put a finished folder in its place; the one that was there goes only then."""
    scratch.chmod(0o755)
    if folder.exists():
        old = Path(tempfile.mkdtemp(prefix=_scratch(folder), dir=folder.parent))
        folder.replace(old)
        scratch.replace(folder)
        shutil.rmtree(old, ignore_errors=True)
    else:
        scratch.replace(folder)
