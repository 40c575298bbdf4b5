"""`chartkit phrase place` and `keys`, as a player types them."""

import json

import mido
import pytest


def test_places_are_told_the_best_first(chartkit):
    told = chartkit("phrase", "place", "kettle-on-the-hob", "seven-umbrellas")
    assert told.code == 0
    first, head, best, *_ = told.out.splitlines()
    assert first == "Kettle on the Hob in Seven Umbrellas: 3 places"
    assert head.split() == ["bar", "beat", "chords"]
    assert best.split() == ["9", "[B]", "1", "Gm7", "C7", "as", "written"]


def test_a_place_that_the_form_comes_to_again_is_told_once(chartkit):
    told = chartkit("phrase", "place", "kettle-on-the-hob", "sixteen-marbles")
    first, _, *rows = told.out.splitlines()
    assert first.endswith(": 9 places")
    assert rows[0].split() == ["8", "[A]", "1", "Bbm7", "Eb7", "as", "written,", "3", "times"]
    assert len(set(rows)) == len(rows) == 4


def test_places_for_programs(chartkit):
    told = chartkit("phrase", "place", "kettle-on-the-hob", "seven-umbrellas", "--json")
    best = json.loads(told.out)[0]
    assert (best["bar"], best["beat"]) == (9, 1.0)
    assert best["chords"] == ["Gm7", "C7"]
    assert best["values"] == "as written"
    assert best["misfit"] == 0


def test_a_phrase_that_fits_nowhere_is_no_error_until_a_chorus_is_asked_for(chartkit, tmp_path):
    told = chartkit("phrase", "place", "slow-puddle", "twelve-spoons")
    assert told.out == "Slow Puddle in Twelve Spoons: nowhere\n"
    assert told.code == 0
    path = tmp_path / "chorus.pdf"
    told = chartkit("phrase", "place", "slow-puddle", "twelve-spoons", "-o", str(path))
    assert told.code == 1
    assert "fits nowhere here" in told.err
    assert not path.exists()


@pytest.mark.parametrize("ending", ["pdf", "musicxml", "mid"])
def test_a_chorus_is_written(chartkit, tmp_path, ending):
    path = tmp_path / f"chorus.{ending}"
    told = chartkit(
        "phrase", "place", "kettle-on-the-hob", "twelve-spoons", "--position", "V", "-o", str(path)
    )
    assert told.code == 0, told.err
    assert told.out.splitlines()[-1] == str(path)
    assert "played at" in told.err
    assert path.stat().st_size > 500


def test_a_phrase_in_four_keys(chartkit, tmp_path):
    path = tmp_path / "keys.mid"
    told = chartkit(
        "phrase", "keys", "kettle-on-the-hob", "--in", "4", "--position", "V", "-o", str(path)
    )
    assert told.code == 0, told.err
    notes = [m for t in mido.MidiFile(path).tracks for m in t if m.type == "note_on" and m.velocity]
    assert len(notes) == 4 * 15


def test_the_keys_go_round_already(chartkit):
    told = chartkit("phrase", "keys", "kettle-on-the-hob", "--key-each-time", "fourths")
    assert told.code == 2
    assert "leave --key-each-time out" in told.err
