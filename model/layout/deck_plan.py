"""Decks resolved: plane, area, openings, upright faces and the rules of their frame."""

from __future__ import annotations

import math

import numpy as np
from shapely import Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import DeckEntry, FrameEntry
from model.geometry import PORT, Array, Frame
from model.layout.context import Context, hands, with_hand
from model.layout.edges import OPPOSITE_HAND, OUTLINE, SIDES, Edge, area_within
from model.layout.hull_area import hull_area
from model.layout.opening_plan import DeckShape, resolve_openings
from model.layout.records import AddedBar, DeckPlan, FrameRules, RiserPlan
from model.survey import SIDES as HULL_SIDES
from parts.lengths import format_length
from parts.section import Section
from parts.sheet import Sheet

LEAST_DECK = 50.0
"""A deck narrower than this, mm, is a mistake of its edges."""


def resolve_decks(ctx: Context) -> dict[str, DeckPlan]:
    """The decks of the file by name (`deck.front`), in file order; faults are noted in the context."""
    found: dict[str, DeckPlan] = {}
    for key, entry in ctx.entry.decks.items():
        resolver = _DeckResolver(ctx, key, entry)
        for hand, mirrored in resolver.hands():
            deck = resolver.resolve(hand, mirrored)
            if deck is not None:
                found[deck.name] = deck
    return found


def deck_frame_plane(height: float, slope: float, at: float) -> Frame:
    """The frame of a deck plane that has `height` at station `at` and rises forward by `slope`.

    Its origin is where the plane meets the transom's station on the centreline, so that for a level deck
    plane coordinates are plan coordinates.
    """
    x = np.array([math.cos(slope), 0.0, math.sin(slope)])
    return Frame.make((0.0, 0.0, height - at * math.tan(slope)), x, np.cross(x, PORT))


