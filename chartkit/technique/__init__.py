"""Technique without a tune: warm-ups, scales in position, chords along the neck.

Conventions: a routine is a `Line` with its fingering, and the line stands on spans of a key (see
`chartkit.line`), so that everything that prints, fingers or plays a line serves it unchanged. It is
made of passages, one a key or a finger pattern; each starts a bar under its own label, and its last
note is held to the end of the bar. All of it is in one feel and the first meter of that feel:
straight eighths in 4/4 where no other is asked for.
"""
