"""Edges in plan and the areas they bound.

An edge is `hull`, a straight line across or along the boat, or a polyline with angled runs. An area in
plan is what lies inside the hull and on the inner side of its aft, forward, port and starboard edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from model.flat_arcs import polygons_of
from model.geometry import Array

FAR = 1e5
"""Plan distance, mm, that lies beyond any hull this program is for."""

OUTLINE = "outline"
SIDES = ("aft", "forward", "port", "starboard")
OPPOSITE_HAND = {"port": "starboard", "starboard": "port", "aft": "aft", "forward": "forward"}
"""Each side's name on the other side of the centreline."""


@dataclass(frozen=True, eq=False)
class Edge:
    """One side of an area in plan; `points` `(n, 2) float` in mm, or None where it follows the hull.

    Polylines are held in a fixed sense: starboard to port for aft and forward, aft to forward for
    port and starboard. Beyond its ends the edge runs on square across (or straight along) the boat.
    The side `outline` is a closed edge all round, counter-clockwise, its first point repeated.
    """

    side: str
    points: Array | None

    @classmethod
    def line(cls, side: str, value: float) -> Edge:
        """A straight edge: a station for aft and forward, a buttock line for port and starboard."""
        if side in ("aft", "forward"):
            return cls(side, np.array([[value, -1.0], [value, 1.0]]))
        return cls(side, np.array([[-1.0, value], [1.0, value]]))

    @classmethod
    def polyline(cls, side: str, points: Array) -> Edge:
        """An edge through plan points, put in the fixed sense."""
        along = 1 if side in ("aft", "forward") else 0
        return cls(side, points if points[0, along] <= points[-1, along] else points[::-1].copy())

    @classmethod
    def outline(cls, points: Array) -> Edge:
        """A closed edge round `(n, 2)` corners given in either sense."""
        x, y = points.T
        turns_left = (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() > 0
        ring = points if turns_left else points[::-1]
        return cls(OUTLINE, np.vstack([ring, ring[:1]]))

    @property
    def follows_hull(self) -> bool:
        """Whether the edge is the hull itself."""
        return self.points is None

    @cached_property
    def is_straight(self) -> bool:
        """Whether the edge is one straight line across or along the boat."""
        return (
            self.points is not None
            and self.side != OUTLINE
            and len(self.points) == 2
            and self._spread() < 1e-9
        )

    def crosses_itself(self) -> bool:
        """Whether the polyline, run on to both sides, meets itself."""
        return self.points is not None and not LineString(self.run_on()).is_simple

    def mirrored(self) -> Edge:
        """The same edge on the other side of the centreline."""
        if self.side == OUTLINE and self.points is not None:
            return Edge.outline(self.points[:-1] * [1.0, -1.0])
        side = OPPOSITE_HAND[self.side]
        return Edge(side, None) if self.points is None else Edge.polyline(side, self.points * [1.0, -1.0])

    def inner_area(self) -> Polygon | None:
        """The half of the plan on the inner side of the edge; None for an edge that follows the hull."""
        return self._inner_area

    @cached_property
    def _inner_area(self) -> Polygon | None:
        if self.points is None:
            return None
        run = self.run_on()
        if self.side == OUTLINE:
            return Polygon(run)
        axis, sign = _INWARD[self.side]
        far = run[[-1, 0]].copy()
        far[:, axis] = sign * FAR
        return Polygon(np.vstack([run, far]))

    def outward(self) -> Array:
        """Unit normals of the segments of `run_on()` away from the inner side, `(n - 1, 2)`."""
        run = self.run_on()
        step = np.diff(run, axis=0)
        step /= np.hypot(step[:, 0], step[:, 1])[:, None]
        right = np.stack([step[:, 1], -step[:, 0]], axis=1)
        return -right if self.side in ("aft", "port") else right

    def moved_in(self, distances: Array) -> Edge:
        """The edge with each segment of `run_on()` moved inward by its own distance, mm, its angles kept."""
        if self.points is None:
            return self
        run, out = self.run_on(), self.outward()
        closed = self.side == OUTLINE
        offsets = (run[:-1] * out).sum(axis=1) - distances
        before, after = (np.roll(out, 1, axis=0), out) if closed else (out[:-1], out[1:])
        c_before, c_after = (np.roll(offsets, 1), offsets) if closed else (offsets[:-1], offsets[1:])
        turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        x = c_before * after[:, 1] - c_after * before[:, 1]
        y = before[:, 0] * c_after - after[:, 0] * c_before
        straight = np.abs(turn) < 1e-9  # a point within a straight run goes square to it
        corners = np.stack([x, y], axis=1) / np.where(straight, 1.0, turn)[:, None]
        own = run[:-1] if closed else run[1:-1]
        slid = own + after * (c_after - (own * after).sum(axis=1))[:, None]
        moved = np.where(straight[:, None], slid, corners)
        if closed:
            return Edge.outline(moved)
        if self.is_straight:
            axis = _INWARD[self.side][0]
            return Edge.line(self.side, float((run[0] - out[0] * distances[0])[axis]))
        return Edge.polyline(self.side, moved)

    def _spread(self) -> float:
        assert self.points is not None
        across = self.points[:, _INWARD[self.side][0]]
        return float(across.max() - across.min())

    def run_on(self) -> Array:
        """The polyline with both ends run on far beyond the hull; a closed outline as it is."""
        return self._run_on

    @cached_property
    def _run_on(self) -> Array:
        assert self.points is not None
        if self.side == OUTLINE:
            return self.points
        along = 1 - _INWARD[self.side][0]
        first, last = self.points[0].copy(), self.points[-1].copy()
        first[along], last[along] = -FAR, FAR
        # a straight edge keeps no point of its own: it would part the sheet that hangs on it in two
        return np.vstack([first, last] if self.is_straight else [first, self.points, last])


_INWARD = {"aft": (0, 1.0), "forward": (0, -1.0), "port": (1, -1.0), "starboard": (1, 1.0)}


def rectangle(u: float, v: float, length: float, width: float) -> Polygon:
    """A rectangle about (u, v) along and across the deck; its corners go round from aft on starboard."""
    x, y = length / 2, width / 2
    return Polygon([(u - x, v - y), (u + x, v - y), (u + x, v + y), (u - x, v + y)])


def largest(shape: BaseGeometry) -> Polygon:
    """The largest polygon of a shape; an empty one where it has none."""
    pieces = polygons_of(shape)  # largest first
    return pieces[0] if pieces else Polygon()


def holds(area: Polygon, shape: BaseGeometry, slack: float) -> bool:
    """Whether a shape lies within an area, give or take `slack` mm."""
    return bool(area.covers(shape) or area.buffer(slack).covers(shape))


def is_wide(area: Polygon, width: float) -> bool:
    """Whether a circle of that diameter, mm, finds room in an area."""
    if area.is_empty:
        return False
    middle = area.centroid
    if area.contains(middle) and area.boundary.distance(middle) > width / 2:
        return True
    return not area.buffer(-width / 2).is_empty


def pieces_within(hull: BaseGeometry, edges: dict[str, Edge]) -> list[Polygon]:
    """What lies inside the hull polygon and on the inner side of every edge, piece by piece."""
    found: BaseGeometry = hull
    bounds = {"aft": -FAR, "forward": FAR, "port": FAR, "starboard": -FAR}
    for edge in edges.values():
        inner = edge.inner_area()
        if edge.is_straight and edge.points is not None:
            bounds[edge.side] = float(edge.points[0, _INWARD[edge.side][0]])
        elif inner is not None:
            found = found.intersection(inner)
    if any(abs(value) != FAR for value in bounds.values()):
        if bounds["aft"] >= bounds["forward"] or bounds["starboard"] >= bounds["port"]:
            return []
        found = found.intersection(box(bounds["aft"], bounds["starboard"], bounds["forward"], bounds["port"]))
    return polygons_of(found)


def area_within(hull: BaseGeometry, edges: dict[str, Edge]) -> Polygon:
    """The largest of `pieces_within`, maybe empty: slivers come of an edge that grazes the hull."""
    return max(pieces_within(hull, edges), key=lambda piece: float(piece.area), default=Polygon())