class _DeckResolver:
    def __init__(self, ctx: Context, key: str, entry: DeckEntry) -> None:
        self.ctx, self.key, self.entry = ctx, key, entry
        self.numbers = ctx.numbers
        self.path: tuple[Key, ...] = ("decks", key)
        self.plan_edges = self._plan_edges()

    def hands(self) -> list[tuple[str | None, bool]]:
        """Sides the deck is built on."""
        return hands(self.entry.both_sides, self._middle())

    def resolve(self, hand: str | None, mirrored: bool) -> DeckPlan | None:
        """The deck on one side; None where faults leave nothing to build."""
        entry, path = self.entry, self.path
        height = self.numbers.length(entry.height, *path, "height")
        slope = self.numbers.angle(entry.slope, *path, "slope")
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        rules = self._rules(hand, mirrored)
        if math.isnan(height) or math.isnan(slope) or sheet is None or rules is None:
            return None
        plan_edges = self._mirrored_edges() if mirrored else self.plan_edges
        frame = deck_frame_plane(height, slope, self._station(plan_edges))
        if not self._within_hull(frame, plan_edges, height):
            return None
        pitch, thick = float(frame.x[0]), sheet.thickness
        edges = {side: in_plane(edge, frame, 0.0, thick) for side, edge in plan_edges.items()}
        gap = self.ctx.length(entry.hull_gap, "hull_gap", *path, "hull_gap")
        area = self._area(frame, thick, gap, edges)
        if area is None:
            return None
        name = f"deck.{with_hand(self.key, hand)}"
        risers = self._risers(mirrored)
        depth = thick + rules.section.height
        held = self._frame_edges(plan_edges, risers, frame, thick, depth)
        frame_area = area_within(hull_area(self.ctx.hull, frame, depth, self.ctx.default("fit_gap")), held)
        described = {s: in_plane(e, frame, 0.0, thick) for s, e in self.plan_edges.items()}
        shape = DeckShape(name, area, described, pitch, sheet, mirrored)
        openings = resolve_openings(self.ctx, shape, entry.openings, *path, "openings")
        ledger_gap = self.ctx.default("ledger_gap")
        return DeckPlan(
            name, self.key, hand, frame, sheet, edges, area, held, frame_area,
            ledger_gap, openings, risers, rules, None, path,
        )  # fmt: skip

    # --- edges and areas

    def _plan_edges(self) -> dict[str, Edge]:
        if self.entry.outline is None:
            return {s: self.ctx.edge(s, getattr(self.entry, s), *self.path, s) for s in SIDES}
        path = (*self.path, "outline")
        points = self.numbers.polyline(self.entry.outline, *path)
        if not np.isfinite(points).all():
            return {}
        if len(points) < 3 or not Polygon(points).is_valid:
            self.ctx.fault(path, "the outline crosses itself", "put three or more points in order round it")
            return {}
        return {OUTLINE: Edge.outline(points)}

    def _mirrored_edges(self) -> dict[str, Edge]:
        flipped = (edge.mirrored() for edge in self.plan_edges.values())
        return {edge.side: edge for edge in flipped}

    def _middle(self) -> float:
        """Positive where the deck was described on the port side."""
        edges = self.plan_edges
        if OUTLINE in edges or "port" not in edges:
            points = edges[OUTLINE].points if OUTLINE in edges else None
            return 1.0 if points is None else float(points[:, 1].mean())
        port, starboard = edges["port"].points, edges["starboard"].points
        if port is None:
            return 1.0
        return -1.0 if starboard is None else float(port[:, 1].mean() + starboard[:, 1].mean())

    def _station(self, edges: dict[str, Edge]) -> float:
        """Where the height is told: at `at`, or at the aft end of its edges, or at the transom."""
        if self.entry.at is not None:
            found = self.numbers.length(self.entry.at, *self.path, "at")
            return 0.0 if math.isnan(found) else found
        edge = edges.get("aft", edges.get(OUTLINE))
        return 0.0 if edge is None or edge.points is None else float(edge.points[:, 0].min())

    def _within_hull(self, frame: Frame, edges: dict[str, Edge], height: float) -> bool:
        """Notes a deck above the gunwale or below the bottom over the stretch it covers."""
        low, high = self._stretch(edges)
        x = np.linspace(low, high, 9)
        z = frame.origin[2] + x * frame.x[2] / frame.x[0]
        top, bottom = self._heights(x)
        path = (*self.path, "height")
        if np.any(z > top + 1e-6):
            worst = int(np.argmax(z - top))
            self.ctx.fault(
                path,
                f"the deck stands {self._text(z[worst] - top[worst])} above the gunwale "
                f"{self._text(x[worst])} forward of the transom",
                f"keep its height at or below {self._text(height - (z[worst] - top[worst]))}",
            )
            return False
        if np.all(z < bottom):
            worst = int(np.argmin(bottom - z))
            self.ctx.fault(
                path,
                f"the deck lies {self._text(bottom[worst] - z[worst])} or more below the bottom of the boat",
                f"raise it above {self._text(height + bottom[worst] - z[worst])}",
            )
            return False
        return True

    def _heights(self, x: Array) -> tuple[Array, Array]:
        """Height of the lower gunwale and of the keel at stations."""
        hull = self.ctx.hull
        gunwales = [hull.line(hull.lines[-1], x, side)[:, 2] for side in HULL_SIDES]
        return np.minimum(*gunwales), hull.line(hull.lines[0], x)[:, 2]

    def _stretch(self, edges: dict[str, Edge]) -> tuple[float, float]:
        """Least and greatest station the deck may cover."""
        low, high = self.ctx.hull.span
        for side, edge in edges.items():
            if edge.points is not None and side in ("aft", OUTLINE):
                low = max(low, float(edge.points[:, 0].min()))
            if edge.points is not None and side in ("forward", OUTLINE):
                high = min(high, float(edge.points[:, 0].max()))
        return low, max(high, low)

    def _text(self, value: float) -> str:
        return format_length(float(value), self.ctx.entry.units)

    def _area(self, frame: Frame, thickness: float, gap: float, edges: dict[str, Edge]) -> Polygon | None:
        """What the sheet covers: held off the skin by the gap at its lower face."""
        area = area_within(hull_area(self.ctx.hull, frame, thickness, gap), edges)
        if area.is_empty or area.buffer(-LEAST_DECK / 2).is_empty:
            self.ctx.fault(
                self.path,
                "its edges and the hull leave no deck between them",
                "check its height, aft and forward",
            )
            return None
        return area

    @staticmethod
    def _frame_edges(
        plan_edges: dict[str, Edge], risers: tuple[RiserPlan, ...], frame: Frame, top: float, bottom: float
    ) -> dict[str, Edge]:
        """The edges the frame stands to between two depths: inside the risers that hang on them."""
        thick = {r.side: r.sheet.thickness for r in risers}
        return {s: in_plane(e, frame, top, bottom, thick.get(s, 0.0)) for s, e in plan_edges.items()}

    # --- rules

    def _rules(self, hand: str | None, mirrored: bool) -> FrameRules | None:
        frame, path = self.entry.frame, (*self.path, "frame")
        section = self.ctx.section(frame.section, *path, "section")
        post = self.ctx.post_section(frame.post_section, section, *path, "post_section")
        if section is None or post is None:
            return None
        flip = np.array([1.0, -1.0 if mirrored else 1.0])
        beam_span = self._span(frame, "beam_span")
        post_span = self._span(frame, "post_span")
        if math.isnan(beam_span) or math.isnan(post_span):
            return None
        side = -1.0 if mirrored and frame.direction == "fore_aft" else 1.0
        seams = [self.numbers.length(s, *self.path, "seams", i) for i, s in enumerate(self.entry.seams or [])]
        return FrameRules(
            section,
            post,
            frame.direction,
            beam_span,
            post_span,
            frame.posts,
            tuple(self._no_post_areas(frame, flip)),
            tuple(self._added(frame, section, flip)),
            {k: side * self.numbers.length(v, *path, "move", k) for k, v in frame.move.items()},
            {k: self.numbers.angle(v, *path, "turn", k) for k, v in frame.turn.items()},
            frozenset(frame.leave_out),
            tuple(seams),
        )

    def _span(self, frame: FrameEntry, key: str) -> float:
        value = getattr(frame, key)
        if value is None:
            return self.numbers.positive(getattr(self.ctx.entry.defaults, key), "defaults", key)
        return self.numbers.positive(value, *self.path, "frame", key)

    def _no_post_areas(self, frame: FrameEntry, flip: Array) -> list[Polygon]:
        found = []
        for i, item in enumerate(frame.no_posts):
            if isinstance(item, str):
                continue  # lockers and consoles keep posts out by themselves
            points = self.numbers.polyline(item, *self.path, "frame", "no_posts", i)
            if np.isfinite(points).all() and len(points) >= 3:
                found.append(Polygon(points * flip))
        return found

    def _added(self, frame: FrameEntry, section: Section, flip: Array) -> list[AddedBar]:
        found = []
        for key, item in frame.add.items():
            path = (*self.path, "frame", "add", key)
            start, end = (self.numbers.point(getattr(item, k), *path, k) for k in ("start", "end"))
            own = self.ctx.section(item.section, *path, "section") if item.section else section
            if float(np.hypot(*(end - start))) < 1.0:
                self.ctx.fault(path, "the member has no length", "set start and end apart")
            elif own is not None:
                found.append(AddedBar(key, start * flip, end * flip, own, path))
        return found

    def _risers(self, mirrored: bool) -> tuple[RiserPlan, ...]:
        found = []
        for side, item in self.entry.risers.items():
            path = (*self.path, "risers", side)
            sheet = (
                self.ctx.sheet(item.sheet, *path, "sheet")
                if item.sheet
                else self.ctx.sheet(self.entry.sheet, *path)
            )
            if sheet is None:
                continue
            named = OUTLINE if side == "all" else side
            edge = self.plan_edges.get(named)
            if edge is None or edge.follows_hull:
                free = [s for s, e in self.plan_edges.items() if not e.follows_hull]
                known = "all" if OUTLINE in free else ", ".join(free)
                self.ctx.fault(
                    path,
                    f"there is no free edge `{side}` to hang a riser on",
                    f"free here: {known or 'none'}",
                )
                continue
            own = OPPOSITE_HAND.get(named, named) if mirrored else named
            found.append(self._riser(own, sheet, item.down_to, path))
        return tuple(found)

    def _riser(self, side: str, sheet: Sheet, target: str | int | float, path: tuple[Key, ...]) -> RiserPlan:
        if target == "hull":
            return RiserPlan(side, sheet, None, None)
        if isinstance(target, str) and target in self.ctx.entry.decks:
            return RiserPlan(side, sheet, target, None)
        return RiserPlan(side, sheet, None, self.numbers.length(target, *path, "down_to"))


def in_plane(edge: Edge, frame: Frame, low: float, high: float, inset: float = 0.0) -> Edge:
    """A plan edge in the coordinates of a deck's plane, for what lies between two depths below its top.

    On a slope the square end of a thing leans: what is wholly within the plan edge stands off it in the
    plane by the depth times the sine of the slope.

    Args:
        edge: in plan.
        frame: of the deck; its z = 0 is the top.
        low: least depth below the top, mm.
        high: greatest depth below the top, mm.
        inset: distance by which it stands inside the plan edge besides, mm.
    """
    if edge.points is None:
        return edge
    lean = edge.outward()[:, 0] * float(frame.x[2])
    distances = inset + np.maximum(lean * low, lean * high)
    moved = edge.moved_in(distances) if np.abs(distances).max() > 1e-12 else edge
    assert moved.points is not None
    return Edge(edge.side, moved.points / [float(frame.x[0]), 1.0])
