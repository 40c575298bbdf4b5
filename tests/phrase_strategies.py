"""Phrases drawn by chance: every feature of the language, each phrase one that could be read.

Import it as ``phrase_strategies``; ``phrases()`` is the whole of it. A draw costs time, so what
fills the bars is made by a random generator whose seed is drawn.
"""

import random
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import strategies as st
from strategies import METERS, QUALITIES, ROOTS, SHARES, TEXT, keys, tempos

from chartkit.chart import Comment
from chartkit.feel import FEELS
from chartkit.phrase.assemble import in_tidy_order
from chartkit.phrase.phrase import Phrase, PhraseChord, PhraseNote
from chartkit.phrase.pitches import chord_at, degree_name, nearest
from chartkit.phrase.values import VALUES, can_stand
from chartkit.theory.pitch import NoteName, Pitch, degrees
from chartkit.theory.symbol import read_symbol

NAMES = [NoteName(letter, alter) for letter in "ABCDEFG" for alter in (-2, -1, 0, 0, 0, 1, 2)]
DEGREES = degrees("1 b2 2 b3 3 4 #4 b5 5 #5 6 b7 7 8 b9 9 #9 11 13")
LENGTHS = sorted(VALUES.values())
SHORT = [Fraction(1, 2), Fraction(1, 2), Fraction(1, 2), Fraction(1, 3), Fraction(1)]
PICKUPS = list(map(Fraction, ("0", "0", "0", "1/2", "1", "3/2", "1/4", "1/3", "2/3", "7/4")))
SEEDS = st.integers(0, 2**32 - 1)


def lengths(rng, first, bar):
    """Values that fill a bar from a point of it on."""
    at = first
    while at < bar:
        fitting = [one for one in LENGTHS if at + one <= bar and can_stand(at, one)]
        usual = [one for one in SHORT if one in fitting]
        yield (value := rng.choice(usual if usual and rng.random() < 0.7 else fitting))
        at += value


def melody(rng, meter, pickup, bars, chords):
    """Notes, rests and ties, some of them typed as degrees."""
    bar = meter.length
    starts = [(-pickup, bar - pickup)] * (pickup > 0) + [
        (n * bar, Fraction(0)) for n in range(bars)
    ]
    values = [(start, list(lengths(rng, first, bar))) for start, first in starts]
    places = [
        (start + sum(row[:i], Fraction(0)), value)
        for start, row in values
        for i, value in enumerate(row)
    ]
    found = []
    for i, (start, value) in enumerate(places):
        if found and found[-1].tie:
            pitch, degree = found[-1].pitch, None
        elif rng.random() < 0.15:
            pitch, degree = None, None
        else:
            pitch, degree = sound(rng, found, chords, start)
        last = i == len(places) - 1
        tie = bool(pitch) and not last and rng.random() < 0.15
        found.append(PhraseNote(start, value, pitch, tie, degree))
    return tuple(found)


def sound(rng, found, chords, start):
    over = chord_at(chords, start)
    sounded = [note.pitch for note in found if note.pitch]
    if over and over.chord and rng.random() < 0.3:
        degree = rng.choice(DEGREES)
        before = sounded[-1].midi if sounded else 60
        pitch = nearest(degree_name(over.chord, degree), before, rng.choice((0, 0, 0, 1, -1, 2)))
        if 24 <= pitch.midi <= 107:
            return pitch, degree
    return Pitch(rng.choice(NAMES), rng.randint(1, 8)), None


@st.composite
def progressions(draw, meter, bars):
    """Chords that fill so many bars; some bars like the one before."""
    rng = random.Random(draw(SEEDS))
    found = []
    for n in range(bars):
        if found and rng.random() < 0.25:
            own = [one for one in found if one.start >= (n - 1) * meter.length]
            found += [replace(one, start=one.start + meter.length) for one in own]
            continue
        start = n * meter.length
        for beats in draw(SHARES[meter.beats]):
            length = beats * meter.unit
            found.append(PhraseChord(start, length, chord(rng)))
            start += length
    return tuple(found)


def chord(rng):
    if rng.random() < 0.08:
        return None
    bass = f"/{rng.choice(ROOTS)}" if rng.random() < 0.15 else ""
    return read_symbol(rng.choice(ROOTS) + rng.choice(QUALITIES) + bass).chord


@st.composite
def phrases(draw, *, meters=METERS, most_bars=5):
    meter = draw(st.sampled_from(meters))
    bars = draw(st.integers(1, most_bars))
    pickup = draw(st.sampled_from([one for one in PICKUPS if one < meter.length]))
    chords = draw(progressions(meter, bars)) if draw(st.integers(0, 7)) else ()
    rng = random.Random(draw(SEEDS))
    cuts = sorted({*rng.sample(range(1, bars + 1), rng.randint(0, bars)), bars})
    phrase = Phrase(
        melody(rng, meter, pickup, bars, chords),
        draw(st.one_of(st.just(""), TEXT)),
        draw(st.one_of(st.just(""), TEXT)),
        tuple(filter(None, draw(st.lists(TEXT, max_size=2)))),
        draw(st.one_of(st.none(), keys())),
        meter,
        draw(st.sampled_from(sorted(FEELS))),
        draw(st.one_of(st.none(), tempos())),
        chords,
        pickup,
        lines=tuple(b - a for a, b in pairwise([0, *cuts])),
    )
    return draw(commented(phrase))


@st.composite
def commented(draw, phrase):
    """Put comments before and beside lines of the tidy file."""
    found = []
    for anchor in draw(st.lists(st.sampled_from(anchors(phrase)), max_size=3, unique=True)):
        above = draw(st.lists(st.one_of(st.just(""), TEXT), max_size=2))
        found += [Comment(text, anchor, own_line=True) for text in above]
        if anchor != ("end",) and draw(st.booleans()):
            found.append(Comment(draw(TEXT), anchor, own_line=False))
    return replace(phrase, comments=in_tidy_order(found))


def anchors(phrase):
    """Every anchor a comment of the phrase may have."""
    found = [("header", "Meter"), ("header", "Feel"), ("end",)]
    given = {"Title": phrase.title, "Source": phrase.source, "Key": phrase.key}
    found += [("header", word) for word, value in given.items() if value]
    found += [("header", "Note"), *(("header", "Note", i) for i in range(1, 9))][: len(phrase.note)]
    found += [("melody", i) for i in range(len(phrase.lines))]
    return found + [("chords", i) for i in range(len(phrase.lines))] * bool(phrase.chords)


NASTY = (
    *("|", "| ", "|] ", "|| ", "Chords:", "Melody:", "Chords: | ", "\nMelody: | ", "\nChords: C "),
    *("e ", "te ", "q. ", "w ", "D4 ", "D ", "_ ", "r ", "b7 ", "up ", "down 3 ", "% ", "/ ", "C7"),
    *("(", "(b9) ", "C( ", '"', ";", " ; x", "!", ">", "\n", "\r", "\0", "é", "Key: C\n", "x: y\n"),
    *("G9 ", "B#9 ", "h4 ", "N.C. ", "dotted ", "triplet eighth ", "halves ", "13 ", "##5 ", "𝄪4 "),
)
"""Pieces that, over and over, make texts that are hard to read."""
