"""Notes, keys, chords, scales and voicings: tables and pure functions."""
