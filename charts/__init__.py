"""Demo tunes, as data."""
