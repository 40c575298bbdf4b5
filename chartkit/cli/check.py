"""`chartkit check`: what each chart holds, or what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from chartkit.cli.checking import check
from chartkit.cli.loading import text_of
from chartkit.errors import Fault
from chartkit.summary import Summary, summarise

if TYPE_CHECKING:
    from chartkit.chart import Chart


@click.command("check", epilog="Example: chartkit check my-tune.chart another.chart")
@click.argument("names", nargs=-1, required=True, metavar="FILE...")
@click.option("--json", "as_json", is_flag=True, help="Print a list with one object for each file.")
def command(names: tuple[str, ...], *, as_json: bool) -> int:
    """Tell what each chart holds, or every fault in it."""
    return check(names, _read, _as_text, _as_object, as_json=as_json)


def _read(name: str) -> tuple[Summary | None, tuple[Fault, ...]]:
    from chartkit.reader import parse

    reading = parse(*text_of(name))
    if reading.chart is None:
        return None, reading.faults
    summary = summarise(reading.chart)
    return summary, (*reading.faults, *_meters_refused(reading.chart))


def _meters_refused(chart: Chart) -> Iterator[Fault]:
    """Yield a warning for each meter that its feel cannot play, at the first such bar."""
    from chartkit.feel import feel
    from chartkit.form import bar_range

    written = {bar.number: bar for section in chart.sections for bar in section.bars}
    met = set()
    for bar in bar_range(chart, 1, max(written)).bars:
        source = written.get(bar.source.number)
        refusal = feel(bar.feel).refuses(str(bar.meter), bar.source.number)
        if refusal and source and source.place and (bar.feel, bar.meter) not in met:
            met.add((bar.feel, bar.meter))
            yield Fault(source.place, refusal, severity="warning")


def _as_text(summary: Summary) -> str:
    sections = ", ".join(f"{label} {_bars(bars)}" for label, bars in summary.sections)
    guessed = "" if summary.key_written else " (estimated from the changes)"
    minutes, seconds = divmod(round(summary.seconds), 60)
    length = f"{_bars(summary.bars)}, {minutes}:{seconds:02} a chorus"
    return "\n".join(
        (
            summary.title or "Untitled",
            f"  Key       {summary.key}{guessed}",
            f"  Meter     {summary.meter}, {summary.feel}, quarter = {float(summary.tempo):g}",
            f"  Sections  {sections}",
            f"  Form      {' '.join(summary.form)}: {length}",
        )
    )


def _bars(count: int) -> str:
    return f"{count} bar{'' if count == 1 else 's'}"


def _as_object(summary: Summary) -> dict[str, Any]:
    return {
        "title": summary.title,
        "key": str(summary.key),
        "meter": str(summary.meter),
        "feel": summary.feel,
        "tempo": float(summary.tempo),
        "sections": [{"label": label, "bars": bars} for label, bars in summary.sections],
        "form": list(summary.form),
        "bars": summary.bars,
        "seconds": round(float(summary.seconds), 3),
    }
