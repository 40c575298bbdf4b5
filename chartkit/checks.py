"""What a whole chart must hold, one rule a function.

Conventions: a check looks at a section or at the chart and tells what is wrong; it knows nothing of
the text but the places that the values carry. Bars without slots could not be read: their faults
are told already, and nothing is said of what they might hold.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, zip_longest
from typing import Final

from chartkit.chart import CLOSING, OPENING, Bar, Chart, Hold, Mark, Meter, Section, Sign, Simile
from chartkit.explain import shown
from chartkit.lines import Report, Word


def check(chart: Chart, words: Mapping[str, Word], report: Report) -> Chart:
    """Tell all that is wrong with a chart.

    Parameters
    ----------
    chart : Chart
    words : mapping of str to Word
        The values of its header as written, by header word.
    report : Report

    Returns
    -------
    Chart
        The chart with the labels of ``Form:`` and ``Solos:`` spelled as the sections'.
    """
    for section in chart.sections:
        _check_similes(chart, section, report)
        _check_repeats(section, report)
    _check_pickup(chart, report)
    _check_navigation(chart, report)
    chart = replace(
        chart,
        order=_resolved(chart, chart.order, words.get("Form"), report),
        solos=_resolved(chart, chart.solos, words.get("Solos"), report),
    )
    _check_order(chart, report)
    return chart


# ---- Form: and Solos: -----------------------------------------------------------------------


def _resolved(
    chart: Chart, labels: tuple[str, ...] | None, word: Word | None, report: Report
) -> tuple[str, ...] | None:
    """Return the labels as the sections spell them, and tell of those that no section has."""
    if labels is None or word is None:
        return labels
    known = {section.label.casefold(): section.label for section in chart.sections}
    there = tuple(f"`{label}`" for label in known.values())
    for match in re.finditer(r"[^\s,]+", word.text):
        if match[0].casefold() not in known:
            found = f"there is no section {shown(match[0])}"
            report.tell(word.at(match.start()), found, _meant(match[0], known) or there)
    return tuple(known.get(label.casefold(), label) for label in labels)


def _meant(text: str, known: Mapping[str, str]) -> tuple[str, ...]:
    """Return labels that were run together, taken apart: ``AABA`` is ``A A B A``."""
    parts = re.findall(r"[^\W\d_][0-9]*", text)
    if "".join(parts) == text and all(part.casefold() in known for part in parts):
        return (f"`{' '.join(parts)}`",)
    return ()


def _check_order(chart: Chart, report: Report) -> None:
    if chart.order is None:
        return
    for mark in _marks(chart):
        if mark.sign.jumps:
            found = f"`{mark.sign.value}` and `Form:` both tell what is played next"
            report.tell(mark.place, found, ("one of the two",))
    named = {*chart.order, *(chart.solos or ())}
    if not named <= {section.label for section in chart.sections}:
        return
    for section in chart.sections:
        if section.label not in named and section.label.lower() not in OPENING | CLOSING:
            report.warn(section.place, f"`Form:` leaves `[{section.label}]` out")


# ---- Words of navigation ----------------------------------------------------------------------


def _marks(chart: Chart) -> Iterator[Mark]:
    for section in chart.sections:
        for bar in section.bars:
            yield from bar.marks


_NEEDS: Final = (
    ("D.S.", "Segno"),
    ("al Fine", "Fine"),
    ("al Coda", "To Coda"),
    ("al Coda", "Coda"),
    ("To Coda", "Coda"),
)
"""A word that holds the first needs the second somewhere in the chart."""

_USELESS: Final = (
    (Sign.SEGNO, "D.S.", "no `D.S.` leads back to `Segno`"),
    (Sign.CODA, "To Coda", "no `To Coda` leads to `Coda`"),
    (Sign.FINE, "D.", "`Fine` acts only after a D.C. or D.S., and there is none"),
    (Sign.TO_CODA, "D.", "`To Coda` acts only after a D.C. or D.S., and there is none"),
)
"""A sign that does nothing unless a word that begins so stands somewhere in the chart."""


def _check_navigation(chart: Chart, report: Report) -> None:
    marks = tuple(_marks(chart))
    words = {mark.sign.value for mark in marks}
    for mark in marks:
        _check_mark(mark, words, report)
    for sign in (Sign.SEGNO, Sign.CODA):
        for mark in [mark for mark in marks if mark.sign is sign][1:]:
            report.tell(mark.place, f"`{sign.value}` stands in the chart already")
    for sign, start, found in _USELESS:
        if not any(word.startswith(start) for word in words):
            for mark in marks:
                if mark.sign is sign:
                    report.warn(mark.place, found)


def _check_mark(mark: Mark, words: set[str], report: Report) -> None:
    for part, needed in _NEEDS:
        if part in mark.sign.value and needed not in words:
            report.tell(mark.place, f"there is no `{needed}` for `{mark.sign.value}`")
            return
    if mark.last_time and mark.sign.at_start:
        found = f"`{mark.sign.value}` is a place, so it has no last time"
        report.tell(mark.place, found, ("`last time` before a word that acts, such as `D.C.`",))


# ---- The pickup -------------------------------------------------------------------------------


def _check_pickup(chart: Chart, report: Report) -> None:
    bar = next((bar for bar in chart.sections[0].bars), None)
    if not bar or bar.number:
        return
    if bar.left == "|:":
        report.tell(bar.left_place, "the pickup stands before any repeat", ("`|`",))
    elif bar.right == ":|" or bar.ending:
        report.tell(bar.right_place, "the pickup is played once", ("`|`",))
    elif bar.slots and isinstance(bar.slots[0], Hold | Simile):
        report.tell(bar.place, "the pickup has no bar before it", ("a chord", "`N.C.`"))


# ---- Similes and holds --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Before:
    """A bar that may be copied: its meter (None for a pickup), whether a stretch starts there."""

    meter: Meter | None
    starts: bool


def _check_similes(chart: Chart, section: Section, report: Report) -> None:
    """Tell of similes and leading slashes that have nothing to go by."""
    meter = section.meter or chart.meter
    before: list[_Before] = []
    after_repeat = False
    for bar in section.bars:
        meter = bar.meter or meter
        starts = bar.left == "|:" or bool(bar.ending) or after_repeat
        slot = bar.slots[0] if bar.slots else None
        if isinstance(slot, Simile | Hold) and bar.number:
            found = _cannot_copy(slot, bar, before, meter, after_repeat=after_repeat)
            if found:
                report.tell(slot.place, found, ("a chord", "`N.C.`"))
        bars = slot.bars if isinstance(slot, Simile) else 1
        own = meter if bar.number else None
        before += [_Before(own, starts), *[_Before(own, starts=False)] * (bars - 1)]
        after_repeat = bar.right == ":|"


def _cannot_copy(
    slot: Simile | Hold, bar: Bar, before: Sequence[_Before], meter: Meter, *, after_repeat: bool
) -> str | None:
    """Return why a bar cannot go by those before it, or None where it can."""
    sign = "/" if isinstance(slot, Hold) else "%" * slot.bars
    bars = slot.bars if isinstance(slot, Simile) else 1
    if len(before) < bars:
        return f"`{sign}` has no {'two bars' if bars > 1 else 'bar'} before it in its section"
    if bar.ending:
        return f"`{sign}` stands first in an ending"
    if after_repeat or bar.left == "|:":
        return f"`{sign}` stands right after a repeat sign"
    copied = before[-bars:]
    if any(one.starts for one in copied[1:]):
        return f"`{sign}` copies two bars with a repeat sign or an ending between them"
    if isinstance(slot, Simile) and any(one.meter != meter for one in copied):
        return f"`{sign}` copies a bar that is no whole bar of {meter}"
    return None


# ---- Repeats and endings ------------------------------------------------------------------------


def _check_repeats(section: Section, report: Report) -> None:
    bars = [bar for bar in section.bars if bar.number]
    for group in _groups(bars):
        _check_opening(group, report)
        _check_endings(group, report)
        _check_times(group, report)


def _groups(bars: Sequence[Bar]) -> Iterator[list[Bar]]:
    """Divide a section's bars at the ends of its repeats, endings included."""
    coming = _endings_to_come(bars)
    group: list[Bar] = []
    highest = 0
    for bar, following, number in zip_longest(bars, bars[1:], coming):
        group.append(bar)
        highest = max((highest, *bar.ending))
        if _ends_group(bar, following, in_last_ending=0 < highest >= number):
            yield group
            group, highest = [], 0


