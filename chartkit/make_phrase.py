"""From a phrase to what is printed and what is heard: the stages called in their order.

Conventions: a phrase is heard over its own chords, made into a little chart and looped, so that
everything a `Take` can ask for serves it. In another key each time round it moves the nearest way
from where it was written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from chartkit.arrange import arrange, tempo_of
from chartkit.chart import Tempo
from chartkit.errors import CannotPlay, RequestError
from chartkit.exercise.heard import line_track
from chartkit.form import key_of as key_of_chart
from chartkit.instrument import GUITAR
from chartkit.line import Line
from chartkit.make import Progress
from chartkit.output import music
from chartkit.phrase.analysis import facts_of
from chartkit.phrase.chart import NO_CHORDS, chart_of, key_of, looped
from chartkit.phrase.line import line_of
from chartkit.phrase.phrase import Phrase, PhraseChord
from chartkit.phrase.shape import best_fingering
from chartkit.phrase.transpose import transpose_phrase
from chartkit.playable import Playable
from chartkit.rounds import rounds
from chartkit.take import Take
from chartkit.theory.symbol import write_symbol
from chartkit.track import Marker, Performance, TempoMap, Track

if TYPE_CHECKING:
    from chartkit.notate import Measure, Sheet
    from chartkit.notate.line import Staves

_SIGNS: Final = str.maketrans({"b": "♭", "#": "♯"})


def phrase_sheet(
    phrase: Phrase,
    position: int | None = None,
    staves: Staves = "both",
    *,
    degrees: bool = False,
) -> Sheet:
    """Return a phrase as it is printed, fingered in a position or where it lies best.

    Parameters
    ----------
    phrase : Phrase
    position : int, optional
        Fret of the first finger.
    staves : {"both", "staff", "tab"}
    degrees : bool
        Write over each note which degree of its chord it is.

    Raises
    ------
    RequestError
        There is no such position.
    CannotPlay
        A note is not on the neck, or not in the position.
    """
    from chartkit.guitar.fretboard import numeral
    from chartkit.notate import notate_line

    tuning = GUITAR.tuning
    assert tuning, "a guitar has a neck"
    fingering = best_fingering(phrase, tuning, position)
    stood = dict.fromkeys(place for place in fingering.positions if place is not None)
    where = ", ".join(numeral(place) for place in stood)
    sheet = notate_line(
        line_of(phrase),
        fingering,
        title=phrase.title,
        subtitle=f"position{'s' * (len(stood) > 1)} {where}" if stood else "",
        composer=phrase.source,
        tempo=phrase.tempo or Tempo(tempo_of(phrase_take(phrase))),
        staves=staves,
    )
    measures = tuple(_with_degrees(phrase, sheet.measures)) if degrees else sheet.measures
    return replace(sheet, notes=phrase.note, measures=measures)


def _with_degrees(phrase: Phrase, measures: Sequence[Measure]) -> Iterator[Measure]:
    """Yield measures with each note's degree over it."""
    from chartkit.notate.sheet import Words

    told = {fact.start: str(fact.degree) for fact in facts_of(phrase) if fact.degree}
    start = -phrase.pickup
    for measure in measures:
        end = start + measure.length
        words = (
            Words(at - start, degree.translate(_SIGNS))
            for at, degree in told.items()
            if start <= at < end
        )
        yield replace(measure, words=tuple(words))
        start = end


def staff_sheet(phrase: Phrase) -> Sheet:
    """Return a phrase as notes alone, without fingering, for other programs to read."""
    from chartkit.notate import notate_line

    return notate_line(
        line_of(phrase), title=phrase.title, composer=phrase.source, tempo=phrase.tempo
    )


def phrase_take(phrase: Phrase) -> Take:
    """Return the take that loops the chords of a phrase; one without chords has N.C. throughout."""
    return Take(chart_of(looped(_with_chords(phrase))))


def _with_chords(phrase: Phrase) -> Phrase:
    if phrase.chords:
        return phrase
    bar = phrase.meter.length
    silent = tuple(PhraseChord(n * bar, bar, None) for n in range(phrase.bars))
    return replace(phrase, key=key_of(phrase), chords=silent)


