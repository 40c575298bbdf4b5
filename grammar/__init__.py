"""The chart language's grammar, as data."""
