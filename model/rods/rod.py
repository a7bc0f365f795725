"""A rod as a rigid body: a tapered round bar with rounded ends, and the box its reel needs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from model.geometry import FORWARD, UP, Array, cross, unit


@dataclass(frozen=True)
class Reel:
    """The box a reel needs; it hangs from the middle of the rod to one side.

    Attributes:
        length: along the rod, mm.
        width: across it, half of it on each side, mm.
        height: from the middle of the rod to the box's far face, mm.
        from_butt: from the butt's end to the box's near face, mm.
    """

    length: float
    width: float
    height: float
    from_butt: float


@dataclass(frozen=True)
class Rod:
    """A rod, or anything long, straight and round, as it is stowed.

    It is the convex hull of a ball at each end, so that its thickness falls evenly from butt to tip.

    Attributes:
        name: of the rod in lists.
        length: over all, ends included, mm.
        butt: diameter at the butt, mm.
        tip: diameter at the tip, mm; no more than that of the butt.
        reel: the box its reel needs; None for a bare rod.
    """

    name: str
    length: float
    butt: float
    tip: float
    reel: Reel | None = None

    @property
    def radii(self) -> tuple[float, float]:
        """Radius at butt and tip, mm."""
        return self.butt / 2.0, self.tip / 2.0

    @property
    def ends(self) -> float:
        """What its rounded ends add to the distance between the middles of its balls, mm."""
        return (self.butt + self.tip) / 2.0

    def of_length(self, length: float) -> Rod:
        """The same rod at another length."""
        return replace(self, length=length)

    @property
    def bare(self) -> Rod:
        """The same without its reel."""
        return replace(self, reel=None)

    def within(self, other: Rod) -> bool:
        """Whether it needs no more room than another rod anywhere, so that it lies wherever that one lies.

        It has to be no longer and no thicker, with a reel box that lies inside the other's.
        """
        slim = self.length <= other.length and self.butt <= other.butt and self.tip <= other.tip
        if self.reel is None or not slim:
            return slim
        if other.reel is None:
            return False
        mine, its = self.reel, other.reel
        ends = mine.from_butt + mine.length <= its.from_butt + its.length and mine.from_butt >= its.from_butt
        return ends and mine.width <= its.width and mine.height <= its.height


@dataclass(frozen=True, eq=False)
class Pose:
    """Where a rod lies.

    Attributes:
        butt, tip: middles of the balls at its ends, `(3,) float` in the boat, mm.
        hang: unit vector `(3,)` square to the rod, to which the reel's box hangs.
    """

    butt: Array
    tip: Array
    hang: Array

    @property
    def way(self) -> Array:
        """Unit vector from butt to tip, `(3,) float`."""
        return unit(self.tip - self.butt)

    @property
    def span(self) -> float:
        """Distance between the middles of the end balls, mm."""
        return float(np.linalg.norm(self.tip - self.butt))

    def length(self, rod: Rod) -> float:
        """Length over all of a rod of this one's thickness that lies so, mm."""
        return self.span + rod.ends

    def end_points(self, rod: Rod) -> Array:
        """The outermost points of butt and tip, `(2, 3) float`: the line a drawing shows."""
        butt, tip = rod.radii
        return np.stack([self.butt - butt * self.way, self.tip + tip * self.way])

    def reel_corners(self, rod: Rod) -> Array:
        """Corners of the reel's box, `(8, 3) float`; shape `(0, 3)` without a reel."""
        if rod.reel is None:
            return np.zeros((0, 3))
        return reel_corners(rod, self.butt, self.tip, self.hang)

    @classmethod
    def along(cls, butt: Array, tip: Array, hang: Array | None = None) -> Pose:
        """A pose with the reel hung as near to `hang` as may be; straight down unless given."""
        way = unit(tip - butt)
        for wanted in (-UP if hang is None else hang, -UP, FORWARD):
            flat = wanted - (wanted @ way) * way
            if float(flat @ flat) > 1e-6:
                return cls(butt, tip, unit(flat))
        raise AssertionError("one of two directions square to each other is not along the rod")

    def longer(self, factor: float) -> Pose:
        """The same pose with the tip moved on until the span is `factor` times as long."""
        return Pose(self.butt, self.butt + factor * (self.tip - self.butt), self.hang)

    def shortened(self, share: float) -> Pose:
        """The same line with a share of its span left about the middle."""
        middle, half = (self.butt + self.tip) / 2.0, share / 2.0 * (self.tip - self.butt)
        return Pose(middle - half, middle + half, self.hang)

    def part(self, share: float, place: float) -> Pose:
        """A share of the line, at its butt where `place` is 0, at its tip where it is 1."""
        along = self.tip - self.butt
        start = self.butt + place * (1.0 - share) * along
        return Pose(start, start + share * along, self.hang)

    def reversed(self, share: float) -> Pose:
        """The rod end for end, shortened."""
        found = self.shortened(share)
        return Pose(found.tip, found.butt, found.hang)

    def turned(self, angle: float) -> Pose:
        """The rod turned about its own middle line, rad, right-handed from butt to tip."""
        side = cross(self.way, self.hang)
        return Pose(self.butt, self.tip, np.cos(angle) * self.hang + np.sin(angle) * side)


def reel_corners(rod: Rod, butt: Array, tip: Array, hang: Array) -> Array:
    """Corners of the reel's box, `(8, 3) float`: the near face's four, then the far face's."""
    assert rod.reel is not None
    reel = rod.reel
    along = tip - butt
    way = along / np.sqrt(along @ along)
    side = cross(way, hang)
    near = reel.from_butt - rod.radii[0]
    at, over = butt + near * way, butt + (near + reel.length) * way
    half, down = 0.5 * reel.width * side, reel.height * hang
    corners = (at - half, at + half, at + half + down, at - half + down)
    return np.array((*corners, over - half, over + half, over + half + down, over - half + down))
