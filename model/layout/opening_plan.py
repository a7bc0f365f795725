"""Openings: where they lie in their deck, what closes them, and whether they can be there at all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import LineString, Polygon, affinity, box

from model.boatfile.numbers import Key
from model.boatfile.schema import CustomLidEntry, OpeningEntry
from model.geometry import Array
from model.layout.context import Context, hands, with_hand
from model.layout.edges import OPPOSITE_HAND, Edge, largest
from model.layout.records import LidPlan, Opening
from parts.fittings import Lid
from parts.outline import Loop
from parts.sheet import Sheet

INSIDE = 0.01
STATIONS = 13
"""Places along an opening at which the edge of its deck beside it is looked for."""


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


def resolve_openings(
    ctx: Context, deck: DeckShape, entries: dict[str, OpeningEntry], *path: Key
) -> tuple[Opening, ...]:
    """The openings of a deck, both sides and repeats written out; faults are noted in the context."""
    found: list[Opening] = []
    for key, entry in entries.items():
        where = (*path, key)
        drawn = _Drawing(ctx, deck, entry, where).outline()
        if drawn is None:
            continue
        for name, hand, flipped, offset in _copies(ctx, entry, key, drawn, where):
            mirrored = flipped != deck.mirrored
            outline = _placed(drawn, mirrored, offset)
            hinge = OPPOSITE_HAND.get(entry.hinge, entry.hinge) if mirrored else entry.hinge
            turn = ctx.numbers.angle(entry.rotate, *where, "rotate") * (-1.0 if mirrored else 1.0)
            opening = _opening(ctx, deck, entry, outline, turn, hinge, name, key, hand, where)
            if opening is not None:
                found.append(opening)
    _no_overlap(ctx, found)
    return tuple(found)


def _copies(
    ctx: Context, entry: OpeningEntry, key: str, drawn: Loop, where: tuple[Key, ...]
) -> Iterator[tuple[str, str | None, bool, float]]:
    """Name, hand, whether mirrored and offset forward of each copy of an opening."""
    count = entry.every.count if entry.every else 1
    step = ctx.numbers.positive(entry.every.step, *where, "every", "step") if entry.every else 0.0
    for k in range(count):
        base = f"{key}.{k + 1}" if count > 1 else key
        for hand, mirrored in hands(entry.both_sides, float(drawn.centroid[1])):
            if not math.isnan(step):
                yield with_hand(base, hand), hand, mirrored, k * step


def _placed(loop: Loop, mirrored: bool, offset: float) -> Loop:
    points, bulges = loop.points + np.array([offset, 0.0]), loop.bulges
    if mirrored:
        points, bulges = (points * [1.0, -1.0])[::-1], np.roll(bulges[::-1], -1)
    return Loop(points, bulges)


def _opening(
    ctx: Context,
    deck: DeckShape,
    entry: OpeningEntry,
    outline: Loop,
    turn: float,
    hinge: str,
    name: str,
    base: str,
    hand: str | None,
    where: tuple[Key, ...],
) -> Opening | None:
    polygon = outline.to_shapely()
    if not deck.area.buffer(INSIDE).covers(polygon):
        out = polygon.difference(deck.area)
        ctx.fault(
            where,
            f"the opening reaches off its deck ({out.area / 100:.0f} cm2 of it)",
            f"move it within the deck, which spans {_span(ctx, deck.area)}",
        )
        return None
    setback = ctx.numbers.not_negative(entry.setback, *where, "setback")
    clear = box(*outline.bounds) if _is_rectangle(outline) else Polygon(_corners(outline))
    clear = largest(clear.buffer(setback, join_style="mitre")) if setback > 0 else clear
    lid = _lid(ctx, entry, outline, turn, hinge, where)
    return Opening(f"{deck.name}/{name}", base, hand, deck.name, outline, polygon, clear, lid, where)


def _span(ctx: Context, area: Polygon) -> str:
    u0, v0, u1, v1 = (ctx.text(value) for value in area.bounds)
    return f"{u0} to {u1} forward and {v0} to {v1} to port"


def _is_rectangle(outline: Loop) -> bool:
    """Whether it is a rectangle square to the deck, rounded corners allowed."""
    u0, v0, u1, v1 = outline.bounds
    corners = _corners(outline)
    return len(corners) == 4 and bool(
        np.all((np.abs(corners[:, 0] - u0) < 1e-6) | (np.abs(corners[:, 0] - u1) < 1e-6))
        and np.all((np.abs(corners[:, 1] - v0) < 1e-6) | (np.abs(corners[:, 1] - v1) < 1e-6))
    )


def _corners(outline: Loop) -> Array:
    """The outline's corners with any rounding taken off: where its straight edges would meet."""
    points, bulges = outline.points, outline.bulges
    straight = [i for i in range(len(points)) if abs(bulges[i]) < 1e-9]
    if len(straight) == len(points) or len(straight) < 3:
        return points
    corners = []
    for i, j in zip(straight, [*straight[1:], straight[0]], strict=True):
        p, d = points[i], points[(i + 1) % len(points)] - points[i]
        q, e = points[j], points[(j + 1) % len(points)] - points[j]
        turn = d[0] * e[1] - d[1] * e[0]
        gap = q - p
        corners.append(p + d * ((gap[0] * e[1] - gap[1] * e[0]) / turn))
    return np.array(corners)


