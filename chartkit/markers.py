"""Words at their beats, for MIDI files and highlights: choruses, sections, bars, chords, turns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from chartkit.controls.trading import Turn
from chartkit.form import Form
from chartkit.rounds import Round
from chartkit.theory.symbol import write_symbol
from chartkit.track import Marker


def markers(
    form: Form,
    rounds: Sequence[Round],
    turns: Sequence[Turn],
    *,
    cues: Sequence[Fraction] = (),
    loop: bool,
) -> tuple[Marker, ...]:
    """Return the markers of all that is played, in order of beat.

    Parameters
    ----------
    form : Form
        All of it.
    rounds : sequence of Round
        Each time round; its marker tells the key and the tempo where those differ between rounds.
    turns : sequence of Turn
        Who plays, where the band and the player trade.
    cues : sequence of Fraction
        Beats on which the drums bring the band back in after a player's turn.
    loop : bool
        Its times round are not choruses, and the loop's two ends are marked.
    """
    ends = [Marker(Fraction(0), "Loop start", "loop"), Marker(form.length, "Loop end", "loop")]
    every = [
        *_rounds(rounds, "Round" if loop else "Chorus"),
        *_sections(form, rounds[0]),
        *_turns(turns, form.length),
        *(Marker(beat, "Cue", "turn") for beat in cues),
        *_bars(form),
        *_chords(form),
        *(ends if loop else []),
    ]
    return tuple(sorted(every, key=lambda marker: marker.start))


def _rounds(rounds: Sequence[Round], word: str) -> Iterator[Marker]:
    keys = len({one.key for one in rounds}) > 1
    tempos = len({one.tempo for one in rounds}) > 1
    for number, one in enumerate(rounds, 1):
        minor = "m" if one.key.mode == "minor" else ""
        key = f" in {one.key.tonic}{minor}" if keys else ""
        tempo = f" at {float(one.tempo):g}" if tempos else ""
        yield Marker(one.first, f"{word} {number}{key}{tempo}", "chorus")


def _sections(form: Form, first: Round) -> Iterator[Marker]:
    """Yield each section's label at its first bar (its pickup is not a section of its own)."""
    begins = True
    for bar in form.bars:
        if begins:
            made = first.made_intro and bar is form.bars[0]
            yield Marker(bar.start, "Intro" if made else bar.source.section, "section")
        begins = bar.ends_section


def _turns(turns: Sequence[Turn], length: Fraction) -> Iterator[Marker]:
    """Yield who plays, where that changes; what comes after the last turn is the band's."""
    for turn in turns[:1]:
        yield Marker(turn.start, "Band", "turn")
    for turn in turns:
        if turn.player:
            yield Marker(turn.start, "Player", "turn")
            if turn.end < length:
                yield Marker(turn.end, "Band", "turn")


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
