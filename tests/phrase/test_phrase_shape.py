from chartkit.guitar.fretboard import STANDARD
from chartkit.phrase.reader import parse
from chartkit.phrase.shape import (
    best_fingering,
    contour_of,
    pitches_of,
    positions_of,
    range_of,
)


def phrase_of(melody):
    return parse(f"Key: C\nChords: C7\nMelody: {melody}", "x").phrase


def test_the_range_is_from_the_lowest_to_the_highest():
    assert [str(pitch) for pitch in range_of(phrase_of("q E4 C5 G3 r"))] == ["G3", "C5"]
    assert range_of(phrase_of("w r")) is None


def test_the_contour_goes_one_way_at_a_time():
    moves = contour_of(phrase_of("e C4 D E D D C r G"))
    assert [(move.way, str(move.to), move.semitones, move.notes) for move in moves] == [
        (1, "E4", 4, 2),
        (-1, "D4", -2, 1),
        (0, "D4", 0, 1),
        (-1, "C4", -2, 1),
        (1, "G4", 7, 1),
    ]
    assert contour_of(phrase_of("w C4")) == ()


def test_tied_notes_are_one():
    assert len(pitches_of(phrase_of("q C4 _ e C D"))) == 2


def plain_positions(phrase):
    """Positions whose six frets hold every note, by counting frets on each string."""
    midis = [pitch.midi for pitch in pitches_of(phrase)]
    return {
        position
        for position in range(1, 20)
        if all(
            any(
                position - 1 <= midi - string <= position + 4 and midi - string <= 22
                for string in (40, 45, 50, 55, 59, 64)
            )
            for midi in midis
        )
    }


def test_positions_are_those_whose_frets_hold_every_note():
    for melody in ("e C4 E G Bb D5 C Bb4 A", "e E2 G A C3", "q C4 E5", "w E2", "e E4 F F# G"):
        phrase = phrase_of(melody)
        found = positions_of(phrase, STANDARD)
        assert {one.position for one in found} == plain_positions(phrase)
        assert [one.cost for one in found] == sorted(one.cost for one in found)


def test_where_no_position_holds_it_the_hand_moves():
    phrase = phrase_of("e E2 E5 E2 E5")
    assert positions_of(phrase, STANDARD) == ()
    assert best_fingering(phrase, STANDARD).shifts > 0


def test_the_best_fingering_stays_in_the_easiest_position():
    phrase = phrase_of("e C4 E G Bb D5 C Bb4 A")
    best = positions_of(phrase, STANDARD)[0]
    stood = {one for one in best_fingering(phrase, STANDARD).positions if one}
    assert stood == {best.position}
