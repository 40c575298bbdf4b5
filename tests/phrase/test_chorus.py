"""A phrase at its places: the same degrees everywhere, in range, with rests between."""

from fractions import Fraction
from itertools import pairwise

import pytest

from chartkit.cli.loading import demos as tunes
from chartkit.cli.loading import load as load_tune
from chartkit.cli.phrase_loading import demos, load
from chartkit.errors import CannotPlay
from chartkit.form import key_of as key_of_chart
from chartkit.guitar.fretboard import STANDARD, pitch_at
from chartkit.harmony import spans
from chartkit.line import sounding, span_at
from chartkit.make_chorus import chorus, in_keys
from chartkit.phrase.chart import key_of
from chartkit.phrase.chorus import placed
from chartkit.phrase.degrees import step_of
from chartkit.phrase.pitches import chord_at
from chartkit.phrase.places import places
from chartkit.phrase.reader import parse
from chartkit.phrase.through_keys import cycle, through_keys
from chartkit.phrase.values import heard
from chartkit.rounds import form_of
from chartkit.take import Take
from chartkit.theory.key import Key
from chartkit.transpose import transpose_to

LOW, HIGH = 40, 86


def degrees_over(tones, chords):
    """(letter steps, semitones) of each note above the root of the chord it is played over."""
    found = []
    for tone in tones:
        over = chord_at(chords, tone.start)
        if over.chord:
            above = (tone.pitch.midi - over.chord.root.pitch_class) % 12
            found.append((step_of(over.chord.root, tone.pitch.name).number, above))
    return found


def sounding_notes(phrase):
    return [note for note in heard(phrase.notes) if note.pitch]


@pytest.mark.parametrize("name", demos())
def test_degrees_are_the_same_at_every_place_in_every_key(name):
    phrase = load(name).phrase
    own = degrees_over(sounding_notes(phrase), phrase.chords)
    count = 0
    for number, tune in enumerate(tunes()):
        chart = load_tune(tune).chart
        goal = Key.written((5 * number + len(name)) % 12, key_of_chart(chart).mode)
        for one in (chart, transpose_to(chart, goal)):
            for place in places(phrase, spans(form_of(Take(one)), loop=True)):
                tones = placed(phrase, place, LOW, HIGH)
                found = degrees_over(tones, place.chords)
                assert [above for _, above in found] == [above for _, above in own]
                assert all(
                    step == wanted or needs_three_signs(place, wanted, above)
                    for (step, above), (wanted, _) in zip(found, own, strict=True)
                )
                count += 1
    assert count


def needs_three_signs(place, step, above):
    """Whether a degree over some root of the place would be spelled with three signs."""
    roots = {over.chord.root for over in place.chords if over.chord}
    letters = "CDEFGAB"
    plain = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    return any(
        abs(
            (
                root.pitch_class
                + above
                - plain[letters[(letters.index(root.letter) + step - 1) % 7]]
                + 6
            )
            % 12
            - 6
        )
        > 2
        for root in roots
    )


@pytest.mark.parametrize("name", demos())
def test_a_placed_phrase_moves_as_one_and_stays_in_range(name):
    phrase = load(name).phrase
    own = [note.pitch.midi for note in sounding_notes(phrase)]
    for tune in tunes():
        for place in places(phrase, spans(form_of(Take(load_tune(tune).chart)), loop=True)):
            moved = [tone.pitch.midi for tone in placed(phrase, place, LOW, HIGH)]
            assert len({a - b for a, b in zip(moved, own, strict=True)}) == 1
            assert min(moved) >= LOW
            assert max(moved) <= HIGH


CHORUSES = (
    ("kettle-on-the-hob", "twelve-spoons"),
    ("kettle-on-the-hob", "lamp-in-the-hallway"),
    ("kettle-on-the-hob", "tram-change"),
    ("corner-window", "twelve-doors"),
    ("tin-lid", "tram-change"),
    ("folded-chair", "cellar-stairs"),
)


