"""Lockers, wells, trays and boxes: where their walls stand, under which opening, down to which floor."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import Polygon, affinity

from model.boatfile.numbers import Key
from model.boatfile.schema import LockerEntry
from model.geometry import Frame
from model.layout.context import Context, hands, with_hand
from model.layout.edges import OPPOSITE_HAND, SIDES, Edge, area_within
from model.layout.hull_area import hull_area
from model.layout.records import DeckPlan, LockerPlan, Opening
from model.layout.surfaces import Surfaces


def resolve_lockers(ctx: Context, surfaces: Surfaces) -> dict[str, LockerPlan]:
    """The lockers of the file by name (`locker.dry`); faults are noted in the context."""
    found: dict[str, LockerPlan] = {}
    for key, entry in ctx.entry.lockers.items():
        path: tuple[Key, ...] = ("lockers", key)
        for hand, mirrored in hands(entry.both_sides, _described_side(surfaces, entry)):
            plan = _Locker(ctx, surfaces, entry, key, hand, mirrored, path).resolve()
            if plan is not None:
                found[plan.name] = plan
    return found


def clear_of_walls(decks: dict[str, DeckPlan], lockers: dict[str, LockerPlan]) -> dict[str, DeckPlan]:
    """The decks with their framing set back where walls hang down inside an opening."""
    thick = {k.opening: k.sheet.thickness for k in lockers.values() if k.hangs_in_opening and k.opening}
    found = {}
    for name, deck in decks.items():
        openings = tuple(
            replace(o, clear=o.clear.buffer(thick[o.name], join_style="mitre")) if o.name in thick else o
            for o in deck.openings
        )
        found[name] = replace(deck, openings=openings)
    return found


def _described_side(surfaces: Surfaces, entry: LockerEntry) -> float:
    for hand in ("port", "starboard"):
        under = surfaces.opening(entry.under, hand)
        if under is not None and under[1].hand is None:
            return float(under[1].polygon.centroid.y)
    return 1.0


class _Locker:
    def __init__(
        self,
        ctx: Context,
        surfaces: Surfaces,
        entry: LockerEntry,
        key: str,
        hand: str | None,
        mirrored: bool,
        path: tuple[Key, ...],
    ) -> None:
        self.ctx, self.surfaces, self.entry, self.path = ctx, surfaces, entry, path
        self.key, self.hand, self.mirrored = key, hand, mirrored

    def resolve(self) -> LockerPlan | None:
        entry, path = self.entry, self.path
        under = self._under()
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        gap = self.ctx.length(entry.hull_gap, "hull_gap", *path, "hull_gap")
        insulation = self.ctx.numbers.not_negative(entry.insulation, *path, "insulation")
        floor = None if entry.floor == "hull" else self.ctx.numbers.length(entry.floor, *path, "floor")
        if under is None or sheet is None or math.isnan(gap) or math.isnan(insulation):
            return None
        if floor is not None and math.isnan(floor):
            return None
        deck, opening = under
        hangs = (
            opening is not None
            and entry.outline is None
            and all(getattr(entry, side) == "opening" for side in SIDES)
        )
        edges = self._edges(deck, opening)
        if edges is None:
            return None
        drop = deck.sheet.thickness + (0.0 if hangs else deck.rules.section.height)
        area, top = self._area(deck, opening, edges, drop, gap, hangs)
        if area.is_empty or area.area < 100.0:
            self.ctx.fault(
                path, "its sides leave no room between them", "check them against the hull and the opening"
            )
            return None
        if floor is not None and floor >= top - 1.0:
            self.ctx.fault((*path, "floor"), "the floor lies above the locker's top", "lower it")
            return None
        name = f"locker.{with_hand(self.key, self.hand)}"
        opening_name = opening.name if opening else None
        open_sides = frozenset(OPPOSITE_HAND[s] if self.mirrored else s for s in entry.open_sides)
        return LockerPlan(
            name, self.key, self.hand, entry.kind, deck.name, opening_name, area, edges, hangs,
            top, floor, gap, insulation, open_sides, sheet, path,
        )  # fmt: skip

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
            return {}
        found: dict[str, Edge] = {}
        for side in SIDES:
            value = getattr(entry, side)
            own = OPPOSITE_HAND[side] if self.mirrored else side
            if value != "opening":
                edge = self.ctx.edge(side, value, *self.path, side)
                found[own] = edge.mirrored() if self.mirrored else edge
            elif opening is None:
                self.ctx.fault(
                    (*self.path, side), "there is no opening to take this side from", f"give {side} itself"
                )
                return None
            else:
                found[own] = Edge.line(own, self._opening_side(deck, opening, own))
        return found

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
            area = affinity.scale(opening.polygon, xfact=pitch, origin=(0, 0))
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
        x0, _, x1, _ = bounded.intersection(
            Polygon([(-500, -5e3), (1e4, -5e3), (1e4, 5e3), (-500, 5e3)])
        ).bounds
        top = min(deck.height_at(x0), deck.height_at(x1)) - drop / pitch
        if hangs:
            return area, top
        hull = hull_area(self.ctx.hull, Frame.level(top), 0.0, gap)
        return area_within(hull.intersection(bounded), {}), top
