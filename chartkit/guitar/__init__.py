"""The fretboard and the fingering of lines on it."""
