"""The options that several commands share, and the take they make."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from chartkit.chart import Chart
from chartkit.cli import practice
from chartkit.cli.groups import under
from chartkit.cli.lasting import ENDS_HEADING
from chartkit.cli.practice import Practice, practised
from chartkit.cli.values import KEY, MUSIC, TEMPO, KeyTyped, output
from chartkit.controls.keys import Keys
from chartkit.errors import RequestError
from chartkit.feel import FEELS
from chartkit.output.paper import PAPERS
from chartkit.output.sizes import LARGE, ORDINARY
from chartkit.take import Take
from chartkit.theory.key import Key

if TYPE_CHECKING:
    from chartkit.output.engrave import Printed
    from chartkit.track import Performance

Function = TypeVar("Function", bound=Callable[..., Any])

CHART: Final = click.argument("file", metavar="FILE")
SECTIONS: Final = click.argument("sections", nargs=-1, metavar="[SECTION]...")

PAGE_HEADING: Final = "The page"
MUSIC_HEADING: Final = "The music"
SOUND_HEADING: Final = "The sound"
FILE_HEADING: Final = "The file"

PAPER: Final = under(
    PAGE_HEADING,
    "--paper",
    type=click.Choice(list(PAPERS)),
    default="a4",
    show_default=True,
    help="Paper of a printed page.",
)

LARGE_PRINT: Final = under(PAGE_HEADING, "--large", is_flag=True, help="Large print.")
STAVES: Final = under(
    PAGE_HEADING,
    "--staves",
    type=click.Choice(["both", "staff", "tab"]),
    default="both",
    show_default=True,
    help="Print staff and tablature, or one of them alone.",
)

SOUND: Final = (
    under(
        SOUND_HEADING,
        "--a4",
        type=click.FloatRange(400, 480),
        default=440.0,
        show_default=True,
        help="Tuning of A4 in Hz.",
    ),
    under(
        SOUND_HEADING,
        "--soundfont",
        metavar="FONT",
        help="A soundfont file; see soundfonts-README.",
    ),
)
"""How anything that is heard sounds."""


def adding_sound(function: Function) -> Function:
    """Add the options of how anything sounds."""
    for option in reversed(SOUND):
        function = option(function)
    return function


HEARD_TIMES: Final = under(
    SOUND_HEADING,
    "--times",
    type=click.IntRange(1, 500),
    default=1,
    show_default=True,
    help="Times round, where it is heard.",
)

PLAYING: Final = (
    under(MUSIC_HEADING, "--tempo", type=TEMPO, help="Quarter notes a minute, 30-400."),
    under(MUSIC_HEADING, "--key", type=KEY, help="Transpose to this key, such as Bb."),
    under(
        MUSIC_HEADING,
        "--feel",
        type=click.Choice(list(FEELS)),
        help="In place of the chart's feel.",
    ),
    under(MUSIC_HEADING, "--same", is_flag=True, help="Play each time round alike."),
    under(
        MUSIC_HEADING,
        "--seed",
        type=click.IntRange(0, 2**31 - 1),
        default=0,
        help="Another number, another band take.",
    ),
    *practice.OPTIONS,
    *SOUND,
)


class Playing(Practice):
    """What `PLAYING` hands to a command."""

    tempo: Fraction | None
    key: KeyTyped | None
    feel: str | None
    same: bool
    seed: int
    a4: float
    soundfont: str | None


def playing(function: Function) -> Function:
    """Add the options of every command that makes music."""
    for option in reversed(PLAYING):
        function = option(function)
    return function


STEMS: Final = under(
    FILE_HEADING,
    "--stems",
    is_flag=True,
    help="Write a sound file for each part, to mix anew, instead of one for all: as long and as "
    "loud as in the mix.",
)


def count_in(bars: int) -> Callable[[Function], Function]:
    """Add ``--count-in`` with a default number of bars."""
    return under(
        ENDS_HEADING,
        "--count-in",
        type=click.IntRange(0, 8),
        default=bars,
        show_default=True,
        metavar="BARS",
        help="Bars of clicks before it starts.",
    )


def writing(endings: tuple[str, ...], *, folder: str = "") -> Callable[[Function], Function]:
    """Add ``-o`` and ``--force`` for files of these endings; `folder` tells what one would get."""

    def add(function: Function) -> Function:
        into = f"Where to write; the ending decides the format: {' '.join(endings)}."
        if folder:
            into += f" A folder gets {folder}."
        force = under(
            FILE_HEADING, "--force", is_flag=True, help="Write over the file named with -o."
        )
        to = output(endings, folder=bool(folder))
        named = under(FILE_HEADING, "-o", "--output", "path", type=to, help=into)
        return named(force(function))

    return add


def wanted_key(chart: Chart, asked: KeyTyped | None, option: str = "--key") -> Key | None:
    """Return the key to transpose to; the name that was typed wins, the mode is the chart's.

    A name without a signature, such as G flat minor, becomes its customary one.

    `option` is what it was typed after.

    Raises
    ------
    RequestError
        The other mode was asked for.
    """
    if asked is None:
        return None
    from chartkit.form import key_of

    tonic, mode = asked
    home = key_of(chart)
    if mode not in (None, home.mode):
        raise RequestError(
            f"the tune is in {home}, and a transposition keeps the mode: say {option} {tonic}"
        )
    return Key(tonic, home.mode).customary


def played(take: Take, playing: Playing) -> Take:
    """Return a take as the `PLAYING` options want it played.

    Warns on standard error of a tempo outside the feel's band.
    """
    from chartkit.arrange import tempo_warning

    asked = replace(
        practised(take, playing),
        key=wanted_key(take.chart, playing["key"]),
        tempo=playing["tempo"],
        feel=playing["feel"],
        same=playing["same"],
        seed=playing["seed"],
        a4=playing["a4"],
        keys=_keys(take.chart, playing["keys"]),
        soundfont=playing["soundfont"],
    )
    if warning := tempo_warning(asked):
        warn(warning)
    return asked


def _keys(chart: Chart, asked: int | tuple[KeyTyped, ...]) -> Keys:
    if isinstance(asked, int):
        return asked
    found = (wanted_key(chart, key, "--key-each-time") for key in asked)
    return tuple(key.tonic for key in found if key)


def stems_wanted(asked: bool, path: Path | None) -> bool:
    """Return whether stems are to be written, where what is written may be a page.

    Raises
    ------
    RequestError
        They are asked for, but no sound file is.
    """
    if asked and (path is None or path.suffix.lower() not in MUSIC):
        raise RequestError("stems are sound: name a sound file with -o, such as line.wav")
    return asked


def render(take: Take, path: Path, *, stems: bool = False, over: bool = True) -> None:
    """Write a take as MIDI or audio; see `write_heard`."""
    from chartkit.make import performance

    sound = Sound(take.soundfont, take.a4, stems, over)
    write_heard(performance(take), path, sound)
    if take.loop and path.suffix.lower() == ".mp3":
        warn("MP3 pads its ends, so it loops with a gap: choose .wav, .flac or .ogg to loop")


@dataclass(frozen=True, slots=True)
class Sound:
    """How what is heard is to be written.

    Parameters
    ----------
    soundfont : str or None
    a4 : float
        Tuning of A4 in Hz.
    stems : bool
        A file for each part.
    over : bool
        Files that are there already may be written over.
    """

    soundfont: str | None
    a4: float
    stems: bool = False
    over: bool = True


def write_heard(music: Performance, path: Path, sound: Sound) -> None:
    """Write a performance or its stems, show progress, and print the names of the files."""
    from chartkit.cli.naming import destination
    from chartkit.cli.progress import progress
    from chartkit.output.music import stems_beside, write, write_stems

    paths = stems_beside(music, path) if sound.stems else {}
    written = tuple(paths.values()) if sound.stems else (path,)
    for one in written:
        destination(one, one.name, force=sound.over)
    with progress(f"Rendering {path.name}") as report:
        if sound.stems:
            write_stems(music, paths, soundfont=sound.soundfont, a4=sound.a4, progress=report)
        else:
            write(music, path, soundfont=sound.soundfont, a4=sound.a4, progress=report)
    for one in written:
        click.echo(one)


def print_sheet(printed: Printed, path: Path, paper: str, *, large: bool = False) -> None:
    """Write a sheet, a booklet or diagrams and print the names of the files."""
    from chartkit.make import write_sheet

    for written in write_sheet(printed, path, PAPERS[paper], LARGE if large else ORDINARY):
        click.echo(written)


def play(take: Take) -> None:
    """Play a take until Ctrl-C, which is the ordinary way to end it."""
    from chartkit import make

    click.echo("playing until Ctrl-C", err=True)
    try:
        make.play(take)
    except KeyboardInterrupt:
        click.echo("stopped", err=True)


def warn(sentence: str) -> None:
    """Say a warning on standard error."""
    click.echo(f"chartkit: warning: {sentence}", err=True)
