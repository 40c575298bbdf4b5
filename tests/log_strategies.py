"""Entries of the log as hypothesis draws them."""

from datetime import UTC

from hypothesis import strategies as st

from chartkit.practice.entry import ACTIVITIES, RESULTS, Entry

WORDS = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=12
).filter(lambda text: text == text.strip())

NOTES = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=60)

YEARS = st.datetimes(timezones=st.just(UTC))
MOMENTS = YEARS.map(lambda at: at.replace(microsecond=0))

ENTRIES = st.builds(
    Entry,
    player=st.sampled_from(("me", "Ada", "Björn")),
    day=st.dates(),
    at=MOMENTS,
    activity=st.sampled_from(ACTIVITIES) | WORDS,
    tune=st.none() | WORDS,
    part=st.none() | st.sampled_from(("A", "A>B", "A B", "form")) | WORDS,
    kind=st.none() | WORDS,
    family=st.none() | WORDS,
    key=st.none() | st.sampled_from(("C", "Bb", "F#")),
    position=st.none() | st.integers(1, 24),
    tempo=st.none() | st.fractions(1, 400, max_denominator=50),
    result=st.sampled_from(RESULTS),
    seconds=st.integers(0, 24 * 60 * 60),
    note=NOTES,
    item=st.just("") | WORDS,
)
