"""The outline of an opening in its deck's plane, from whichever way the file tells it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import LineString, Polygon, affinity

from model.boatfile.numbers import Key
from model.boatfile.schema import OpeningEntry
from model.geometry import Array
from model.layout.context import Context
from model.layout.edges import Edge
from parts.fittings import Lid
from parts.outline import Loop
from parts.sheet import Sheet

INSIDE = 0.01
STATIONS = 13
"""Places along an opening at which the edge of its deck beside it is looked for."""

LEAST_AREA = 400.0
"""Square millimetres; what is smaller is a hole to drill, not an opening to frame."""

PLACES = (
    "aft", "forward", "port", "starboard", "from_aft", "from_forward", "from_port", "from_starboard",
    "centre", "length", "width", "rotate",
)  # fmt: skip
"""Keys that tell where an opening lies, besides its outline."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """A cut-out: its outline, and its corners `(n, 2)` before they are rounded; both counter-clockwise."""

    outline: Loop
    corners: Array

    @property
    def is_rectangle(self) -> bool:
        """Whether it is a rectangle along and across the deck, rounded corners allowed."""
        step = np.roll(self.corners, -1, axis=0) - self.corners
        return len(step) == 4 and bool((np.abs(step).min(axis=1) < 1e-6).all())

    def copied(self, mirrored: bool, forward: float) -> Drawn:
        """The cut-out moved forward, and on the other side of the centreline if mirrored."""
        flip, aside = np.diag([1.0, -1.0 if mirrored else 1.0]), np.array([forward, 0.0])
        corners = self.corners @ flip + aside
        return Drawn(self.outline.transformed(flip, aside), corners[::-1] if mirrored else corners)


def without_straight(corners: Array) -> Array:
    """A polygon's corners without those in which it runs straight on."""
    ahead = np.roll(corners, -1, axis=0) - corners
    ahead /= np.hypot(ahead[:, 0], ahead[:, 1])[:, None]
    behind = np.roll(ahead, 1, axis=0)
    turns = np.abs(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]) > 1e-9
    return corners[turns]


@dataclass(frozen=True, eq=False)
class DeckShape:
    """What an opening needs to know of its deck, in the deck's plane.

    Attributes:
        name: of the deck.
        area: what the deck covers.
        edges: its edges as the file describes them; for the deck on the other side not yet mirrored.
        pitch: cosine of the deck's slope.
        sheet: the deck's sheet.
        mirrored: whether this is the other side of what the file describes.
    """

    name: str
    area: Polygon
    edges: dict[str, Edge]
    pitch: float
    sheet: Sheet
    mirrored: bool

    def described_area(self) -> Polygon:
        """The area on the side that the file describes."""
        return affinity.scale(self.area, yfact=-1.0, origin=(0, 0)) if self.mirrored else self.area


