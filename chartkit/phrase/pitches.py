"""Which pitch a word of melody is.

Conventions: a letter without an octave is in the octave of the note before. A degree counts from
the root of the chord that stands there (in a pick-up, of the first chord) and is spelled by it; it
lies where it is nearest to the note before, the upper one of two, and nearest to middle C where
there is none. Each ``up`` or ``down`` before it goes to the next one above or below that note.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import Final, TypeAlias

from chartkit.errors import Place
from chartkit.explain import shown
from chartkit.lines import Report
from chartkit.phrase.chords import Over
from chartkit.phrase.lines import Sound, SoundKind
from chartkit.phrase.phrase import PhraseChord
from chartkit.theory.chord import Chord
from chartkit.theory.pitch import Degree, NoteName, Pitch
from chartkit.theory.symbol import LOOK_ALIKES

MIDDLE_C: Final = 60
HIGHEST: Final = 127
_MOST_ALTER: Final = 2

Read: TypeAlias = tuple[Pitch | None, Degree | None]
"""A pitch (None for a rest) and the degree that it was written as."""


def degree_name(chord: Chord, degree: Degree) -> NoteName:
    """Return the name of a degree over a chord; one that no sign is left for goes by another."""
    name = chord.root.up(degree)
    return name if abs(name.alter) <= _MOST_ALTER else name.plain


def nearest(name: NoteName, before: int, way: int = 0) -> Pitch:
    """Return the pitch of a name nearest to a MIDI number, or so many ways up or down from it.

    >>> str(nearest(NoteName("G"), 60)), str(nearest(NoteName("G"), 60, 1))
    ('G3', 'G4')
    >>> str(nearest(NoteName("C"), 60, -1)), str(nearest(NoteName("C"), 60, 2))
    ('C3', 'C6')
    """
    above = (name.pitch_class - before) % 12
    if way == 0:
        midi = before + above - (12 if above > 6 else 0)  # noqa: PLR2004 (half an octave)
    elif way > 0:
        midi = before + (above or 12) + 12 * (way - 1)
    else:
        midi = before + above + 12 * way
    return Pitch.at(name, midi)


def chord_at(chords: tuple[PhraseChord, ...], beat: Fraction) -> PhraseChord | None:
    """Return what stands at a beat: the first chord before them all, None where there is none."""
    index = bisect_right(chords, beat, key=lambda one: one.start) - 1
    return chords[max(index, 0)] if chords else None


class Pitches:
    """Reads the words of a melody one after the other, and remembers the note before."""

    def __init__(self, over: Over, report: Report) -> None:
        self._chords = over.chords
        self._whole = None not in over.bars
        self._report = report
        self._last: Pitch | None = None
        self._lost = False
        self._tied: Place | None = None
        self._missed = False

    def lose(self) -> None:
        """Go on after a bar that could not be read: the note before is unknown."""
        self._last, self._tied, self._lost = None, None, True

    def end(self) -> None:
        """Tell of a tie that leads nowhere."""
        if self._tied:
            self._report.tell(self._tied, "the tie leads to no note", ("the same note after it",))

    def read(self, sound: Sound, start: Fraction | None) -> Read | None:
        """Read a word; tell and return None where it is no pitch.

        Parameters
        ----------
        sound : Sound
        start : Fraction or None
            None where it is not known.
        """
        degree = None
        if sound.kind is SoundKind.REST:
            self._check_tie(sound, None)
            self._tied = None
            return None, None
        if sound.kind is SoundKind.PITCH:
            pitch = self._pitch(sound)
        else:
            degree = Degree.parse(sound.word.text.translate(LOOK_ALIKES))
            pitch = self._degree(sound, degree, start)
        if pitch and (pitch.octave < 0 or pitch.midi > HIGHEST):
            self._report.tell(sound.word.place, f"{pitch} is out of range", ("`C0` to `G9`",))
            pitch = None
        if pitch is None:
            self.lose()
            return None
        self._check_tie(sound, pitch)
        self._last, self._lost = pitch, False
        self._tied = sound.tie.place if sound.tie else None
        return pitch, degree

    def _pitch(self, sound: Sound) -> Pitch | None:
        text = sound.word.text.translate(LOOK_ALIKES)
        if text[-1].isdigit():
            return Pitch.parse(text)
        if self._last:
            return Pitch(NoteName.parse(text), self._last.octave)
        if not self._lost:
            found = f"{shown(text)} has no octave, and no note stands before it"
            self._report.tell(sound.word.place, found, (f"`{text}4` or another octave",))
        return None

    def _degree(self, sound: Sound, degree: Degree, start: Fraction | None) -> Pitch | None:
        over = None if start is None else chord_at(self._chords, start)
        if over is None or over.chord is None:
            if start is not None and self._whole and not self._missed:
                self._missed = True
                found = f"there is no chord here to count {shown(sound.word.text)} from"
                hint = "a chord in the `Chords:` line, or a note such as `D4`"
                self._report.tell(sound.word.place, found, (hint,))
            return None
        if self._lost:
            return None
        before = self._last.midi if self._last else MIDDLE_C
        pitch = nearest(degree_name(over.chord, degree), before, sound.way)
        return self._last if self._tied and self._last and pitch.midi == before else pitch

    def _check_tie(self, sound: Sound, pitch: Pitch | None) -> None:
        if self._tied and pitch != self._last:
            found = f"the tie before {shown(sound.word.text)} leads to another note"
            self._report.tell(
                sound.word.place, found, (f"`{self._last}`, the note before the tie",)
            )
