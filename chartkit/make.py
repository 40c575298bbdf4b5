"""From a take to files: every stage called in its order, and the format told by the ending.

Each function here is the whole recipe for one kind of result; the stages know nothing of it.
Heavy libraries are imported by the stage that needs them, when it is called.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from chartkit.arrange import arrange, form_of, tempo_of
from chartkit.chart import Tempo
from chartkit.errors import CannotPlay, RequestError
from chartkit.exercise.asked import line_asked, title_of
from chartkit.exercise.heard import line_track
from chartkit.guitar.fingering import Fingering
from chartkit.harmony import spans
from chartkit.line import Line
from chartkit.output import music
from chartkit.output.files import write_bytes
from chartkit.output.sizes import ORDINARY, Sizes
from chartkit.player import fingered, place_words, range_of, unbroken_range
from chartkit.rounds import rounds
from chartkit.take import ExerciseAsked, Take
from chartkit.theory.key import Key
from chartkit.track import Performance, Track

if TYPE_CHECKING:
    from chartkit.guitar.shapes import Shape
    from chartkit.notate import Sheet
    from chartkit.notate.line import Staves
    from chartkit.output.booklet import Booklet
    from chartkit.output.engrave import Printed
    from chartkit.output.paper import Paper

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Exercise:
    """A line through the changes of a take, and its fingering on an instrument with frets."""

    line: Line
    fingering: Fingering | None


def exercise(take: Take) -> Exercise:
    """Return the exercise of a take: one time round, fingered for the player that it asks for.

    Where a note of it is one that the strings leave out, it is made in the range that lacks none.

    Raises
    ------
    CannotPlay
        No such line exists in the range or the position.
    """
    asked = take.exercise or ExerciseAsked()
    changes = spans(form_of(take), loop=True)
    whole = range_of(asked.player, asked.position)
    unbroken = unbroken_range(asked.player, asked.position)
    try:
        return _fingered(line_asked(changes, asked, *whole), asked)
    except CannotPlay:
        if whole == unbroken:
            raise
    return _fingered(line_asked(changes, asked, *unbroken), asked)


def _fingered(line: Line, asked: ExerciseAsked) -> Exercise:
    return Exercise(line, fingered(line, asked.player, asked.position))


def each_key(take: Take) -> tuple[Take, ...]:
    """Return a take for every key that a take goes through, in the order they come up.

    A take in one key is the only one.
    """
    if not take.keys:
        return (take,)
    keys = dict.fromkeys(one.key for one in rounds(take))
    return tuple(replace(take, key=key, keys=0) for key in keys)


def performance(take: Take, line_in: Callable[[Key], Line] | None = None) -> Performance:
    """Return all that sounds in a take: its parts of the band, and a line.

    Parameters
    ----------
    take : Take
    line_in : callable, optional
        Gives the line of one time round in a key; the take's exercise where it has one by default.
    """
    from chartkit import band
    from chartkit.timing import perform

    arrangement = arrange(take)
    if line_in is None and take.exercise:
        line_in = partial(_exercise_in, take)
    lines = (_each_time(take, line_in),) if line_in else ()
    tracks = (*band.play(arrangement, take.parts, take.seed, _room(take, lines)), *lines)
    return replace(perform(arrangement, tracks, take.seed), levels=take.levels)


def exercise_sheet(take: Take, staves: Staves = "both", *, diagrams: bool = False) -> Sheet:
    """Return the exercise of a take as it is printed.

    Parameters
    ----------
    take : Take
    staves : {"both", "staff", "tab"}
    diagrams : bool
        Draw each chord's arpeggio in the exercise's position under it.

    Raises
    ------
    RequestError
        Diagrams are asked for where there is no position or no neck.
    """
    from chartkit.notate import notate_line

    asked = take.exercise or ExerciseAsked()
    made = exercise(take)
    sheet = notate_line(
        made.line,
        made.fingering,
        title=take.chart.title,
        subtitle=exercise_title(take),
        composer=take.chart.composer,
        tempo=Tempo(tempo_of(take)),
        instrument=asked.player.instrument,
        staves=staves,
    )
    return replace(sheet, shapes=_arpeggios(made.line, asked)) if diagrams else sheet


def exercise_title(take: Take) -> str:
    """Return what the exercise of a take is, where it is played, and the key it is put into."""
    from chartkit.notate.symbols import printed_name

    asked, key = take.exercise or ExerciseAsked(), take.key
    moved = (f"in {printed_name(key.tonic)} {key.mode}",) if key else ()
    return ", ".join((title_of(asked), *place_words(asked.player, asked.position), *moved))


def _arpeggios(line: Line, asked: ExerciseAsked) -> tuple[Shape, ...]:
    """Return the arpeggio of each chord of a line, once, in the position asked for."""
    from chartkit.guitar.shapes import in_position
    from chartkit.notate.symbols import chord_text

    tuning, position = asked.player.instrument.tuning, asked.position
    if tuning is None or position is None:
        raise RequestError("diagrams are drawn in a position: say --position, on a neck with frets")
    chords = dict.fromkeys(span.chord for span in line.spans if span.chord)
    return tuple(in_position(chord_text(chord), chord, position, tuning) for chord in chords)


def exercise_booklet(
    takes: Sequence[Take], staves: Staves = "both", *, diagrams: bool = False
) -> Booklet:
    """Return the exercises of several takes of one tune, to print together."""
    from chartkit.output.booklet import Booklet

    sheets = (exercise_sheet(take, staves, diagrams=diagrams) for take in takes)
    return Booklet(takes[0].chart.title, tuple(sheets))


def write_music(take: Take, path: Path, progress: Progress) -> None:
    """Write a take as MIDI (``.mid``) or as audio (any other ending).

    Parameters
    ----------
    take : Take
    path : Path
    progress : callable
        Called with the share that is done, 0 to 1.

    Raises
    ------
    SoundError
        There is no synthesiser or soundfont, and the ending needs one.
    OutputError
        The file cannot be written.
    """
    music.write(performance(take), path, soundfont=take.soundfont, a4=take.a4, progress=progress)


def play(take: Take) -> None:
    """Play a take on the machine's sound device until it is interrupted."""
    from chartkit.output import audio, synth

    font = synth.find_soundfont(take.soundfont)
    top = held_at_the_top(take)
    then = performance(top) if top else None
    audio.play_live(performance(take), soundfont=font, a4=take.a4, then=then)