def _lid(
    ctx: Context, entry: OpeningEntry, cutout: Loop, turn: float, hinge: str, where: tuple[Key, ...]
) -> LidPlan | None:
    """What closes the cut-out, which was drawn square to the boat and then turned."""
    opens = ctx.numbers.angle(entry.opens, *where, "opens")
    if entry.lid is None:
        return None
    if isinstance(entry.lid, CustomLidEntry):
        return _custom_lid(ctx, entry.lid, cutout, 0.0 if entry.outline else turn, hinge, opens, where)
    lid = ctx.part("lid", entry.lid, *where, "lid")
    if lid is None:
        return None
    length, width = lid.length, lid.width
    u0, v0, u1, v1 = cutout.turned(-turn).bounds
    if abs((u1 - u0) - length) > lid.tolerance or abs((v1 - v0) - width) > lid.tolerance:
        want = " x ".join(ctx.text(value) for value in (length, width))
        have = " x ".join(ctx.text(value) for value in (u1 - u0, v1 - v0))
        ctx.fault(
            (*where, "lid"),
            f"lid {lid.name} wants a cut-out of {want} (fore and aft x athwart); this opening is {have}",
            "leave the opening's size to the lid, or order a custom lid",
        )
    outline = lid.cover.moved((u0 + u1) / 2, (v0 + v1) / 2).turned(turn)
    return LidPlan(
        lid, None, outline, lid.above, -lid.depth, lid.clearance, lid.flange, hinge, opens, lid.mass, turn
    )


def _custom_lid(
    ctx: Context,
    lid: CustomLidEntry,
    cutout: Loop,
    turn: float,
    hinge: str,
    opens: float,
    where: tuple[Key, ...],
) -> LidPlan | None:
    from model.flat_arcs import polygon_loops

    sheet = ctx.sheet(lid.sheet, *where, "lid", "sheet")
    clearance = ctx.numbers.not_negative(lid.clearance, *where, "lid", "clearance")
    flange = ctx.numbers.not_negative(lid.flange, *where, "lid", "flange")
    depth = ctx.numbers.not_negative(lid.depth, *where, "lid", "depth")
    if sheet is None or any(map(math.isnan, (clearance, flange, depth))):
        return None
    grown = flange if flange > 0 else -clearance
    shape = cutout.to_shapely().buffer(grown, join_style="mitre")
    if shape.is_empty or shape.geom_type != "Polygon":
        ctx.fault((*where, "lid", "clearance"), "the clearance leaves nothing of the lid", "lessen it")
        return None
    top = sheet.thickness if flange > 0 else 0.0
    bottom = min(top - sheet.thickness, -depth)
    outline, _ = polygon_loops(shape)
    return LidPlan(None, sheet, outline, top, bottom, clearance, flange, hinge, opens, lid.mass, turn)


def _no_overlap(ctx: Context, openings: list[Opening]) -> None:
    for a, b in itertools.combinations(openings, 2):
        what = "openings" if a.polygon.intersection(b.polygon).area > 1.0 else None
        if what is None and a.lid and b.lid:
            shared = a.lid.outline.to_shapely().intersection(b.lid.outline.to_shapely())
            what = "lids" if shared.area > 1.0 else None
        if what:
            ctx.fault(
                b.path, f"the {what} of {a.name} and {b.name} overlap", "move one of them, or make it smaller"
            )


class _Drawing:
    """Draws one opening in its deck's plane."""

    def __init__(self, ctx: Context, deck: DeckShape, entry: OpeningEntry, where: tuple[Key, ...]) -> None:
        self.ctx, self.deck, self.entry, self.where = ctx, deck, entry, where
        self.numbers = ctx.numbers

    def outline(self) -> Loop | None:
        """The cut-out as a loop in plane coordinates, or None with its faults noted."""
        corners = self._polygon() if self.entry.outline is not None else self._rectangle()
        radius = self.numbers.not_negative(self.entry.radius, *self.where, "radius")
        lid = self._catalogue_lid()
        if lid is not None and self.entry.radius == 0:
            radius = lid.radius
        if corners is None or not np.isfinite(corners).all() or math.isnan(radius):
            return None
        shape = Polygon(corners)
        if not shape.is_valid or shape.area < 1.0:
            self.ctx.fault(
                self.where, "the opening's outline crosses itself", "put its points in order round it"
            )
            return None
        if not shape.exterior.is_ccw:
            corners = corners[::-1]
        try:
            return Loop.rounded(corners, radius)
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
        others = [
            k
            for k in ("aft", "forward", "port", "starboard", "centre", "length", "width")
            if getattr(entry, k) is not None
        ]
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
            return (
                None  # the lid would have told the size; its own fault says that there is none of that name
            )
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
        return float(inner(values))

    def _reach(self, side: str, beside: tuple[float, float]) -> list[float]:
        """Where the deck ends on one hand, at stations along a stretch of it."""
        area = self.deck.described_area()
        u0, v0, u1, v1 = area.bounds
        stations = np.clip(np.linspace(*beside, STATIONS), u0 + INSIDE, u1 - INSIDE)
        cuts = [area.intersection(LineString([(u, v0 - 1.0), (u, v1 + 1.0)])) for u in stations]
        return [cut.bounds[1 if side == "starboard" else 3] for cut in cuts if not cut.is_empty]
