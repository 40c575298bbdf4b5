"""Bar lines, endings, navigation and words as MusicXML."""

from __future__ import annotations

from fractions import Fraction
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.chart import Mark, Sign, Tempo
from chartkit.notate import Measure, Sheet
from chartkit.output.markup import add
from chartkit.output.musicxml_notes import TYPES

BAR_STYLES: Final = {"||": "light-light", "|]": "light-heavy", ":|": "light-heavy"}

LAST_TIME: Final = "(last time)"

AT_START: Final = {Sign.SEGNO: "segno", Sign.CODA: "coda"}
"""Signs that stand over the start of a measure, and the format's element for each."""

SOUND: Final[dict[Sign, tuple[str, str]]] = {
    Sign.SEGNO: ("segno", "segno"),
    Sign.CODA: ("coda", "coda"),
    Sign.TO_CODA: ("tocoda", "coda"),
    Sign.FINE: ("fine", "yes"),
    Sign.DA_CAPO: ("dacapo", "yes"),
    Sign.DA_CAPO_AL_FINE: ("dacapo", "yes"),
    Sign.DA_CAPO_AL_CODA: ("dacapo", "yes"),
    Sign.DAL_SEGNO: ("dalsegno", "segno"),
    Sign.DAL_SEGNO_AL_FINE: ("dalsegno", "segno"),
    Sign.DAL_SEGNO_AL_CODA: ("dalsegno", "segno"),
}
"""What each word tells a program that plays the file: an attribute of ``<sound>``."""


def left_barline(parent: ET.Element, measure: Measure) -> None:
    """Append the left bar line where it is more than a line."""
    if not measure.ending and measure.left != "|:":
        return
    line = add(parent, "barline", location="left")
    if measure.left == "|:":
        add(line, "bar-style", "heavy-light")
    if measure.ending:
        _ending(line, measure.ending, "start", ", ".join(f"{n}." for n in measure.ending))
    if measure.left == "|:":
        add(line, "repeat", direction="forward")


def right_barline(parent: ET.Element, measure: Measure) -> None:
    """Append the right bar line where it is more than a line."""
    style = BAR_STYLES.get(measure.right)
    if style is None and not measure.ended:
        return
    line = add(parent, "barline", location="right")
    if style:
        add(line, "bar-style", style)
    if measure.ended:
        _ending(line, measure.ended, "stop" if measure.right == ":|" else "discontinue", "")
    if measure.right == ":|":
        repeat = add(line, "repeat", direction="backward")
        if measure.times:
            repeat.set("times", str(measure.times))


def _ending(line: ET.Element, numbers: tuple[int, ...], how: str, text: str) -> None:
    add(line, "ending", text, number=",".join(map(str, numbers)), type=how)


def bar_start(parent: ET.Element, sheet: Sheet, before: Measure | None, measure: Measure) -> None:
    """Append what stands over a measure's start: letter, feel and tempo, segno, coda."""
    if measure.rehearsal:
        element = add(parent, "direction", placement="above")
        kind = add(element, "direction-type")
        add(kind, "rehearsal", measure.rehearsal, enclosure="square")
        add(element, "staff", 1)
    tempo = sheet.tempo if before is None else None
    if measure.feel or tempo:
        _feel_and_tempo(parent, measure.feel, tempo)
    for mark in measure.marks:
        if mark.sign in AT_START:
            element = add(parent, "direction", placement="above")
            add(add(element, "direction-type"), AT_START[mark.sign])
            add(element, "staff", 1)
            _sound(element, mark)


def bar_end(parent: ET.Element, measure: Measure) -> None:
    """Append what stands over a measure's end: how often to repeat, and where to go."""
    for texts, mark in end_words(measure):
        element = words_over(parent, *texts)
        if mark:
            _sound(element, mark)


def end_words(measure: Measure) -> tuple[tuple[tuple[str, ...], Mark | None], ...]:
    """Return the words over a measure's end as printed, with the mark each stands for, if any."""
    times = (((f"{measure.times}x",), None),) if measure.times else ()
    return times + tuple(
        ((m.sign.value, LAST_TIME) if m.last_time else (m.sign.value,), m)
        for m in measure.marks
        if not m.sign.at_start
    )


def words_over(parent: ET.Element, *texts: str, offset: int = 0) -> ET.Element:
    """Append words above the staff, `offset` divisions on; return the direction."""
    element = add(parent, "direction", placement="above")
    for text in texts:
        add(add(element, "direction-type"), "words", text)
    if offset:
        add(element, "offset", offset)
    add(element, "staff", 1)
    return element


def _feel_and_tempo(parent: ET.Element, feel: str, tempo: Tempo | None) -> None:
    element = add(parent, "direction", placement="above")
    if feel:
        add(add(element, "direction-type"), "words", feel.capitalize())
    if tempo:
        mark = add(add(element, "direction-type"), "metronome", parentheses="no")
        dotted = tempo.unit not in TYPES
        add(mark, "beat-unit", TYPES[tempo.unit * 2 / 3 if dotted else tempo.unit])
        if dotted:
            add(mark, "beat-unit-dot")
        add(mark, "per-minute", decimal(tempo.count))
    add(element, "staff", 1)
    if tempo:
        add(element, "sound", tempo=decimal(tempo.quarters))


def _sound(direction: ET.Element, mark: Mark) -> None:
    name, value = SOUND[mark.sign]
    add(direction, "sound").set(name, value)


def decimal(number: Fraction) -> str:
    """Return a number as a plain decimal, to two places where it has more.

    >>> decimal(Fraction(66)), decimal(Fraction(265, 2))
    ('66', '132.5')
    """
    return f"{float(number):.2f}".rstrip("0").rstrip(".")
