"""Finishing touches on the engraver's own reading of a MusicXML file.

The engraver reads MusicXML into MEI. What MusicXML holds but that reading drops or prints in
another way than a copyist is set right here, one function a matter; each is a no-op once the
reading does it by itself. Source: the Music Encoding Initiative's guidelines, version 5.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final
from xml.etree import ElementTree as ET

from chartkit.chart import Sign
from chartkit.notate import Measure, Sheet
from chartkit.notate.symbols import symbol_text
from chartkit.output import markup
from chartkit.output.musicxml import bar_ids
from chartkit.output.musicxml_signs import end_words

MEI: Final = f"{{{markup.MEI}}}"
ID: Final = "{http://www.w3.org/XML/1998/namespace}id"

SPACE: Final = "\u00a0"
"""Ends each chord symbol, so that the engraver keeps the next one clear of it."""

BY_TAB: Final = "66%"
"""Size of words over or under a tablature: the engraver sets them by the distance of its lines,
which is half as much again as a staff's."""

WORDS: Final = ("harm", "fing", "reh", "dir", "tempo")
"""What may stand over or under a tablature alone."""

CODA_SIGN: Final = "\ue048"
"""Its code point in SMuFL, the Standard Music Font Layout."""


def finished(mei: str, sheet: Sheet) -> str:
    """Return the engraver's MEI of a sheet with every matter of this module set right."""
    root = ET.fromstring(mei)  # noqa: S314 (the engraver's own output)
    parents = {child: parent for parent in root.iter() for child in parent}
    _without_brace(root)
    _feel_and_tempo_in_heading(root, sheet)
    unit = Fraction(1)
    for element, measure in _measures(root, sheet):
        _print_symbols(element, measure)
        unit = _unit(measure, unit)
        _keep_symbols_inside(element, measure, unit)
        _two_bar_simile(element, measure)
        _simile_without_count(element)
        _end_words(element, measure)
        _number_in_margin(element)
        _ending_label(parents[element], measure)
    if sheet.tuning:
        _small_words(root, ("fing",) if sheet.clef else WORDS)
    return markup.written(root, markup.MEI)


def _measures(root: ET.Element, sheet: Sheet) -> Iterator[tuple[ET.Element, Measure]]:
    found = {element.get(ID): element for element in root.iter(f"{MEI}measure")}
    for name, measure in zip(bar_ids(sheet.measures), sheet.measures, strict=True):
        yield found[name], measure


def _unit(measure: Measure, before: Fraction) -> Fraction:
    """Return the note that MEI counts places in a measure by: the lower number of the meter."""
    return Fraction(4, measure.meter.signature[1]) if measure.meter else before


def _without_brace(root: ET.Element) -> None:
    """Join staff and tablature by their bar lines alone."""
    for group in root.iter(f"{MEI}staffGrp"):
        for brace in group.findall(f"{MEI}grpSym"):
            group.remove(brace)


def _print_symbols(element: ET.Element, measure: Measure) -> None:
    """Print each chord symbol by its text alone, not by its text and its degrees once more."""
    for harm, symbol in zip(element.iter(f"{MEI}harm"), measure.chords, strict=True):
        _emptied(harm)
        harm.text = symbol_text(symbol) + SPACE


def _keep_symbols_inside(element: ET.Element, measure: Measure, unit: Fraction) -> None:
    """End a measure with a blank symbol, so that the last one is kept clear of the bar line."""
    if measure.chords:
        end = {"staff": "1", "place": "above", "tstamp": f"{float(1 + measure.length / unit):g}"}
        blank = ET.SubElement(element, f"{MEI}harm", end)
        ET.SubElement(blank, f"{MEI}rend", halign="right").text = SPACE


def _two_bar_simile(element: ET.Element, measure: Measure) -> None:
    """Put one sign over the bar line of two measures instead of one in each."""
    if abs(measure.simile) != 2:  # noqa: PLR2004 (two bars)
        return
    for layer in element.iter(f"{MEI}layer"):
        _emptied(layer)
        ET.SubElement(layer, f"{MEI}mRpt2" if measure.simile > 0 else f"{MEI}mSpace")


def _simile_without_count(element: ET.Element) -> None:
    """Print no count over a one-bar sign."""
    for sign in element.iter(f"{MEI}mRpt"):
        sign.set("num.visible", "false")


def _end_words(element: ET.Element, measure: Measure) -> None:
    """Set the words over a measure's end flush with its bar line, the coda's sign after its own."""
    marks = {_squeezed("".join(texts)): (texts, mark) for texts, mark in end_words(measure)}
    for words in element.iter(f"{MEI}dir"):
        texts, mark = marks.get(_squeezed("".join(words.itertext())), ((), None))
        if not texts:
            continue
        _emptied(words)
        flush = ET.SubElement(words, f"{MEI}rend", halign="right")
        flush.text = " ".join(texts)
        if mark and mark.sign is Sign.TO_CODA:
            flush.text += " "
            sign = ET.SubElement(flush, f"{MEI}rend", {"glyph.auth": "smufl"})
            sign.text = CODA_SIGN


def _squeezed(text: str) -> str:
    """Return a text without its white space, to compare it by."""
    return "".join(text.split())


def _small_words(root: ET.Element, tags: tuple[str, ...]) -> None:
    """Print words by a tablature as large as they would be by a staff."""
    for tag in tags:
        for words in root.iter(f"{MEI}{tag}"):
            if words.text:
                text, words.text = words.text, None
                ET.SubElement(words, f"{MEI}rend").text = text
            for rend in words:
                rend.set("fontsize", BY_TAB)


def _emptied(element: ET.Element) -> None:
    """Take text and children out of an element, its attributes apart."""
    for child in list(element):
        element.remove(child)
    element.text = None


def _feel_and_tempo_in_heading(root: ET.Element, sheet: Sheet) -> None:
    """Leave out the first measure's feel and tempo, which stand in the page's heading."""
    name, measure = bar_ids(sheet.measures)[0], sheet.measures[0]
    (first,) = (element for element in root.iter(f"{MEI}measure") if element.get(ID) == name)
    tempo = [words for words in first.findall(f"{MEI}tempo") if "mm" in words.attrib]
    feel = [words for words in first.findall(f"{MEI}dir") if _reads(words, measure.feel)]
    for words in tempo or feel[:1]:
        first.remove(words)


def _reads(words: ET.Element, text: str) -> bool:
    return _squeezed("".join(words.itertext())).lower() == _squeezed(text).lower()


def _number_in_margin(element: ET.Element) -> None:
    """Leave out the bar number, which stands in the margin before each system."""
    element.attrib.pop("n", None)


def _ending_label(parent: ET.Element, measure: Measure) -> None:
    """Print ``1.`` over an ending rather than ``1``."""
    if measure.ending and parent.tag == f"{MEI}ending":
        parent.set("label", " ".join(f"{n}." for n in measure.ending))