@pytest.mark.parametrize(("name", "tune"), CHORUSES)
@pytest.mark.parametrize("position", [None, 5, 7])
def test_a_chorus_is_whole_and_fingered_where_it_was_asked_for(name, tune, position):
    phrase, take = load(name).phrase, Take(load_tune(tune).chart)
    made = chorus(phrase, take, position)
    changes = spans(form_of(take), loop=True)
    notes = made.line.notes
    assert notes[0].start == changes[0].start
    assert all(a.start + a.length == b.start for a, b in pairwise(notes))
    assert notes[-1].start + notes[-1].length == changes[-1].start + changes[-1].length
    pickup = sum(note.start < 0 for note in sounding_notes(phrase))
    lost = pickup if made.played[0].start == 0 else 0  # there is no room before the first beat
    assert len(sounding(made.line)) == len(sounding_notes(phrase)) * len(made.played) - lost
    for note, stop in zip(notes, made.fingering.stops, strict=True):
        if note.pitch:
            assert pitch_at(STANDARD, stop.string, stop.fret) == note.pitch.midi
            assert not position or position - 1 <= stop.fret <= position + 4
    assert set(made.played) | set(made.left_out) == set(places(phrase, changes))


def test_every_note_of_a_chorus_stands_over_the_chord_that_it_was_made_for():
    phrase = load("kettle-on-the-hob").phrase
    made = chorus(phrase, Take(load_tune("twelve-spoons").chart))
    for tone in sounding(made.line):
        assert span_at(made.line, tone.start).chord is not None


def test_a_phrase_that_fits_nowhere_says_so():
    phrase = load("slow-puddle").phrase
    with pytest.raises(CannotPlay, match="fits nowhere here"):
        chorus(phrase, Take(load_tune("twelve-spoons").chart))


def test_a_phrase_too_wide_for_a_position_says_so():
    phrase = parse("Key: F\nChords: | F7 |]\nMelody: | q F2 F3 F4 F5 |]", "wide.phrase").phrase
    with pytest.raises(CannotPlay, match="at none of its places"):
        chorus(phrase, Take(load_tune("twelve-spoons").chart), 2)


@pytest.mark.parametrize("name", demos())
def test_twelve_keys_are_twelve_times_the_same_phrase(name):
    phrase = load(name).phrase
    long = in_keys(phrase, 12)
    tones, own = sounding_notes(long), sounding_notes(phrase)
    assert len(tones) == 12 * len(own)
    length = long.length / 12
    assert length % phrase.meter.length == 0
    roots = set()
    for n in range(12):
        part = tones[n * len(own) : (n + 1) * len(own)]
        assert [tone.start - n * length for tone in part] == [note.start for note in own]
        assert len({t.pitch.midi - o.pitch.midi for t, o in zip(part, own, strict=True)}) == 1
        first = sum(note.start < 0 for note in own)  # a pick-up lies under the key before
        above = [degree for _, degree in degrees_over(part[first:], long.chords)]
        assert above == [degree for _, degree in degrees_over(own[first:], phrase.chords)]
        roots.add(chord_at(long.chords, n * length).chord.root.pitch_class)
    assert len(roots) == 12


def test_the_cycle_begins_at_home_and_falls_in_fifths():
    phrase = load("kettle-on-the-hob").phrase
    keys = cycle(key_of(phrase), 4)
    assert [str(key.tonic) for key in keys] == ["C", "F", "Bb", "Eb"]


def test_a_position_that_a_key_does_not_reach_is_refused():
    phrase = parse("Key: C\nChords: | C7 |]\nMelody: | q C3 C4 C5 C6 |]", "w.phrase").phrase
    with pytest.raises(CannotPlay, match="in C major the phrase does not lie between"):
        through_keys(phrase, cycle(key_of(phrase)), 43, 67)


def test_a_place_in_halved_values_is_played_so():
    phrase = load("kettle-on-the-hob").phrase
    tune = spans(form_of(Take(load_tune("seven-umbrellas").chart)), loop=True)
    (halved, *_) = (p for p in places(phrase, tune) if p.stretch == Fraction(1, 2))
    tones = placed(phrase, halved, LOW, HIGH)
    assert {tone.length for tone in tones} == {Fraction(1, 4)}
