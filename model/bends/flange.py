"""One flange: an edge of a flat piece bent towards its face or away from it, and returns of that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.bends.profile import Stretch, Turn, chain, outline
from model.geometry import Array, Frame
from parts.bending import bend_allowance, setback
from parts.outline import Loop


@dataclass(frozen=True, eq=False, slots=True)
class Flange:
    """A flange along a straight edge, which is the outside mould line of its bend.

    Attributes:
        of: which edge, in words: `lower edge`, `hatch`.
        start: where the edge begins on the face, `(2,) float`, mm; the metal is on its left hand.
        end: where it ends.
        height: of the flange from the mould line, outside, mm.
        angle: turn from flat, rad.
        radius: inside, mm.
        thickness: of the sheet, mm.
        k: depth of the neutral axis over the thickness.
        up: whether it turns towards the face.
        returns: further bends of the flange, from the first outward.
        mitre_gap: gap at corners where it meets a flange that is mitred too, mm; None leaves corners notched.
    """

    of: str
    start: Array
    end: Array
    height: float
    angle: float
    radius: float
    thickness: float
    k: float
    up: bool
    returns: tuple[Turn, ...] = ()
    mitre_gap: float | None = None

    @property
    def length(self) -> float:
        """Of the edge, mm."""
        return float(np.hypot(*(self.end - self.start)))

    @property
    def along(self) -> Array:
        """Unit vector from start to end, `(2,) float`."""
        found: Array = (self.end - self.start) / self.length
        return found

    @property
    def out(self) -> Array:
        """Unit vector out of the metal, `(2,) float`."""
        x, y = self.along
        return np.array([y, -x])

    @property
    def turns(self) -> tuple[Turn, ...]:
        """All its bends, from the sheet outward."""
        return (Turn(self.height, self.angle, self.radius), *self.returns)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Its bends and legs, from the sheet outward."""
        return chain(self.turns, self.thickness, self.k)

    @property
    def setback(self) -> float:
        """How far inside the edge the bend begins, mm."""
        return setback(self.angle, self.radius, self.thickness)

    @property
    def allowance(self) -> float:
        """Flat length of the first bend, mm."""
        return bend_allowance(self.angle, self.radius, self.thickness, self.k)

    @property
    def leg(self) -> float:
        """Length of the straight leg beyond the first bend, mm."""
        return self.stretches[1].length

    @property
    def flat_reach(self) -> float:
        """How far the flat pattern reaches beyond the edge, mm: all heights less the bends' deductions."""
        return self.stretches[-1].flat[1]

    def turns_up(self, turn: int) -> bool:
        """Whether its bend of that number turns towards the face."""
        return self.up == self.turns[turn].onward

    def at(self, along: float, out: float) -> Array:
        """The point of the face so far along the edge and out beyond it, `(2,) float`, mm."""
        found: Array = self.start + along * self.along + out * self.out
        return found

    def strip(self, low: float, high: float, inner: float, outer: float) -> Array:
        """Corners of a rectangle along the edge, counter-clockwise, `(4, 2) float`."""
        # seen with `along` to the right, `out` points down
        places = ((low, outer), (high, outer), (high, inner), (low, inner))
        return np.array([self.at(*place) for place in places])

    def section(self) -> Loop:
        """Its bends and legs cut across: x out beyond the mould line, y from the outer face inward.

        True arcs; the bend begins at x = -setback.
        """
        return outline(self.stretches)

    def frame(self, face: Frame, low: float) -> Frame:
        """The frame of `section` at `low` mm along the edge of a piece whose face is z = 0 of `face`.

        Its z runs along the edge: forward along it where the flange turns away from the face, else back.
        """
        depth = -self.thickness if self.up else 0.0
        origin = face.to_boat(np.append(self.at(low, 0.0), depth))
        out = self.out @ face.axes[:2]
        return Frame.make(origin, out, self.along @ face.axes[:2] * (-1.0 if self.up else 1.0))
