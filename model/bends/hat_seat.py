"""Where a hat lies on a sheet: how far it runs to what it butts against, and whether sheet is under it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygon_of
from model.geometry import Array, Frame
from model.layout.records import DeckPlan
from model.member import Member
from model.panel import Panel

OFF = 1.0
"""What lies over the edge of the sheet by no more than this is not told, mm."""

LIES = 0.5
"""A hat butts against members that rise no more than this (sine); posts it may hit."""


class BlockedError(ValueError):
    """The middle of a hat lies in what it is to butt against; `name` is that."""

    def __init__(self, name: str) -> None:
        super().__init__(f"it lies in {name}")
        self.name = name


@dataclass(frozen=True, eq=False)
class Seat:
    """The side of a sheet that a hat is welded to.

    Attributes:
        of: the deck or the piece.
        frame: z off the sheet, from the very surface.
        sheet: where there is metal, in the frame's x, y.
        ends: outlines of members that stop a hat, by name, in the same.
    """

    of: str
    frame: Frame
    sheet: BaseGeometry
    ends: Mapping[str, BaseGeometry]

    @classmethod
    def below(cls, deck: DeckPlan, members: Sequence[Member]) -> Seat:
        """The underside of a deck's sheet, between the members of its frame."""
        own = [m for m in members if m.name.startswith(f"{deck.name}/") and abs(float(m.axis[2])) <= LIES]
        under = turned_over(deck.frame.moved(dz=-deck.sheet.thickness))
        corners = (under.to_frame(m.corners.reshape(-1, 3))[:, :2] for m in own)
        outlines = {m.name: shapely.MultiPoint(c).convex_hull for m, c in zip(own, corners, strict=True)}
        open_ = [opening.polygon for opening in deck.openings]
        metal = deck.area.difference(shapely.union_all(open_)) if open_ else deck.area
        return cls(deck.name, under, shapely.transform(metal, lambda p: p * [1.0, -1.0]), outlines)

    @classmethod
    def on(cls, panel: Panel, face: bool) -> Seat:
        """The face or the back of a flat piece, of a folded one of what stays flat."""
        base, holes = getattr(panel, "base", panel.outline), getattr(panel, "base_holes", panel.holes)
        metal = polygon_of(base, holes)
        if face:
            return cls(panel.name, panel.frame, metal, {})
        back = turned_over(panel.frame.moved(dz=-panel.sheet.thickness))
        return cls(panel.name, back, shapely.transform(metal, lambda p: p * [1.0, -1.0]), {})

    def run(self, start: Array, end: Array, half: float) -> Run:
        """How far a strip `half` mm wide to each side runs between `start` and `end` `(2,)`.

        Raises:
            BlockedError: a member lies in its middle.
        """
        length = float(np.hypot(*(end - start)))
        ahead = (end - start) / length
        left = half * np.array([-ahead[1], ahead[0]])
        strip = shapely.Polygon([start - left, end - left, end + left, start + left])
        low, high = 0.0, length
        stopped: list[str | None] = [None, None]
        for name, outline in self.ends.items():
            shared = outline.intersection(strip)
            if shared.area < OFF:
                continue
            along = (shapely.get_coordinates(shared) - start) @ ahead
            if along.min() < length / 2.0 < along.max():
                raise BlockedError(name)
            if along.max() <= length / 2.0 and along.max() > low:
                low, stopped[0] = float(along.max()), name
            if along.min() >= length / 2.0 and along.min() < high:
                high, stopped[1] = float(along.min()), name
        return Run(start + low * ahead, start + high * ahead, half, (stopped[0], stopped[1]))

    def bare(self, run: Run) -> float:
        """Area of a strip that has no sheet under it, mm2."""
        ahead = (run.end - run.start) / run.length
        left = (run.half - OFF) * np.array([-ahead[1], ahead[0]])
        corners = [run.start - left, run.end - left, run.end + left, run.start + left]
        return float(shapely.Polygon(corners).difference(self.sheet.buffer(OFF)).area)

    def at(self, run: Run) -> Frame:
        """The frame of a hat that runs so: x along it, z off the sheet."""
        along = (run.end - run.start) @ self.frame.axes[:2]
        return Frame.make(self.frame.to_boat(run.start), along, self.frame.z)


@dataclass(frozen=True, eq=False)
class Run:
    """A strip on a seat from `start` to `end` `(2,)`, `half` mm wide to each side; `meets` ends it."""

    start: Array
    end: Array
    half: float
    meets: tuple[str | None, str | None]

    @property
    def length(self) -> float:
        """From end to end, mm."""
        return float(np.hypot(*(self.end - self.start)))


def turned_over(frame: Frame) -> Frame:
    """The frame seen from the other side: y and z turned about x."""
    return Frame(frame.origin, frame.x, -frame.y, -frame.z)