def held_at_the_top(take: Take) -> Take | None:
    """Return what a loop goes on with when it has climbed its tempo ladder; None without one.

    The tempo that it has come to is held, and the band plays on, not the same again.
    """
    if take.ladder is None or not take.loop:
        return None
    last = rounds(take)[-1].tempo
    return replace(take, tempo=last, ladder=None, minutes=None, count_in=0, seed=take.seed + 1)


def write_sheet(
    printed: Printed, path: Path, paper: Paper, sizes: Sizes = ORDINARY
) -> tuple[Path, ...]:
    """Write a sheet as PDF, SVG, PNG or MusicXML; return the files written.

    Several pages become several SVG or PNG files, ``-1``, ``-2`` ... at the end of their names. A
    booklet and diagrams have pages only.

    Raises
    ------
    RequestError
        What is no single sheet was asked for as MusicXML.
    OutputError
        A file cannot be written.
    """
    pages = tuple(_printed(printed, path.suffix.lower(), paper, sizes))
    names = [path]
    if len(pages) > 1:
        names = [path.with_stem(f"{path.stem}-{n}") for n in range(1, len(pages) + 1)]
    for name, page in zip(names, pages, strict=True):
        write_bytes(name, page)
    return tuple(names)


def _exercise_in(take: Take, key: Key) -> Line:
    return exercise(replace(take, key=key, keys=0)).line


def _each_time(take: Take, line_in: Callable[[Key], Line]) -> Track:
    """Return a line in every time round, in the key of each."""
    played = rounds(take)
    instrument = (take.exercise or ExerciseAsked()).player.instrument
    once = {
        key: line_track(line_in(key), instrument)
        for key in dict.fromkeys(one.key for one in played)
    }
    notes = (
        replace(note, start=note.start + one.first)
        for one in played
        for note in once[one.key].notes
    )
    return replace(once[played[0].key], notes=tuple(notes))


def _room(take: Take, lines: Sequence[Track]) -> tuple[int, int] | None:
    """Return the register that the band leaves to someone else, lowest and highest pitch."""
    if take.leave_room != "line":
        return take.leave_room
    pitches = [note.pitch for line in lines for note in line.notes]
    if not pitches:
        raise RequestError("there is no line to leave room for: name a register such as A3-C5")
    return min(pitches), max(pitches)


def _printed(printed: Printed, ending: str, paper: Paper, sizes: Sizes) -> Iterator[bytes]:
    """Yield each file of a printed format."""
    from chartkit.notate import Sheet
    from chartkit.output import engrave, musicxml

    if ending == ".musicxml":
        if not isinstance(printed, Sheet):
            raise RequestError("MusicXML holds one piece a file: ask for one, or for .pdf")
        yield musicxml.encode(printed)
    elif ending == ".pdf":
        yield engrave.pdf(printed, paper, sizes)
    elif ending == ".svg":
        yield from (page.encode() for page in engrave.svg(printed, paper, sizes))
    else:
        yield from engrave.png(printed, paper, sizes)
