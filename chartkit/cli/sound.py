"""`chartkit sound`: what plays, where it was found, and a few bars to hear it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from chartkit.cli import options
from chartkit.cli.groups import GroupedCommand, under
from chartkit.cli.options import FILE_HEADING
from chartkit.cli.values import AUDIO

if TYPE_CHECKING:
    from chartkit.output.synth import Chosen
    from chartkit.take import Take

NAME: Final = "sound.wav"

WANTED: Final = {"upright bass": (0, 32), "jazz kit": (128, 32), "brushes": (128, 40)}
"""What a soundfont had best have, by bank and program [General MIDI 2 kits]."""

CHART: Final = """\
Title: A few bars
Key: C major
Tempo: 200

[A]
| Dm7 | G7 | Cmaj7 | A7 |
"""

WIDTH: Final = 14
MEGABYTE: Final = 1_000_000


@click.command("sound", cls=GroupedCommand, epilog="Example: chartkit sound --soundfont FluidR3_GM")
@options.adding_sound
@options.writing(AUDIO, folder=f"{NAME}")
@under(FILE_HEADING, "--play", is_flag=True, help="Play it until Ctrl-C instead of writing a file.")
def command(
    *, a4: float, soundfont: str | None, path: Path | None, force: bool, play: bool
) -> None:
    """Tell which soundfont and which synthesiser play, and render a few bars of every part.

    Set the volume low before you listen, and keep it safe.
    """
    from chartkit.cli.naming import place
    from chartkit.output.synth import choose_soundfont

    chosen = choose_soundfont(soundfont)
    for name, words in _told(chosen):
        click.echo(f"{name:{WIDTH}}{words}")
    take = _test(str(chosen.path), a4)
    if play:
        options.play(take)
        return
    target = place(path, NAME, AUDIO)
    options.render(take, target, over=force or target != path)


def _told(chosen: Chosen) -> Iterator[tuple[str, str]]:
    """Yield what there is to say, by what it is about."""
    from chartkit.output.corrections import REMARKS, name_of
    from chartkit.output.presets import presets
    from chartkit.output.synth import library, places

    found = library()
    size = max(1, round(chosen.path.stat().st_size / MEGABYTE))
    yield "soundfont", f"{chosen.path} ({size} MB)"
    yield "why", chosen.why
    whence = "that the package pygame-ce carries" if found.bundled else "the system's"
    yield "synthesiser", f"FluidSynth {found.version}, {whence} ({found.file})"
    there = presets(chosen.path)
    for name, preset in WANTED.items():
        yield name, there.get(preset, "none: the nearest that there is plays")
    known = name_of(chosen.path)
    yield "levels", "kept with chartkit" if known else "worked out when it plays: a second or two"
    yield "put right", REMARKS.get(known or "", "nothing")
    for number, one in enumerate(places()):
        fonts = ", ".join(font.name for font in one.fonts) or "nothing"
        yield "looked in" if not number else "", f"{one.name}: {fonts}"


def _test(soundfont: str, a4: float) -> Take:
    """Return four bars in which every part plays."""
    from chartkit.controls.clicks import Click
    from chartkit.reader import parse
    from chartkit.take import ExerciseAsked, Take

    chart = parse(CHART, "").chart
    assert chart is not None
    line = ExerciseAsked("connected", 5, value=Fraction(1, 2))
    return Take(chart, exercise=line, click=Click((2, 4)), a4=a4, soundfont=soundfont)