def phrase_performance(phrase: Phrase, take: Take) -> Performance:
    """Return all that sounds: the band of a take from `phrase_take`, and the phrase each time.

    Raises
    ------
    CannotPlay
        A band is asked for where the phrase has no chords.
    """
    from chartkit import band
    from chartkit.timing import perform

    if take.parts and not phrase.chords:
        raise CannotPlay(NO_CHORDS)
    if phrase.pickup and not (take.loop or take.count_in):
        raise RequestError("the pick-up needs a count-in to come in: ask for one bar at least")
    arrangement = arrange(take)
    tracks = band.play(arrangement, take.parts, take.seed)
    sounding = (*tracks, _each_time(looped(_with_chords(phrase)), take))
    return replace(perform(arrangement, sounding, take.seed), levels=take.levels)


def _each_time(phrase: Phrase, take: Take) -> Track:
    """Return a phrase in every time round, in the key of each."""
    home = key_of_chart(take.chart)
    played = rounds(take)
    once = {
        key: line_track(line_of(phrase if key == home else transpose_phrase(phrase, key)))
        for key in dict.fromkeys(one.key for one in played)
    }
    notes = (
        replace(note, start=note.start + one.first)
        for one in played
        for note in once[one.key].notes
    )
    return replace(once[played[0].key], notes=tuple(notes))


def phrase_playable(
    phrase: Phrase, take: Take | None = None, position: int | None = None, staves: Staves = "both"
) -> Playable:
    """Return a phrase as page and sound; with its band looped where no take is given."""
    asked = take or phrase_take(phrase)
    asked = asked if phrase.chords else replace(asked, parts=())
    title = phrase.title or "Phrase"
    return Playable(
        title, phrase_sheet(phrase, position, staves), phrase_performance(phrase, asked)
    )


def write_phrase_music(phrase: Phrase, take: Take, path: Path, progress: Progress) -> None:
    """Write a phrase as it sounds, as MIDI (``.mid``) or as audio (any other ending).

    Raises what `chartkit.make.write_music` and `phrase_performance` raise.
    """
    made = phrase_performance(phrase, take)
    music.write(made, path, soundfont=take.soundfont, a4=take.a4, progress=progress)


def play_phrase(phrase: Phrase, take: Take) -> None:
    """Play a phrase on the machine's sound device until it is interrupted."""
    from chartkit.output import audio, synth

    made = phrase_performance(phrase, take)
    audio.play_live(made, soundfont=synth.find_soundfont(take.soundfont), a4=take.a4)


# ---- Exactly as written, for other programs -------------------------------------------------


def exact_performance(phrase: Phrase) -> Performance:
    """Return a phrase alone, in straight and even time, with its chords as text and its bars told.

    A pick-up lies at the end of a bar of its own.
    """
    line = line_of(phrase)
    first = -phrase.meter.length if phrase.pickup else Fraction(0)
    return Performance(
        tracks=(line_track(line),),
        tempo=TempoMap(((first, tempo_of(phrase_take(phrase))),)),
        meters=((first, phrase.meter),),
        keys=((first, key_of(phrase)),),
        markers=tuple(_markers(phrase, line)),
        start=first,
        length=phrase.length,
        loop=False,
        title=phrase.title,
    )


def _markers(phrase: Phrase, line: Line) -> Iterator[Marker]:
    """Yield each bar's number and each chord's symbol, in order of beat."""
    chords = {one.start: one.chord for one in phrase.chords}
    for span in line.spans:
        if span.start == span.bar_start and span.bar.number:
            yield Marker(span.start, str(span.bar.number), "bar")
        if span.start in chords:
            chord = chords[span.start]
            yield Marker(span.start, write_symbol(chord) if chord else "N.C.", "chord")


def write_exact(phrase: Phrase, path: Path) -> None:
    """Write a phrase as it stands, as MusicXML or MIDI, its format told by the ending.

    Raises
    ------
    OutputError
        The file cannot be written.
    """
    from chartkit.output.files import write_bytes

    if path.suffix.lower() == ".mid":
        from chartkit.output import midi

        write_bytes(path, midi.encode(exact_performance(phrase)))
    else:
        from chartkit.output import musicxml

        write_bytes(path, musicxml.encode(staff_sheet(phrase)))
