"""How a performance ends: the last chord, held or cut off.

Conventions: the last chord is struck where it is written and held from there. A form that does not
end on the tonic of its last bar's key gets one bar more, of the tonic chord as it came first in the
tune. A form that ends on the tonic with a stop ends there, and nothing is held [common practice, no
source].
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from chartkit.form import Form, PlayedBar, Sounding
from chartkit.theory.chord import Chord
from chartkit.theory.key import Key
from chartkit.theory.pitch import Degree


def with_ending(form: Form, last_start: Fraction) -> Form:
    """Return the form, with a bar more where its own last chord is not the one to hold.

    Parameters
    ----------
    form : Form
        All that is played.
    last_start : Fraction
        Where the last time round begins; a last chord that fills all of it is played first and
        held in a bar of its own.
    """
    bar, struck = _last_struck(form)
    at_home = struck.chord is not None and _on_tonic(struck.chord, bar.key)
    if at_home and (struck.stopped or bar.start + struck.start > last_start):
        return form
    chord = struck.chord if at_home else tonic_chord(_chords(form), bar.key)
    last = form.bars[-1]
    added = replace(
        last,
        start=form.length,
        length=last.meter.length,
        changes=(Sounding(chord, Fraction(0), last.meter.length),),
    )
    return replace(form, bars=(*form.bars, added), length=form.length + added.length)


def cut_off(form: Form) -> Form:
    """Return the form with its last chord hit and stopped: what follows it is silence."""
    bar, struck = _last_struck(form)
    at = form.bars.index(bar)
    changes = tuple(replace(c, stopped=True) if c is struck else c for c in bar.changes)
    return replace(
        form, bars=(*form.bars[:at], replace(bar, changes=changes), *form.bars[at + 1 :])
    )


def held_from(form: Form) -> Fraction | None:
    """Return the beat from which the last chord is held; None where the form ends with a stop."""
    bar, struck = _last_struck(form)
    return None if struck.stopped else bar.start + struck.start


def tonic_chord(chords: Iterable[Chord], key: Key) -> Chord:
    """Return the first chord on the tonic in the key's mode, without its bass; else a triad."""
    third = Degree(3, -1 if key.mode == "minor" else 0)
    for chord in chords:
        if _on_tonic(chord, key) and chord.third == third:
            return replace(chord, bass=None)
    return Chord(key.tonic, (Degree(1), third, Degree(5)))


def _last_struck(form: Form) -> tuple[PlayedBar, Sounding]:
    """Return the last change that is written out, and its bar."""
    return next(
        (bar, change)
        for bar in reversed(form.bars)
        for change in reversed(bar.changes)
        if not change.held
    )


def _chords(form: Form) -> Iterable[Chord]:
    return (change.chord for bar in form.bars for change in bar.changes if change.chord)


def _on_tonic(chord: Chord, key: Key) -> bool:
    return chord.root.pitch_class == key.tonic.pitch_class
