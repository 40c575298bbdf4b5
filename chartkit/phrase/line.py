"""A phrase as a line, to be fingered, printed and heard like any exercise.

Conventions: a pick-up lies before zero in a bar of its own, numbered 0, with no chord over it. A
phrase without chords stands on the scale of its key.
"""

from __future__ import annotations

from dataclasses import replace

from chartkit.form import BarId, chorus
from chartkit.harmony import Span, spans
from chartkit.line import Line, LineNote
from chartkit.phrase.chart import chart_of, key_of
from chartkit.phrase.phrase import Phrase
from chartkit.theory.scale import Scale


def line_of(phrase: Phrase) -> Line:
    """Return a phrase as a line over its chords."""
    notes = (LineNote(one.start, one.length, one.pitch, tie=one.tie) for one in phrase.notes)
    over = tuple(replace(span, bar=_unlabelled(span.bar)) for span in _spans(phrase))
    return Line(tuple(notes), (*_pickup(phrase, over[0]), *over))


def _spans(phrase: Phrase) -> tuple[Span, ...]:
    if phrase.chords:
        return spans(chorus(chart_of(phrase)), loop=False)
    bar = phrase.meter.length
    return tuple(
        Span(
            start=n * bar,
            length=bar,
            chord=None,
            next_chord=None,
            scale=_scale(phrase),
            key=key_of(phrase),
            bar=BarId("", n, n + 1),
            bar_start=n * bar,
            meter=phrase.meter,
            feel=phrase.feel,
            new=False,
            ends="chorus" if n + 1 == phrase.bars else "",
        )
        for n in range(phrase.bars)
    )


def _pickup(phrase: Phrase, first: Span) -> tuple[Span, ...]:
    """Return the span of the pick-up, if there is one."""
    if not phrase.pickup:
        return ()
    span = replace(
        first,
        start=-phrase.pickup,
        length=phrase.pickup,
        chord=None,
        next_chord=first.chord,
        scale=_scale(phrase),
        bar=BarId("", 0, 0),
        bar_start=-phrase.pickup,
        new=False,
        ends="",
    )
    return (span,)


def _scale(phrase: Phrase) -> Scale:
    key = key_of(phrase)
    return Scale.on(key.tonic, "ionian" if key.mode == "major" else "aeolian")


def _unlabelled(bar: BarId) -> BarId:
    """Return a bar without its section's letter, so that none is printed."""
    return replace(bar, section="")
