"""`chartkit phrase keep`: the player's own phrases, which come up in the routine of a day."""

from __future__ import annotations

from pathlib import Path

import click

from chartkit.cli.groups import examples
from chartkit.errors import RequestError

EXAMPLES = examples(
    "chartkit phrase keep my-phrase.phrase",
    "chartkit phrase keep",
    "chartkit phrase keep --no-more my-phrase",
)


@click.command("keep", epilog=EXAMPLES)
@click.argument("names", nargs=-1, metavar="[FILE]...")
@click.option("--no-more", "drop", is_flag=True, help="Keep these no longer; their names will do.")
@click.option("--force", is_flag=True, help="In place of another phrase of that name.")
def command(names: tuple[str, ...], *, drop: bool, force: bool) -> None:
    """Keep phrases, so that today's vocabulary and etudes can take them up.

    They are copied into the folder of your own things. Without FILE the phrases kept are listed.
    """
    from chartkit.home import home

    if not names:
        _list(home())
    for name in names:
        if drop:
            _drop(home(), name)
        else:
            _keep(home(), name, force=force)


def _list(home: Path) -> None:
    from chartkit.phrase.kept import folder_of, kept_phrases

    kept = [(one.id, one.phrase.title) for one in kept_phrases(home)]
    for name, title in kept:
        click.echo(f"{name}: {title}" if title else name)
    if not kept:
        click.echo(f"no phrases are kept yet in {folder_of(home)}", err=True)


def _keep(home: Path, name: str, *, force: bool) -> None:
    from chartkit.cli.phrase_loading import load
    from chartkit.output.files import cannot_write, write_bytes
    from chartkit.phrase.kept import path_of
    from chartkit.phrase.writer import write

    loaded = load(name)
    path = path_of(home, loaded.stem)
    text = write(loaded.phrase)
    if path.exists() and not force and path.read_bytes() != text.encode():
        raise RequestError(f"another phrase is kept as {loaded.stem}: rename the file, or --force")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_write(path, error) from error
    write_bytes(path, text.encode())
    click.echo(path)


def _drop(home: Path, name: str) -> None:
    from chartkit.output.files import cannot_write
    from chartkit.phrase.kept import path_of

    path = path_of(home, Path(name).stem)
    if not path.exists():
        raise RequestError(f"no phrase is kept as {Path(name).stem}")
    try:
        path.unlink()
    except OSError as error:
        raise cannot_write(path, error) from error
    click.echo(f"{path.stem} is kept no more", err=True)
