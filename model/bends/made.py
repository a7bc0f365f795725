"""A flange as it is made: over which part of its edge, and how its ends are cut where a corner is mitred."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from model.bends.bend_line import BendLine
from model.bends.flange import Flange
from model.bends.profile import Stretch, outline
from model.geometry import Array, Frame
from model.prism import Prism
from parts.bending import setback
from parts.outline import Loop

NARROWEST = 1.0
"""A leg that its mitres leave narrower than this at its edge is not made, mm."""
SQUARE = math.radians(0.5)
"""An end no further off square than this is cut square."""


@dataclass(frozen=True, slots=True)
class Mitre:
    """The end of a flange cut to the upright plane that halves the corner between two edges.

    At x mm out beyond the mould line the plane lies `slope` x further along than the corner. The sheet is
    cut square to its faces, so of each leg the face that meets the plane first decides.

    Attributes:
        at: place of the corner along the edge, mm.
        slope: tangent of half the turn from one edge to the next.
        back: half the gap, measured along the edge, mm.
        gap: between the two flanges, mm.
    """

    at: float
    slope: float
    back: float
    gap: float

    @classmethod
    def between(cls, at: float, turn: float, gap: float) -> Mitre:
        """The mitre of a corner where the edge turns by `turn` rad to the left, metal on the left."""
        return cls(at, math.tan(turn / 2.0), gap / (2.0 * math.cos(turn / 2.0)), gap)

    def over(self, x: Array) -> float:
        """How far beyond the corner a stretch whose faces lie at `x` may reach, mm."""
        return float((self.slope * x).min()) - self.back

    def cut(self, heading: float) -> float:
        """Angle by which the end of a leg of a heading is off square on the flat pattern, rad."""
        return math.atan(self.slope * math.cos(heading))


@dataclass(frozen=True, eq=False, slots=True)
class CornerCut:
    """The end of a leg that is cut off square for a mitred corner.

    Attributes:
        at: its middle on the flat pattern, `(2,)`, mm.
        inward: the way into the leg along its bend, unit `(2,)`.
        angle: off square, rad.
        gap: to the flange round the corner when folded, mm.
    """

    at: Array
    inward: Array
    angle: float
    gap: float


@dataclass(frozen=True, eq=False, slots=True)
class Fold:
    """A flange as it was made: over which part of its edge, mm from the edge's start, its first bend runs.

    Attributes:
        flange: which.
        low, high: ends of its first bend.
        mitres: of its low and its high end; None where it is cut square.
    """

    flange: Flange
    low: float
    high: float
    mitres: tuple[Mitre | None, Mitre | None] = (None, None)

    @property
    def length(self) -> float:
        """Of its first bend, mm."""
        return self.high - self.low

    @property
    def is_mitred(self) -> bool:
        """Whether an end is cut to a mitre."""
        return any(self.mitres)

    def ends(self, stretch: Stretch) -> Array:
        """Low and high end of a stretch where it begins and where it ends, `(2, 2)`, mm along the edge.

        A bend is cut square, to the least that its mitre leaves it.
        """
        reach = stretch.reach()
        rows = (reach[:1], reach[-1:]) if stretch.is_leg else (reach, reach)
        low, high = self.mitres
        lows = [self.low if low is None else low.at - low.over(row) for row in rows]
        highs = [self.high if high is None else high.at + high.over(row) for row in rows]
        return np.array([lows, highs]).T

    def is_left(self, shortest: float) -> bool:
        """Whether its mitres leave every bend as long as `shortest` mm, and of every leg something."""
        widths = ((one, np.diff(self.ends(one), axis=1).min()) for one in self.flange.stretches)
        return all(width >= (NARROWEST if one.is_leg else shortest) for one, width in widths)

    def flap(self, lap: float) -> shapely.Polygon:
        """The flange laid flat, from where its first bend begins; it laps the flat part by `lap` mm."""
        own = self.flange
        first = own.stretches[0]
        low, high = self.ends(first)[0].tolist()
        right, left = [(high, first.flat[0] - lap)], [(low, first.flat[0] - lap)]
        for stretch in own.stretches:
            for (low, high), out in zip(self.ends(stretch).tolist(), stretch.flat, strict=True):
                right.append((high, out))
                left.append((low, out))
        return shapely.Polygon([own.at(*place) for place in [*left[::-1], *right]])

    def prisms(self, face: Frame) -> tuple[Prism, ...]:
        """Its metal in the boat: one prism, or of a mitred flange one for each bend and each leg."""
        own = self.flange
        if not self.is_mitred:
            return (self._across(face, own.section(), self.low, self.high),)
        found = []
        for stretch in own.stretches:
            if stretch.is_leg and stretch.length > 1e-6:
                found.append(self._leg(face, stretch))
            elif not stretch.is_leg:
                low, high = self.ends(stretch)[0].tolist()
                found.append(self._across(face, outline((stretch,)), low, high))
        return tuple(found)

    def legs(self, face: Frame) -> list[Array]:
        """The eight corners of each leg in the boat, `(8, 3)`: its outer face round, then its inner."""
        found = []
        for stretch in self.flange.stretches:
            if stretch.is_leg and stretch.length > 1e-6:
                prism = self._leg(face, stretch)
                flat = prism.outline.points
                corners = [np.column_stack([flat, np.full(4, z)]) for z in (prism.z0, prism.z1)]
                found.append(prism.frame.to_boat(np.concatenate(corners)))
        return found

    def lines(self, steps: tuple[int, ...] = ()) -> list[BendLine]:
        """The middles of its bends on the flat pattern; `steps` is when each is made."""
        own = self.flange
        found = []
        for stretch in own.stretches:
            if not stretch.is_leg:
                turn, middle = own.turns[stretch.turn], sum(stretch.flat) / 2.0
                low, high = self.ends(stretch)[0].tolist()
                ends = np.array([own.at(low, middle), own.at(high, middle)])
                step = steps[stretch.turn] if steps else 0
                found.append(BendLine(ends, turn.angle, turn.radius, own.turns_up(stretch.turn), step))
        return found

    def corner_cuts(self) -> list[CornerCut]:
        """The ends of its legs that mitres cut off square."""
        found = []
        own, legs = self.flange, [stretch for stretch in self.flange.stretches if stretch.is_leg]
        for side, mitre in enumerate(self.mitres):
            for leg in legs:
                angle = 0.0 if mitre is None else abs(mitre.cut(leg.heading))
                if mitre is not None and angle > SQUARE:
                    at = own.at(float(self.ends(leg)[:, side].mean()), sum(leg.flat) / 2.0)
                    found.append(CornerCut(at, own.along * (1.0 - 2.0 * side), angle, mitre.gap))
        return found

    def _across(self, face: Frame, section: Loop, low: float, high: float) -> Prism:
        """A section of the flange pushed along its edge from `low` to `high` mm."""
        span = (low - high, 0.0) if self.flange.up else (0.0, high - low)
        return Prism(self.flange.frame(face, low), section, (), *span)

    def sharp_legs(self, face: Frame) -> list[Prism]:
        """Its legs run on to where they would meet were the bends between them sharp."""
        turns, t = self.flange.turns, self.flange.thickness
        backs = [setback(turn.angle, turn.radius, t) for turn in turns]
        legs = [stretch for stretch in self.flange.stretches if stretch.is_leg]
        return [
            self._leg(face, leg, before, after)
            for leg, before, after in zip(legs, backs, [*backs[1:], 0.0], strict=True)
        ]

    def _leg(self, face: Frame, stretch: Stretch, before: float = 0.0, after: float = 0.0) -> Prism:
        """A leg as a plate in its own plane, its ends cut as they are, run on by lengths before and after."""
        across = self.flange.frame(face, 0.0)
        c, s = math.cos(stretch.heading), math.sin(stretch.heading)
        origin = across.to_boat(np.append(stretch.outer[0], 0.0))
        plane = Frame.make(origin, c * across.x + s * across.y, -s * across.x + c * across.y)
        # y of the plane runs along the edge where the flange turns up, and against it where it turns down
        sign = 1.0 if self.flange.up else -1.0
        (low0, high0), (low1, high1) = (sign * self.ends(stretch)).tolist()
        first, last = -before, stretch.length + after
        corners = [(first, low0), (last, low1), (last, high1), (first, high0)]
        return Prism(plane, Loop.polygon(corners), (), 0.0, self.flange.thickness)
