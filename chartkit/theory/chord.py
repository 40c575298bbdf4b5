"""A chord as a value: its root, the degrees it is built from, and its bass.

Conventions: degrees are counted from the root, lowest first, the root included. Symbols are read
and written in `chartkit.theory.symbol`; a `Chord` knows nothing of how it was spelled there.
"""

from __future__ import annotations

from dataclasses import dataclass

from chartkit.theory.pitch import Degree, NoteName


@dataclass(frozen=True, slots=True)
class Chord:
    """A root and the degrees over it.

    Parameters
    ----------
    root : NoteName
    degrees : tuple of Degree
        In rising order of number, ``Degree(1)`` first.
    bass : NoteName or None
        The written slash bass; None where the root is the bass.
    """

    root: NoteName
    degrees: tuple[Degree, ...]
    bass: NoteName | None = None

    @property
    def lowest(self) -> NoteName:
        """The note the bass owes: the slash bass, else the root."""
        return self.bass or self.root
