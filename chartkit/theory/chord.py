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

    @property
    def tones(self) -> tuple[NoteName, ...]:
        """The notes in order of degrees, spelled by them; a slash bass is not among them."""
        return tuple(self.root.up(degree) for degree in self.degrees)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Pitch classes of the degrees, 0-11; a slash bass is not among them."""
        root = self.root.pitch_class
        return frozenset((root + degree.semitones) % 12 for degree in self.degrees)

    @property
    def third(self) -> Degree | None:
        """The third, or the fourth or second that stands for it; None in a power chord."""
        return self._numbered(3) or self._numbered(4) or self._numbered(2)

    @property
    def fifth(self) -> Degree | None:
        """The written fifth; None where there is none, as in an altered dominant."""
        return self._numbered(5)

    @property
    def seventh(self) -> Degree | None:
        """The seventh or, failing it, the sixth; None in a triad."""
        return self._numbered(7) or self._numbered(6)

    @property
    def essential(self) -> tuple[Degree, ...]:
        """Root, third, fifth and seventh, as far as they are there, without tensions.

        Where no fifth is written a flat thirteen stands for it: an altered dominant gives
        1 3 b7 b13 [common practice, no source].
        """
        plain = tuple(part for part in (self.third, self.fifth, self.seventh) if part)
        outside = () if self.fifth else tuple(d for d in self.degrees if d == Degree(13, -1))
        return (Degree(1), *plain, *outside)

    def _numbered(self, number: int) -> Degree | None:
        """Return the first degree of a number, if there is one."""
        return next((degree for degree in self.degrees if degree.number == number), None)
