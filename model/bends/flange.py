"""One flange: an edge of a flat piece bent towards its face or away from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Frame
from model.prism import Prism
from parts.bending import bend_allowance, bend_deduction, setback
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
    def setback(self) -> float:
        """How far inside the edge the bend begins, mm."""
        return setback(self.angle, self.radius, self.thickness)

    @property
    def allowance(self) -> float:
        """Flat length of the bend, mm."""
        return bend_allowance(self.angle, self.radius, self.thickness, self.k)

    @property
    def leg(self) -> float:
        """Length of the straight leg beyond the bend, mm."""
        return self.height - self.setback

    @property
    def flat_reach(self) -> float:
        """How far the flat pattern reaches beyond the edge, mm: the height less the bend's deduction."""
        return self.height - bend_deduction(self.angle, self.radius, self.thickness, self.k)

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
        """The bend and its leg cut across: x out beyond the mould line, y from the outer face inward.

        True arcs; the bend begins at x = -setback.
        """
        c, s = math.cos(self.angle), math.sin(self.angle)
        leg, inward = np.array([c, s]), np.array([-s, c])
        t, back, bulge = self.thickness, self.setback, math.tan(self.angle / 4.0)
        outer = [(-back, 0.0), back * leg, self.height * leg]
        inner = [self.height * leg + t * inward, back * leg + t * inward, (-back, t)]
        bulges = [bulge, 0.0, 0.0, 0.0, -bulge, 0.0]
        if self.radius < 1e-6:  # the inside of a sharp bend is one corner
            inner, bulges = inner[:2], [bulge, 0.0, 0.0, 0.0, 0.0]
        return Loop(np.array([*outer, *inner]), np.array(bulges))

    def frame(self, face: Frame, low: float) -> Frame:
        """The frame of `section` at `low` mm along the edge of a piece whose face is z = 0 of `face`.

        Its z runs along the edge: forward along it where the flange turns away from the face, else back.
        """
        depth = -self.thickness if self.up else 0.0
        origin = face.to_boat(np.append(self.at(low, 0.0), depth))
        out = self.out @ face.axes[:2]
        return Frame.make(origin, out, self.along @ face.axes[:2] * (-1.0 if self.up else 1.0))

    def prism(self, face: Frame, low: float, high: float) -> Prism:
        """Bend and leg from `low` to `high` mm along the edge."""
        span = (low - high, 0.0) if self.up else (0.0, high - low)
        return Prism(self.frame(face, low), self.section(), (), *span)

    def leg_corners(self, face: Frame, low: float, high: float) -> Array:
        """The eight corners of the straight leg in the boat, `(8, 3) float`."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        leg, inward = np.array([c, s]), np.array([-s, c]) * self.thickness
        flat = np.array([self.setback * leg, self.height * leg])
        flat = np.concatenate([flat, flat + inward])
        sign = -1.0 if self.up else 1.0
        ends = (0.0, sign * (high - low))
        corners = np.array([(*point, z) for z in ends for point in flat])
        return self.frame(face, low).to_boat(corners)
