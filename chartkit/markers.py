"""Words at their beats, for MIDI files and highlights: choruses, sections, bars, chords, loops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from chartkit.form import Form
from chartkit.theory.symbol import write_symbol
from chartkit.track import Marker


def markers(form: Form, starts: Sequence[Fraction], *, loop: bool) -> tuple[Marker, ...]:
    """Return the markers of all that is played, in order of beat.

    Parameters
    ----------
    form : Form
        All of it.
    starts : sequence of Fraction
        Where each time round begins.
    loop : bool
        Its times round are not choruses, and the loop's two ends are marked.
    """
    word = "Round" if loop else "Chorus"
    rounds = [
        Marker(start, f"{word} {number}", "chorus") for number, start in enumerate(starts, start=1)
    ]
    ends = [Marker(Fraction(0), "Loop start", "loop"), Marker(form.length, "Loop end", "loop")]
    every = [*rounds, *_sections(form), *_bars(form), *_chords(form), *(ends if loop else [])]
    return tuple(sorted(every, key=lambda marker: marker.start))


def _sections(form: Form) -> Iterator[Marker]:
    """Yield each section's label at its first bar (its pickup is not a section of its own)."""
    begins = True
    for bar in form.bars:
        if begins:
            yield Marker(bar.start, bar.source.section, "section")
        begins = bar.ends_section


def _bars(form: Form) -> Iterator[Marker]:
    for bar in form.bars:
        if bar.source.number:
            yield Marker(bar.start, str(bar.source.number), "bar")


def _chords(form: Form) -> Iterator[Marker]:
    for bar in form.bars:
        for change in bar.changes:
            if not change.held:
                symbol = write_symbol(change.chord) if change.chord else "N.C."
                yield Marker(bar.start + change.start, symbol, "chord")
