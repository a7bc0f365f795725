"""Lockers, wells, trays and boxes: where their walls stand, under which opening, down to which floor."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import Polygon, affinity

from model.boatfile.numbers import Key
from model.boatfile.schema import LockerEntry
from model.geometry import Frame
from model.layout.context import Context, Copy, copies
from model.layout.edges import OPPOSITE_HAND, SIDES, Edge, area_within, holds
from model.layout.hull_area import hull_area
from model.layout.records import DeckPlan, LockerPlan, Opening
from model.layout.surfaces import Surfaces

LEAST_AREA = 2500.0
"""Square millimetres inside; less is a mistake of the sides."""

LEAST_DEPTH = 10.0
"""From floor to deck, mm."""


def resolve_lockers(ctx: Context, surfaces: Surfaces) -> dict[str, LockerPlan]:
    """The lockers of the file by name (`locker.dry`); faults are noted in the context."""
    found: dict[str, LockerPlan] = {}
    for key, entry in ctx.entry.lockers.items():
        path: tuple[Key, ...] = ("lockers", key)
        for copy in copies(ctx, key, entry.both_sides, None, _described_side(ctx, surfaces, entry), *path):
            plan = _Locker(ctx, surfaces, entry, key, copy, path).resolve()
            if plan is not None:
                found[plan.name] = plan
    return found


def clear_of_walls(decks: dict[str, DeckPlan], lockers: dict[str, LockerPlan]) -> dict[str, DeckPlan]:
    """The decks with their framing set back where walls hang down inside an opening."""
    thick = {k.opening: k.sheet.thickness for k in lockers.values() if k.hangs_in_opening and k.opening}
    found = {}
    for name, deck in decks.items():
        if not any(o.name in thick for o in deck.openings):
            found[name] = deck
            continue
        openings = tuple(
            replace(o, clear=o.clear.buffer(thick[o.name], join_style="mitre")) if o.name in thick else o
            for o in deck.openings
        )
        found[name] = replace(deck, openings=openings)
    return found


def _described_side(ctx: Context, surfaces: Surfaces, entry: LockerEntry) -> float:
    """A y on the side that the file describes: of what the locker is under, else of its own sides."""
    described = surfaces.described(entry.under)
    if isinstance(described, Opening):
        return float(described.polygon.centroid.y)
    if described is not None and described.hand is not None:
        return float(described.area.centroid.y)
    if not entry.both_sides:
        return 1.0
    own = [value for value in (entry.port, entry.starboard) if value not in ("opening", "hull")]
    edges = [ctx.edge("port", value, "lockers") for value in (entry.outline, *own) if value is not None]
    return float(np.mean([edge.points[:, 1].mean() for edge in edges if edge.points is not None] or [1.0]))


class _Locker:
    def __init__(
        self,
        ctx: Context,
        surfaces: Surfaces,
        entry: LockerEntry,
        key: str,
        copy: Copy,
        path: tuple[Key, ...],
    ) -> None:
        self.ctx, self.surfaces, self.entry, self.path = ctx, surfaces, entry, path
        self.key, self.name, self.hand, self.mirrored = key, copy.name, copy.hand, copy.mirrored

    def resolve(self) -> LockerPlan | None:
        entry, path = self.entry, self.path
        under = self._under()
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        gap = self.ctx.gap(entry.hull_gap, "hull_gap", *path, "hull_gap")
        insulation = self.ctx.numbers.not_negative(entry.insulation, *path, "insulation")
        floor = None if entry.floor == "hull" else self.ctx.numbers.length(entry.floor, *path, "floor")
        if under is None or sheet is None or math.isnan(insulation):
            return None
        if floor is not None and math.isnan(floor):
            return None
        if floor is not None and any(self._own(side) == "hull" for side in SIDES):
            gap += sheet.thickness  # a wall along the hull is told by its inner face; its metal keeps the gap
        deck, opening = under
        hangs = opening is not None and all(self._own(side) == "opening" for side in SIDES)
        edges = self._edges(deck, opening)
        if edges is None:
            return None
        drop = deck.sheet.thickness + (0.0 if hangs else deck.rules.section.height)
        area, top = self._area(deck, opening, edges, drop, gap, hangs)
        plan = LockerPlan(
            f"locker.{self.name}",
            self.key,
            self.hand,
            entry.kind,
            deck.name,
            opening.name if opening else None,
            area,
            edges,
            hangs,
            top,
            floor,
            gap,
            insulation,
            frozenset(OPPOSITE_HAND[s] if self.mirrored else s for s in entry.open_sides),
            sheet,
            path,
            self._overflow(floor, top),
        )
        return plan if self._has_room(plan, deck, opening) else None

    def _overflow(self, floor: float | None, top: float) -> float | None:
        """Height of the overflow, None where there is none; one that cannot be is noted."""
        value, path = self.entry.overflow, (*self.path, "overflow")
        if value is None:
            return None
        height = self.ctx.numbers.length(value, *path)
        if self.entry.kind != "well" or floor is None:
            self.ctx.fault(path, "only a well with a floor has an overflow", "leave it out")
        elif not floor < height < top:
            low, high = self.ctx.text(floor), self.ctx.text(top)
            self.ctx.fault(path, f"{value} is not inside the well", f"give a height between {low} and {high}")
        return height

    def _has_room(self, plan: LockerPlan, deck: DeckPlan, opening: Opening | None) -> bool:
        """Notes a locker that is nowhere, whose floor or lining leaves no room, or that misses its deck."""
        fault, pitch = self.ctx.fault, float(deck.frame.x[0])
        over = opening.polygon if opening else deck.area
        if plan.area.area < LEAST_AREA:
            fault(self.path, "its sides leave no room between them", "check them against hull and opening")
        elif plan.area.intersection(affinity.scale(over, xfact=pitch, origin=(0, 0))).area < LEAST_AREA:
            what = f"its sides do not reach under {self.entry.under!r}"
            fault(self.path, what, "set them round it, or name what it is under")
        elif plan.area.buffer(-plan.insulation - plan.sheet.thickness).area < LEAST_AREA:
            fault((*self.path, "insulation"), "the insulation leaves no room inside", "make it thinner")
        elif plan.floor is not None and plan.floor + plan.insulation > plan.top - LEAST_DEPTH:
            right = f"keep it below {self.ctx.text(plan.top - LEAST_DEPTH - plan.insulation)}"
            fault((*self.path, "floor"), "the floor leaves no depth below the deck", right)
        elif plan.floor is not None and not self._floor_in_hull(plan, plan.floor):
            fault((*self.path, "floor"), "the floor reaches through the bottom of the boat", "raise it")
        else:
            return True
        return False

    def _floor_in_hull(self, plan: LockerPlan, floor: float) -> bool:
        inside = hull_area(self.ctx.hull, Frame.level(floor - plan.sheet.thickness))
        if plan.hangs_in_opening:
            return holds(inside, plan.area, 0.1)
        return bool(inside.intersection(plan.area).area > LEAST_AREA)

    def _own(self, side: str) -> object:
        """What the file says of a side; an outline tells them all."""
        return "outline" if self.entry.outline is not None else getattr(self.entry, side)

    def _under(self) -> tuple[DeckPlan, Opening | None] | None:
        found = self.surfaces.opening(self.entry.under, self.hand)
        if found is not None:
            return found
        if "." not in self.entry.under:
            deck = self.surfaces.deck(self.entry.under, self.hand, (*self.path, "under"))
            return None if deck is None else (deck, None)
        self.surfaces.unknown(self.entry.under, (*self.path, "under"))
        return None

    def _edges(self, deck: DeckPlan, opening: Opening | None) -> dict[str, Edge] | None:
        entry = self.entry
        if entry.outline is not None:
            return self._outlined()
        unknown = [side for side in SIDES if opening is None and getattr(entry, side) == "opening"]
        if unknown:
            right = f"give {', '.join(unknown)}, or name the opening it is under"
            self.ctx.fault(self.path, "there is no opening to take its sides from", right)
            return None
        found: dict[str, Edge] = {}
        for side in SIDES:
            value = getattr(entry, side)
            own = OPPOSITE_HAND[side] if self.mirrored else side
            if value != "opening":
                edge = self.ctx.edge(side, value, *self.path, side)
                found[own] = edge.mirrored() if self.mirrored else edge
            elif opening is not None:
                found[own] = Edge.line(own, self._opening_side(deck, opening, own))
        return found

    def _outlined(self) -> dict[str, Edge] | None:
        """No edges: the outline tells them all; whatever else tells of them is a fault."""
        others = [key for key in (*SIDES, "open_sides") if key in self.entry.model_fields_set]
        if others:
            right = f"leave out {', '.join(others)}"
            self.ctx.fault((*self.path, others[0]), "an outline tells all sides", right)
            return None
        return {}

    @staticmethod
    def _opening_side(deck: DeckPlan, opening: Opening, side: str) -> float:
        u0, v0, u1, v1 = opening.outline.bounds
        pitch = float(deck.frame.x[0])
        return {"aft": u0 * pitch, "forward": u1 * pitch, "starboard": v0, "port": v1}[side]

    def _area(
        self,
        deck: DeckPlan,
        opening: Opening | None,
        edges: dict[str, Edge],
        drop: float,
        gap: float,
        hangs: bool,
    ) -> tuple[Polygon, float]:
        """The inside in plan at its top, and the height of that top."""
        pitch = float(deck.frame.x[0])
        if hangs and opening is not None:
            area = affinity.scale(opening.corners, xfact=pitch, origin=(0, 0))
        elif self.entry.outline is not None:
            points = self.ctx.numbers.polyline(self.entry.outline, *self.path, "outline")
            if not np.isfinite(points).all() or len(points) < 3 or not Polygon(points).is_valid:
                self.ctx.fault(
                    (*self.path, "outline"), "the outline crosses itself", "put its points in order"
                )
                return Polygon(), 0.0
            area = Polygon(points * [1.0, -1.0 if self.mirrored else 1.0])
        else:
            area = Polygon([(-1e5, -1e5), (1e5, -1e5), (1e5, 1e5), (-1e5, 1e5)])
        bounded = area_within(area, edges) if edges else area
        if bounded.is_empty:
            return Polygon(), math.nan
        x0, _, x1, _ = bounded.intersection(
            Polygon([(-500, -5e3), (1e4, -5e3), (1e4, 5e3), (-500, 5e3)])
        ).bounds
        top = min(deck.height_at(x0), deck.height_at(x1)) - drop / pitch
        if hangs:
            return area, top
        hull = hull_area(self.ctx.hull, Frame.level(top), 0.0, gap)
        return area_within(hull.intersection(bounded), {}), top
