"""What planning and the log know about a tune: a few facts, never its chart.

Conventions: beats are quarter notes, tempos quarter notes a minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class SectionFacts:
    """A section as the chart writes it.

    Parameters
    ----------
    label : str
        ``A``; a section without a label has an empty one.
    bars : int
        At least 1.
    beats : Fraction
        Its length in quarter notes.
    """

    label: str
    bars: int
    beats: Fraction


@dataclass(frozen=True, slots=True)
class TuneFacts:
    """A tune by the few facts that a plan needs.

    Parameters
    ----------
    id : str
        As `chartkit.practice.log.Log.tune_id` gives it; stays with the tune when its file is
        renamed or edited.
    title : str
    content_hash : str
        Of the chart as it stands now; see `Log.tune_id`.
    sections : tuple of SectionFacts
        In order of first appearance.
    form : tuple of str
        Labels of the sections in the order they are played, such as ``("A", "A", "B", "A")``.
    form_beats : Fraction
        Length of once through the form, in quarter notes.
    key : str
        Such as ``Bb`` or ``C minor``.
    tempo : Fraction
        The chart's own, in quarter notes a minute.
    feel : str
        Name of the feel.
    """

    id: str
    title: str
    content_hash: str
    sections: tuple[SectionFacts, ...]
    form: tuple[str, ...]
    form_beats: Fraction
    key: str
    tempo: Fraction
    feel: str
