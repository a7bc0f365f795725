"""What is wrong with a boat that can be drawn but should not be built so."""

from __future__ import annotations

from dataclasses import dataclass

from model.geometry import Array
from model.mesh import Mesh
from parts.faults import Place


@dataclass(frozen=True, eq=False)
class Shown:
    """Something to draw with a finding that is no piece: a lid where it stops, a rod, water that stands."""

    name: str
    mesh: Mesh


@dataclass(frozen=True, eq=False)
class Finding:
    """A named fault of the boat: which pieces, what, what would cure it, and where.

    Attributes:
        kind: a word to sort by: frame, posts, overlap, gap, lid ...; `model/checks/harm.py` ranks them.
        pieces: names of the pieces concerned.
        what: what is wrong, in plain words.
        cure: what would put it right.
        where: `(3,) float` in the boat, mm, where one point tells it.
        place: the line of the boat file that tells of the first piece.
        short: how much is lacking, where a number tells it, in `measure`.
        measure: of `short`: mm, rad, litre, kg, N, or nothing for a plain share.
        shown: what is drawn with it besides its pieces.
        dimension: name and value, mm or degrees, of the one dimension of the boat file that cures it.
    """

    kind: str
    pieces: tuple[str, ...]
    what: str
    cure: str
    where: Array | None = None
    place: Place | None = None
    short: float | None = None
    measure: str = "mm"
    shown: tuple[Shown, ...] = ()
    dimension: tuple[str, float] | None = None

    def __str__(self) -> str:
        """One line for the terminal."""
        return f"{', '.join(self.pieces)}: {self.what}; {self.cure}"
