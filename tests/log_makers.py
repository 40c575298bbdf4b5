"""Entries for the tests of the log, made by number."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from chartkit.practice.entry import ACTIVITIES, RESULTS, Entry


def entry(number, *, player="me", note=""):
    """The entry of a number: each differs from all others."""
    at = datetime(2026, 1, 1, 18, tzinfo=UTC) + timedelta(minutes=number)
    return Entry(
        player=player,
        day=at.date(),
        at=at,
        activity=ACTIVITIES[number % len(ACTIVITIES)],
        tune=f"tune-{number % 3}",
        part="A",
        key="Bb",
        position=number % 12 + 1,
        tempo=Fraction(80 + number % 60),
        result=RESULTS[number % len(RESULTS)],
        seconds=60,
        note=note or f"number {number}",
        item=f"item-{number}",
    )


def old_entry(number):
    """An entry as version 1 could say it."""
    at = datetime(2025, 3, 1, 7, tzinfo=UTC) + timedelta(days=number)
    return Entry(
        player="me" if number % 2 else "Ada",
        day=date(2025, 3, 1) + timedelta(days=number),
        at=at,
        activity="arpeggios",
        tune="night-shed" if number else None,
        part="A>B" if number else None,
        key="F#" if number else None,
        position=None if number % 3 else 5,
        tempo=Fraction(225, 2) if number % 2 else None,
        result=RESULTS[number % 3],
        seconds=number * 30,
        note='two lines\nand a "quote", ünder' if number == 2 else "",
    )
