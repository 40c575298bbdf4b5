"""`chartkit stand`: the page in the browser that plays, follows and remembers."""

from __future__ import annotations

import webbrowser
from fractions import Fraction
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any, Final

import click

from chartkit.cli.groups import GroupedCommand, examples, under
from chartkit.cli.naming import destination
from chartkit.cli.options import MUSIC_HEADING, SOUND
from chartkit.cli.today import DEMO
from chartkit.cli.values import BARS, KEY, POSITION, TEMPO, KeyTyped, output
from chartkit.errors import RequestError
from chartkit.exercise import KINDS
from chartkit.feel import FEELS
from chartkit.practice.entry import ME

if TYPE_CHECKING:
    from chartkit.stand.server import Desk
    from chartkit.stand.sound import Form

WHERE_HEADING: Final = "Where"

EXAMPLES: Final = examples(
    "chartkit stand my-tune.chart",
    "chartkit stand",
    "chartkit stand my-tune.chart --section A --kind arpeggio --position V",
    "chartkit stand my-tune.chart --section B --save for-a-student.html",
)

USUAL_POSITION: Final = 5

PHRASE: Final = ".phrase"


@click.command("stand", cls=GroupedCommand, epilog=EXAMPLES)
@click.argument("files", nargs=-1, metavar="[FILE]...")
@under(MUSIC_HEADING, "--section", "sections", multiple=True, help="Of each FILE; may repeat.")
@under(MUSIC_HEADING, "--bars", type=BARS, help="Printed bar numbers, such as 7-10, instead.")
@under(MUSIC_HEADING, "--kind", type=click.Choice(list(KINDS)), help="An exercise through them.")
@under(MUSIC_HEADING, "--position", type=POSITION, help="Of the exercise.  [default: V]")
@under(MUSIC_HEADING, "--tempo", type=TEMPO, help="Quarter notes a minute, 30-400.")
@under(MUSIC_HEADING, "--key", type=KEY, help="Transpose to this key, such as Bb.")
@under(MUSIC_HEADING, "--feel", type=click.Choice(list(FEELS)), help="In place of the chart's.")
@under(
    WHERE_HEADING,
    "--save",
    "path",
    type=output((".html",)),
    metavar="FILE.html",
    help="Write it all into one file, which needs neither network nor chartkit, instead of "
    "opening the stand.",
)
@under(
    WHERE_HEADING,
    "--small",
    is_flag=True,
    help="A quarter of the size, with Ogg Vorbis in place of FLAC; old browsers do not play it.",
)
@under(WHERE_HEADING, "--force", is_flag=True, help="Write over the file named with --save.")
@under(
    WHERE_HEADING,
    "--port",
    type=click.IntRange(0, 65535),
    metavar="PORT",
    help="Of this machine, for the page.  [default: a free one]",
)
@under(WHERE_HEADING, "--no-open", is_flag=True, help="Do not open a browser.")
@click.option("--player", default=ME, show_default=True, help="Whose routine and log it is.")
@SOUND[0]
@SOUND[1]
def command(
    files: tuple[str, ...],
    *,
    sections: tuple[str, ...],
    bars: tuple[int, int] | None,
    kind: str | None,
    position: int | None,
    tempo: Fraction | None,
    key: KeyTyped | None,
    feel: str | None,
    path: Path | None,
    small: bool,
    force: bool,
    port: int | None,
    no_open: bool,
    player: str,
    a4: float,
    soundfont: str | None,
) -> None:
    """Open the music stand in the browser: the FILEs named, or today's routine.

    FILE is a chart or a phrase. It serves this machine alone, until Ctrl-C. Keep the volume safe.
    """
    wanted = {
        "sections": list(sections) or None,
        "bars": list(bars) if bars else None,
        "exercise": _exercise(kind, position),
        "tempo": float(tempo) if tempo else None,
        "key": str(key[0]) if key else None,
        "feel": feel,
    }
    request = {name: value for name, value in wanted.items() if value is not None}
    if request and not files:
        raise RequestError("say which FILE the section, bars, exercise, tempo or key are of")
    if key and key[1]:
        raise RequestError(f"a transposition keeps the tune's mode: say --key {key[0]}")
    if small and not path:
        raise RequestError("--small is for a file: say where with --save")
    target = destination(path, path.name, force=force) if path else None
    desk = _desk(files, request, player, soundfont, a4)
    if target:
        _save(desk, target, "ogg" if small else "flac")
    else:
        _serve(desk, port, no_open=no_open)


def _exercise(kind: str | None, position: int | None) -> dict[str, Any] | None:
    if kind is None and position is None:
        return None
    if kind is None:
        raise RequestError("a position is an exercise's: say its --kind too")
    return {"kind": kind, "position": position or USUAL_POSITION}


def _desk(
    files: tuple[str, ...],
    request: dict[str, Any],
    player: str,
    soundfont: str | None,
    a4: float,
) -> Desk:
    """Return everything that the stand answers from."""
    from chartkit.home import home
    from chartkit.stand.asked import asked_of
    from chartkit.stand.programme import Programme
    from chartkit.stand.routine import Routine
    from chartkit.stand.server import Desk
    from chartkit.stand.shelf import YOURS, Shelf, read_chart
    from chartkit.stand.store import Store
    from chartkit.stand.workshop import Workshop

    if "-" in files:
        raise RequestError("the stand reads a chart again when it changes: name a file instead")
    shelf = Shelf([_found(name) for name in files])
    names = [place.id for place in shelf.places if place.owner == YOURS]
    requests = [{"tune": name, **request} for name in names]
    store = Store(home() / "cache" / "sound")
    routine = Routine(home(), read_chart, shelf.chart(DEMO), player)
    programme = Programme(shelf, requests, routine)
    workshop = Workshop(
        shelf, store, programme.work, about=programme.about, soundfont=soundfont, a4=a4
    )
    for one in requests:
        workshop.work(asked_of(one))  # what is not there is told now, not in the browser
    return Desk(shelf, store, workshop, programme)


def _found(name: str) -> Path:
    """Return the file of a tune or a phrase, the player's own or a demo.

    Raises
    ------
    OutputError
        There is none.
    """
    from chartkit.cli import loading, phrase_loading

    if name.endswith(PHRASE) or (name in phrase_loading.demos() and not Path(name).exists()):
        return Path(phrase_loading.text_of(name)[1])
    return Path(loading.text_of(name)[1])


def _serve(desk: Desk, port: int | None, *, no_open: bool) -> None:
    """Serve the page until Ctrl-C, which is the ordinary way to end it."""
    from chartkit.stand.serving import listening, serve

    def ready(address: str) -> None:
        click.echo(address)
        click.echo("the stand is open until Ctrl-C", err=True)
        if not no_open:  # beside the server, for a browser in the terminal does not come back
            Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    try:
        serve(desk, listening(port), ready)
    except KeyboardInterrupt:
        click.echo("the stand is closed", err=True)


def _save(desk: Desk, path: Path, form: Form) -> None:
    """Write everything to go through into one file."""
    from chartkit.cli.progress import progress
    from chartkit.output.files import write_bytes
    from chartkit.stand.saving import saved_programme

    with progress(f"Saving {path.name}") as report:
        html = saved_programme(desk, form, report)
    write_bytes(path, html.encode())
    click.echo(path)
