"""Ends that one cut can make: end planes sorted by angle and plane under the turns of the section.

In stick axes (x along the stick, y across, z up, a bar of the section lying with its width down) a cut plane
is x = a - m . (y, z) with the slope m = (c_y, c_z) / c_x of its normal c, c_x > 0. The right end of a piece
has c = n, the left end c = -n, n its normal out of the metal. Neighbours share a cut where the right end of
the one and the left end of the other have the same slope. The turns of the section move slopes about: those
that keep x roll a piece, the others turn it end for end. An end is told by the orbits (under rolling) of its
slope when it is put to the right and when it is put to the left; either is missing where no turn allows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from cutlists.sticks.saw_setting import ALMOST
from cutlists.sticks.shared_cuts import LONE, Port
from model.geometry import Array
from parts.section import Section


def slope(normal: Array) -> Array:
    """Slope `(2,)` of the cut plane whose unit normal, in stick axes, is `normal` or its opposite."""
    return np.asarray(normal[1:] / normal[0])


def span(section: Section, slopes: Array) -> float:
    """How far a cut of slope `(2,)` reaches along the stick, long point to short point, mm."""
    ways = np.stack([slopes, -slopes])
    return float(section.outer.support(ways).sum())


@dataclass(eq=False)
class Orbit:
    """Slopes that rolling carries into each other.

    Attributes:
        leader: the first slope met, `(2,)`.
        number: place in its list.
        apart: how far along the stick planes of two members of the orbit may differ anywhere, mm.
        steepest: greatest 1/cos of a member.
    """

    leader: Array
    number: int
    apart: float = 0.0
    steepest: float = 1.0


@dataclass(eq=False)
class EndClasses:
    """Orbits and vertices of one section.

    Attributes:
        section: in stick axes.
        kerf: of the saw, mm.
        tolerance: cut planes that differ by no more than this are made by one cut, rad.
    """

    section: Section
    kerf: float
    tolerance: float
    orbits: list[Orbit] = field(default_factory=list)
    _vertices: dict[tuple[int, int], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """The turns, apart by what they do to x."""
        turns = self.section.turns()
        self.rolls = turns[turns[:, 0, 0] > 0.0]
        self.reverses = turns[turns[:, 0, 0] < 0.0]
        self.reach = float(np.hypot(*self.section.outer.points.T).max())

    @property
    def reversible(self) -> bool:
        """Whether a piece may be turned end for end."""
        return len(self.reverses) > 0

    def port(self, normal: Array, is_b: bool) -> Port:
        """The port of an end with unit `normal` `(3,)` out of the metal, end B (right as it lies) or A."""
        if math.hypot(normal[1], normal[2]) <= math.sin(ALMOST):
            return LONE
        as_is = self._orbit(slope(normal))
        turned = self._orbit(slope(self.reverses[0] @ normal)) if self.reversible else -1
        right, left = (as_is, turned) if is_b else (turned, as_is)
        if self.section.is_round or right == left:
            return self._vertex((right, right)), 0
        if not self.reversible:
            return self._vertex((as_is, as_is)), 1 if is_b else -1
        return self._vertex((min(right, left), max(right, left))), 1 if right < left else -1

    def _vertex(self, key: tuple[int, int]) -> int:
        return self._vertices.setdefault(key, len(self._vertices))

    def _orbit(self, m: Array) -> int:
        """The orbit of a slope; a new one if none is near."""
        if self.section.is_round:
            m = np.array([float(np.hypot(*m)), 0.0])
        steep = math.sqrt(1.0 + float(m @ m))
        images = (
            np.array([m]) if self.section.is_round else np.stack([roll[1:, 1:] @ m for roll in self.rolls])
        )
        for orbit in self.orbits:
            off = np.linalg.norm(images - orbit.leader, axis=1).min()
            # Turning a plane by d moves its slope by d / cos^2 at the most.
            if off <= self.tolerance * steep**2:
                orbit.apart = max(orbit.apart, 2.0 * float(off) * self.reach)
                orbit.steepest = max(orbit.steepest, steep)
                return orbit.number
        self.orbits.append(Orbit(m, len(self.orbits), 0.0, steep))
        return len(self.orbits) - 1

    def worth(self) -> tuple[float, ...]:
        """What a shared join saves at each vertex against long point to long point and a kerf, mm.

        The blade takes kerf / cos along the stick and the triangle (the span of the cut) is not lost. Where
        ends of a vertex are a hair apart, the gap is made wide enough for all of them.
        """
        found = []
        for key in self._vertices:
            saved = []
            for number in key:
                orbit = self.orbits[number]
                triangle = span(self.section, orbit.leader)
                saved.append(triangle - self.kerf * (orbit.steepest - 1.0) - 2.0 * orbit.apart)
            found.append(min(saved))
        return tuple(found)
