"""`chartkit stand`: the page in the browser that plays, follows and remembers."""

from __future__ import annotations

import webbrowser
from pathlib import Path
from typing import Final

import click

EXAMPLES: Final = "Example: chartkit stand my-tune.chart"


@click.command("stand", epilog=EXAMPLES)
@click.argument("files", nargs=-1, metavar="[FILE]...")
@click.option(
    "--port", type=click.IntRange(0, 65535), help="Where to serve.  [default: a free one]"
)
@click.option("--no-open", is_flag=True, help="Do not open the page in the browser.")
@click.option(
    "--a4",
    type=click.FloatRange(400, 480),
    default=440.0,
    show_default=True,
    help="Tuning of A4 in Hz.",
)
@click.option("--soundfont", metavar="FONT", help="A soundfont file; see soundfonts-README.")
def command(
    files: tuple[str, ...], *, port: int | None, no_open: bool, a4: float, soundfont: str | None
) -> None:
    """Open the music stand in the browser: today's routine, or any tune, section or exercise.

    It serves this machine alone, until Ctrl-C. Keep the volume safe.
    """
    from chartkit.cli.loading import text_of
    from chartkit.home import home
    from chartkit.stand.server import Desk
    from chartkit.stand.serving import listening, serve
    from chartkit.stand.shelf import Shelf
    from chartkit.stand.store import Store
    from chartkit.stand.today import Today
    from chartkit.stand.workshop import Workshop

    shelf = Shelf([Path(text_of(name)[1]) for name in files])
    store, today = Store(home() / "cache" / "sound"), Today()
    workshop = Workshop(shelf, store, today.work, soundfont=soundfont, a4=a4)

    def ready(address: str) -> None:
        click.echo(address)
        click.echo("the stand is open until Ctrl-C", err=True)
        if not no_open:
            webbrowser.open(address)

    try:
        serve(Desk(shelf, store, workshop, today), listening(port), ready)
    except KeyboardInterrupt:
        click.echo("the stand is closed", err=True)
