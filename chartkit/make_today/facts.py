"""What planning needs to know of a chart."""

from __future__ import annotations

import hashlib

from chartkit.arrange import tempo_of
from chartkit.chart import Chart
from chartkit.form import body, excerpt, key_of
from chartkit.practice.tune import SectionFacts, TuneFacts
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.writer import write


def tune_facts(chart: Chart, tune_id: str) -> TuneFacts:
    """Return the facts of a chart.

    Parameters
    ----------
    chart : Chart
    tune_id : str
        As the log has it; see `chartkit.practice.log.Log.tune_id`.

    Raises
    ------
    CannotPlay
        The form cannot be played out.
    """
    form = body(chart)
    return TuneFacts(
        id=tune_id,
        title=chart.title or tune_id,
        content_hash=content_hash(chart),
        sections=tuple(_section(chart, label) for label in dict.fromkeys(form.labels)),
        form=form.labels,
        form_beats=form.length,
        key=key_text(key_of(chart)),
        tempo=tempo_of(Take(chart)),
        feel=chart.feel,
    )


def content_hash(chart: Chart) -> str:
    """Return a digest of a chart's tidy text: the same for the same content."""
    return hashlib.sha256(write(chart).encode()).hexdigest()[:32]


def key_text(key: Key) -> str:
    """Return a key as facts and items have it: ``Bb`` or ``C minor``."""
    return str(key) if key.mode == "minor" else str(key.tonic)


def _section(chart: Chart, label: str) -> SectionFacts:
    part = excerpt(chart, (label,))
    return SectionFacts(label, len(part.bars), part.length)