class Drawing:
    """Draws one opening in its deck's plane."""

    def __init__(self, ctx: Context, deck: DeckShape, entry: OpeningEntry, where: tuple[Key, ...]) -> None:
        self.ctx, self.deck, self.entry, self.where = ctx, deck, entry, where
        self.numbers = ctx.numbers

    def drawn(self) -> Drawn | None:
        """The cut-out on the side that the file describes, or None with its faults noted."""
        corners = self._polygon() if self.entry.outline is not None else self._rectangle()
        radius = self.numbers.not_negative(self.entry.radius, *self.where, "radius")
        lid = self._catalogue_lid()
        if lid is not None and "radius" not in self.entry.model_fields_set:
            radius = lid.radius
        if corners is None or not np.isfinite(corners).all() or math.isnan(radius):
            return None
        shape = Polygon(corners)
        if not shape.is_valid or shape.area < LEAST_AREA:
            crosses = "crosses itself" if not shape.is_valid else "is too small to cut"
            self.ctx.fault(self.where, f"the opening's outline {crosses}", "put its points in order round it")
            return None
        corners = without_straight(corners if shape.exterior.is_ccw else corners[::-1])
        try:
            return Drawn(Loop.rounded(corners, radius), corners)
        except ValueError as error:
            self.ctx.fault((*self.where, "radius"), str(error), "make the radius smaller")
            return None

    def _catalogue_lid(self) -> Lid | None:
        name = self.entry.lid
        if not isinstance(name, str):
            return None
        return self.ctx.catalogue.lids.get(name)  # one that is missing is told where the lid is resolved

    def _lid_is_unknown(self) -> bool:
        name = self.entry.lid
        if not isinstance(name, str) or name in self.ctx.catalogue.lids:
            return False
        self.ctx.part("lid", name, *self.where, "lid")
        return True

    def _polygon(self) -> Array | None:
        entry = self.entry
        assert entry.outline is not None
        others = [key for key in PLACES if key in entry.model_fields_set]
        if others:
            self.ctx.fault(
                (*self.where, others[0]), "an outline needs no other place", f"leave out {', '.join(others)}"
            )
        points = self.numbers.polyline(entry.outline, *self.where, "outline")
        if len(points) < 3:
            self.ctx.fault((*self.where, "outline"), "an outline needs three points or more", "add points")
            return None
        return points / [self.deck.pitch, 1.0]

    def _rectangle(self) -> Array | None:
        """Its corners in the deck's plane, in which lengths of the opening are measured."""
        entry = self.entry
        lid = self._catalogue_lid()
        size = (None, None) if lid is None else (lid.length, lid.width)
        centre: tuple[float, float] | tuple[None, None] = (None, None)
        if entry.centre is not None:
            x_at, y_at = self.numbers.point(entry.centre, *self.where, "centre")
            centre = (float(x_at) / self.deck.pitch, float(y_at))
        x = self._extent(("aft", "forward"), entry.length, size[0], centre[0])
        y = self._extent(("starboard", "port"), entry.width, size[1], centre[1], x)
        if x is None or y is None:
            return None
        corners = np.array([(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])])
        turn = self.numbers.angle(entry.rotate, *self.where, "rotate")
        if math.isnan(turn):  # a fault is noted
            return None
        if turn:
            shape = affinity.rotate(Polygon(corners), turn, use_radians=True)
            corners = np.array(shape.exterior.coords)[:-1]
        return corners

    def _extent(
        self,
        sides: tuple[str, str],
        size_text: str | int | float | None,
        lid_size: float | None,
        middle: float | None,
        beside: tuple[float, float] | None = None,
    ) -> tuple[float, float] | None:
        """Least and greatest x or y from whichever two of its edges, size and centre are given.

        The deck's edge is looked for over the stretch `beside` of the deck's x, where that is known.
        """
        low, high = (self._edge(side, beside) for side in sides)
        name = "length" if sides[0] == "aft" else "width"
        size = lid_size if size_text is None else self.numbers.positive(size_text, *self.where, name)
        known = sum(v is not None for v in (low, high, size if size_text is not None else None, middle))
        if any(v is not None and math.isnan(v) for v in (low, high, size, middle)):
            return None
        found = None
        if low is not None and high is not None and middle is None and size_text is None:
            found = (low, high)
        elif size is not None and known <= 2:
            if middle is not None and low is None and high is None:
                found = (middle - size / 2, middle + size / 2)
            elif low is not None and high is None and middle is None:
                found = (low, low + size)
            elif high is not None and low is None and middle is None:
                found = (high - size, high)
        if found is None and self._lid_is_unknown():
            return None  # the lid would have told the size; its own fault says that there is none
        if found is None:
            self.ctx.fault(
                self.where,
                f"its place {'along' if name == 'length' else 'across'} the boat is not told by two things",
                f"give two of {sides[0]}, {sides[1]}, {name}, centre",
            )
            return None
        if found[1] - found[0] <= 0:
            self.ctx.fault((*self.where, sides[1]), f"{sides[1]} lies behind {sides[0]}", "exchange them")
            return None
        return found

    def _edge(self, side: str, beside: tuple[float, float] | None) -> float | None:
        """The opening's edge on one side from its own place or its distance from the deck's edge."""
        at, off = getattr(self.entry, side), getattr(self.entry, f"from_{side}")
        if at is not None and off is not None:
            self.ctx.fault((*self.where, side), f"both {side} and from_{side} are given", "keep one of them")
        if at is not None:
            found = self.numbers.length(at, *self.where, side)
            return found / self.deck.pitch if side in ("aft", "forward") else found
        if off is None:
            return None
        distance = self.numbers.length(off, *self.where, f"from_{side}")
        return self._deck_edge(side, beside) + distance * (1.0 if side in ("aft", "starboard") else -1.0)

    def _deck_edge(self, side: str, beside: tuple[float, float] | None) -> float:
        """Where the deck's edge reaches furthest in, of all or of the stretch beside the opening."""
        edge = self.deck.edges.get(side)
        axis = 0 if side in ("aft", "forward") else 1
        inner = max if side in ("aft", "starboard") else min
        if beside is not None:
            values = self._reach(side, beside)
        elif edge is not None and edge.points is not None:
            values = list(edge.points[:, axis])
        else:
            u0, v0, u1, v1 = self.deck.described_area().bounds
            values = [{"aft": u0, "forward": u1, "starboard": v0, "port": v1}[side]]
        return float(inner(values)) if values else math.nan

    def _reach(self, side: str, beside: tuple[float, float]) -> list[float]:
        """Where the deck ends on one hand, at stations along a stretch of it."""
        area = self.deck.described_area()
        u0, v0, u1, v1 = area.bounds
        stations = np.clip(np.linspace(*beside, STATIONS), u0 + INSIDE, u1 - INSIDE)
        cuts = [area.intersection(LineString([(u, v0 - 1.0), (u, v1 + 1.0)])) for u in stations]
        return [cut.bounds[1 if side == "starboard" else 3] for cut in cuts if not cut.is_empty]