def _endings_to_come(bars: Sequence[Bar]) -> list[int]:
    """Return for each bar the number of the next ending after it, 0 if a repeat opens first."""
    found: list[int] = []
    number = 0
    for bar in reversed(bars):
        found.append(number)
        number = 0 if bar.left == "|:" else min(bar.ending, default=number)
    return found[::-1]


def _ends_group(bar: Bar, following: Bar | None, *, in_last_ending: bool) -> bool:
    if not following or following.left == "|:":
        return True
    if bar.right == ":|":
        return not following.ending
    return bar.right != "|" and in_last_ending


def _check_opening(group: Sequence[Bar], report: Report) -> None:
    first = group[0]
    if first.left == "|:" and not any(bar.right == ":|" or bar.ending for bar in group):
        found = "`|:` has no `:|` before the next `|:` or the section's end"
        report.tell(first.left_place, found)


def _check_endings(group: Sequence[Bar], report: Report) -> None:
    """Tell of endings that do not count up from 1, or do not close where they should."""
    starts = [i for i, bar in enumerate(group) if bar.ending]
    due = 1
    for start in starts:
        ending = group[start].ending
        if ending != tuple(range(due, due + len(ending))):
            found = f"ending {_numbers(ending)} stands where ending {due}. is due"
            report.tell(group[start].left_place, found, (f"`|{due}.`",))
            return
        due += len(ending)
    if starts and starts[0] and group[starts[0] - 1].right == ":|":
        found = "the ending stands behind its repeat"
        report.tell(group[starts[0]].left_place, found, ("`|1.` before `:|`",))
        return
    for start, following in pairwise(starts):
        if group[following - 1].right != ":|":
            found = f"ending {_numbers(group[start].ending)} is not closed"
            report.tell(group[start].left_place, found, ("`:|` before the next ending",))
    if starts:
        _check_last_ending(group, group[starts[-1]].ending, report)


def _check_last_ending(group: Sequence[Bar], ending: tuple[int, ...], report: Report) -> None:
    """Tell of a last ending that goes back, or of a lone first one that does not."""
    goes_back = group[-1].right == ":|"
    if goes_back and ending != (1,):
        found = f"after ending {_numbers(ending)} comes `:|`, but no ending {ending[-1] + 1}."
        report.tell(group[-1].right_place, found, ("`||` or `|]` after the last ending",))
    elif ending[0] == 1 and not goes_back:
        bar = next(bar for bar in group if bar.ending)
        report.tell(bar.left_place, f"ending {_numbers(ending)} is not closed", ("`:|` after it",))


def _check_times(group: Sequence[Bar], report: Report) -> None:
    highest = max((max(bar.ending) for bar in group if bar.ending), default=0)
    for bar in group:
        if bar.times and highest and bar.times != highest:
            found = f"`x{bar.times}` does not agree with the highest ending, {highest}"
            report.tell(bar.right_place, found, (f"`x{highest}` or nothing",))


def _numbers(ending: Sequence[int]) -> str:
    return f"{','.join(map(str, ending))}."
