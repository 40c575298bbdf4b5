"""The demo phrases: twenty of our own, marked as such, tidy, and sound lines by plain rules."""

from importlib.resources import files
from itertools import pairwise

import pytest

from chartkit.guitar.fretboard import STANDARD
from chartkit.phrase.analysis import facts_of
from chartkit.phrase.reader import parse
from chartkit.phrase.shape import pitches_of, positions_of
from chartkit.phrase.transpose import transpose_phrase
from chartkit.phrase.values import is_triplet
from chartkit.phrase.writer import write
from chartkit.study.standing import interval
from chartkit.theory.chord_scale import kind
from chartkit.theory.key import Key

DEMOS = sorted(
    (one for one in files("chartkit.phrases").iterdir() if one.name.endswith(".phrase")),
    key=lambda one: one.name,
)
PHRASES = {one.name: parse(one.read_text(encoding="utf-8"), one.name).phrase for one in DEMOS}


def test_there_are_twenty():
    assert len(DEMOS) == 20
    assert all(PHRASES.values())


@pytest.mark.parametrize("demo", DEMOS, ids=lambda one: one.name)
def test_a_demo_is_tidy_and_marked(demo):
    text = demo.read_text(encoding="utf-8")
    reading = parse(text, demo.name)
    assert reading.faults == ()
    assert write(reading.phrase) == text
    assert reading.phrase.source == "demo phrase"
    assert demo.name == reading.phrase.title.lower().replace(" ", "-") + ".phrase"


@pytest.mark.parametrize("name", PHRASES)
def test_a_demo_lies_in_a_position(name):
    assert positions_of(PHRASES[name], STANDARD)


@pytest.mark.parametrize("name", PHRASES)
def test_a_demo_states_its_chords(name):
    """No chromatic note on a bar's first beat; chord tones on most of the halves of bars."""
    told = facts_of(PHRASES[name])
    bar = PHRASES[name].meter.length
    first = [fact for fact in told if fact.start >= 0 and fact.start % bar == 0]
    assert all(fact.standing != "chromatic" for fact in first)
    halves = [fact for fact in told if fact.start >= 0 and fact.start % bar in (0, bar / 2)]
    assert sum(fact.standing == "chord tone" for fact in halves) >= 0.6 * len(halves)
    assert any(fact.role in ("approach", "enclosure") for fact in told)


def test_no_two_demos_are_alike():
    shapes = {
        tuple(b.midi - a.midi for a, b in pairwise(line))
        for line in map(pitches_of, PHRASES.values())
    }
    assert len(shapes) == 20


def changes(phrase):
    """The kinds of chords and the roots' steps between them."""
    chords = [one.chord for one in phrase.chords]
    chords = [a for a, b in zip(chords, [None, *chords], strict=False) if a != b]
    steps = [interval(a, b) for a, b in pairwise(chords)]
    return tuple(map(kind, chords)), tuple(steps)


def test_the_demos_cover_what_a_player_meets():
    met = [changes(phrase) for phrase in PHRASES.values()]
    assert (("minor", "dominant"), (5,)) in met
    assert (("minor", "dominant", "major"), (5, 5)) in met
    assert (("half-diminished", "dominant"), (5,)) in met
    assert (("half-diminished", "dominant", "minor"), (5, 5)) in met
    assert sum(len(kinds) == 4 for kinds, _ in met) >= 3  # turnarounds
    alone = {kinds[0] for kinds, _ in met if len(kinds) == 1}
    assert alone == {"dominant", "minor", "major", "half-diminished"}
    every = PHRASES.values()
    assert any(phrase.pickup for phrase in every)
    assert any(is_triplet(note.length) for phrase in every for note in phrase.notes)
    assert any(note.tie for phrase in every for note in phrase.notes)
    assert any(note.degree for phrase in every for note in phrase.notes)
    assert any(note.pitch is None for phrase in every for note in phrase.notes)


@pytest.mark.parametrize("name", PHRASES)
def test_a_demo_is_the_same_in_twelve_keys(name):
    home = PHRASES[name]
    own = [(fact.start, fact.degree, fact.standing, fact.role) for fact in facts_of(home)]
    for pitch_class in range(12):
        goal = Key.written(pitch_class, home.key.mode)
        moved = facts_of(transpose_phrase(home, goal))
        assert [(fact.start, fact.degree, fact.standing, fact.role) for fact in moved] == own
        for fact in moved:  # a tone of the chord has the name that the chord gives it
            names = {name.pitch_class: name for name in fact.chord.tones}
            own_name = names.get(fact.pitch.name.pitch_class)
            if own_name and fact.degree in fact.chord.degrees:
                assert fact.pitch.name == own_name
