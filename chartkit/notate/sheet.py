"""What stands on a page, before anything decides where: measures, notes, signs and words.

Conventions: `start` and lengths are in quarter notes, counted from the measure's first beat.
Pitches are those written for a transposing instrument, but for the octave that a clef tells of:
under a treble clef with an 8 below they are the sounding ones. A chart and
an exercise are the same kind of value here: a chart's events are slashes, an exercise's are notes.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from chartkit.chart import Mark, Meter, Tempo
from chartkit.form import BarId
from chartkit.guitar.fretboard import Stop, Tuning
from chartkit.guitar.shapes import Shape
from chartkit.instrument import Clef
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Pitch

Beam = Literal["begin", "continue", "end", "forward hook", "backward hook"]


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A note value as written.

    Parameters
    ----------
    base : Fraction
        The undotted value in quarter notes: 4 for a whole note, 1/2 for an eighth.
    dots : int
    tuplet : tuple of int or None
        (3, 2) for three in the time of two.
    """

    base: Fraction
    dots: int = 0
    tuplet: tuple[int, int] | None = None

    @property
    def length(self) -> Fraction:
        """Its time in quarter notes."""
        dotted = self.base * (2 - Fraction(1, 2**self.dots))
        if self.tuplet is None:
            return dotted
        actual, normal = self.tuplet
        return dotted * normal / actual


@dataclass(frozen=True, slots=True)
class Event:
    """One written note, rest or slash.

    Parameters
    ----------
    start : Fraction
    value : NoteValue
        Of a bar rest, `base` is the measure's length.
    kind : str
        "note"; "rest"; "slash", a beat without a stem; "hit", a slash with a stem: the rhythm to
        play; "bar rest", a rest for the whole measure.
    pitch : Pitch or None
        None unless it is a note.
    accidental : int or None
        The sign printed before the note, in semitones (0 is a natural); None where none is due.
    courtesy : bool
        The accidental only reminds, and stands in brackets.
    stop : Stop or None
        Where on the neck.
    tied_back, tied_on : bool
        Tied to the event before, to the event after.
    beams : tuple of Beam
        One a beam, the eighth's beam first.
    tuplet_edge : str
        "start" and "stop" on the first and last event under a tuplet's bracket.
    short : bool
        Struck and cut off at once (a stop).
    """

    start: Fraction
    value: NoteValue
    kind: Literal["note", "rest", "slash", "hit", "bar rest"]
    pitch: Pitch | None = None
    accidental: int | None = None
    courtesy: bool = False
    stop: Stop | None = None
    tied_back: bool = False
    tied_on: bool = False
    beams: tuple[Beam, ...] = ()
    tuplet_edge: Literal["", "start", "stop"] = ""
    short: bool = False

    @property
    def end(self) -> Fraction:
        """Where it stops, from the measure's first beat."""
        return self.start + self.value.length


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord symbol over its beat; `chord` None is N.C.

    `opens` and `closes` tell that a bracket of chords (a turnaround) starts or ends with it.
    """

    start: Fraction
    chord: Chord | None
    opens: bool = False
    closes: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """Words over a beat."""

    start: Fraction
    text: str


@dataclass(frozen=True, slots=True)
class Measure:
    """One written measure.

    Parameters
    ----------
    id : BarId
        The bar of the chart it comes from.
    length : Fraction
        In quarter notes.
    events : tuple of Event
        In order, end to end; they fill the measure.
    chords : tuple of ChordSymbol
    words : tuple of Words
    meter, key : Meter or None, Key or None
        A signature that changes here; both are set on the first measure.
    rehearsal : str
        The boxed letter or word over its start.
    feel : str
        The feel that starts here, by name; empty where it does not change.
    left, right : str
        Bar lines, as in a chart.
    ending : tuple of int
        The endings whose bracket starts here.
    ended : tuple of int
        The endings whose bracket stops here.
    times : int or None
        How often a repeat that closes here is played, where more than the customary two.
    marks : tuple of Mark
        Navigation.
    simile : int
        1: this measure is a one-bar repeat sign; 2: it is the first of two under a two-bar sign;
        0: neither. The second measure under a two-bar sign has -2.
    new_system : bool
    """

    id: BarId
    length: Fraction
    events: tuple[Event, ...]
    chords: tuple[ChordSymbol, ...] = ()
    words: tuple[Words, ...] = ()
    meter: Meter | None = None
    key: Key | None = None
    rehearsal: str = ""
    feel: str = ""
    left: Literal["|", "|:"] = "|"
    right: Literal["|", "||", "|]", ":|"] = "|"
    ending: tuple[int, ...] = ()
    ended: tuple[int, ...] = ()
    times: int | None = None
    marks: tuple[Mark, ...] = ()
    simile: Literal[0, 1, 2, -2] = 0
    new_system: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A piece of music to print.

    Parameters
    ----------
    title, composer : str
    subtitle : str
        What the page is, under the title ("Connected arpeggio, position V").
    tempo : Tempo or None
    measures : tuple of Measure
        The first starts a system.
    instrument : str
        Whose part it is; empty for a chart, which is everyone's.
    clef : {"treble", "treble 8", "bass"} or None
        Of the staff, as `chartkit.instrument` has it; None where the tablature stands alone and
        shows the rhythm too.
    transposition : int
        Semitones from the sound up to what is written, apart from the clef's own octave.
    tuning : Tuning or None
        There is a tablature, under the staff if there is one, for this tuning; None for none.
    notes : tuple of str
        Free text at the foot of the last page, one entry a paragraph.
    shapes : tuple of Shape
        Diagrams under the last system.
    caution : str
        One line at the foot of each page where fingers stretch.
    """

    title: str
    measures: tuple[Measure, ...]
    composer: str = ""
    subtitle: str = ""
    tempo: Tempo | None = None
    instrument: str = ""
    clef: Clef | None = "treble"
    transposition: int = 0
    tuning: Tuning | None = None
    notes: tuple[str, ...] = ()
    caution: str = ""
    shapes: tuple[Shape, ...] = ()

    @property
    def staves(self) -> tuple[Literal["staff", "tab"], ...]:
        """The kinds of staff that a system has, from the top."""
        staff: tuple[Literal["staff"], ...] = ("staff",) if self.clef else ()
        return (*staff, "tab") if self.tuning else staff
