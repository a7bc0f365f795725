"""Decks resolved: plane, area, openings, upright faces and the rules of their frame."""

from __future__ import annotations

import math
import re
from collections.abc import Container

import numpy as np
from shapely import Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import DeckEntry
from model.geometry import PORT, Array, Frame, cross
from model.kept import Kept, content
from model.layout.context import Context, hands, with_hand
from model.layout.edges import OUTLINE, SIDES, Edge, area_within, is_wide, pieces_within
from model.layout.frame_rules import frame_rules, in_deck, riser_plans
from model.layout.hull_area import cleared, hull_area
from model.layout.opening_drawing import DeckShape
from model.layout.opening_plan import resolve_openings
from model.layout.records import DeckPlan, RiserPlan
from model.survey import SIDES as HULL_SIDES

STEEPEST = math.radians(60.0) + 1e-9

LEAST_DECK = 50.0
"""A deck narrower than this, mm, is a mistake of its edges."""


def resolve_decks(ctx: Context) -> dict[str, DeckPlan]:
    """The decks of the file by name (`deck.front`), in file order; faults are noted in the context."""
    return {deck.name: deck for key, entry in ctx.entry.decks.items() for deck in _decks_of(ctx, key, entry)}


def _decks_of(ctx: Context, key: str, entry: DeckEntry) -> tuple[DeckPlan, ...]:
    """The decks of an entry; the very same plans as before where nothing they are made from has changed."""
    before = len(ctx.numbers.faults)

    def laid_out() -> tuple[DeckPlan, ...]:
        resolver = _DeckResolver(ctx, key, entry)
        found = [resolver.resolve(hand, mirrored) for hand, mirrored in resolver.hands()]
        return tuple(deck for deck in found if deck is not None)

    asked = content(ctx.catalogue), _asked(ctx, key, entry)
    return _DECKS.get(ctx.hull, asked, laid_out, keep=lambda: len(ctx.numbers.faults) == before)


def _asked(ctx: Context, key: str, entry: DeckEntry) -> Asked:
    """All that the decks of an entry are made from besides hull and catalogue."""
    whole, numbers = ctx.entry, ctx.numbers
    told = entry.model_dump_json(exclude_unset=True) + whole.defaults.model_dump_json(exclude_unset=True)
    words = set(_WORD.findall(_arithmetic(entry, whole.decks) + whole.defaults.model_dump_json()))
    named = (*numbers.dimensions.items(), *((f"{name} deg", angle) for name, angle in numbers.angles.items()))
    used = tuple((name, value) for name, value in named if name.split()[0] in words)
    known = (whole.decks, whole.lockers, whole.consoles, whole.seat_boxes, whole.fixtures, whole.bulkheads)
    names = tuple(name for group in known for name in group)
    return key, told, numbers.units, used, names


def _arithmetic(entry: DeckEntry, decks: Container[str]) -> str:
    """An entry's text less the names of decks its faces reach down to: a dimension may be called alike."""
    faces = {side: face for side, face in entry.risers.items() if face.down_to not in decks}
    return entry.model_copy(update={"risers": faces}).model_dump_json(exclude_unset=True)


Asked = tuple[str, str, str, tuple[tuple[str, float], ...], tuple[str, ...]]
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_DECKS: Kept[tuple[DeckPlan, ...]] = Kept()


def deck_frame_plane(height: float, slope: float, at: float) -> Frame:
    """The frame of a deck plane that has `height` at station `at` and rises forward by `slope`.

    Its origin is where the plane meets the transom's station on the centreline, so that for a level deck
    plane coordinates are plan coordinates.
    """
    x = np.array([math.cos(slope), 0.0, math.sin(slope)])
    return Frame.make((0.0, 0.0, height - at * math.tan(slope)), x, cross(x, PORT))


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
        slope = self._slope()
        sheet = self.ctx.sheet(entry.sheet, *path, "sheet")
        rules = frame_rules(self.ctx, entry, mirrored, *path)
        if math.isnan(height) or math.isnan(slope) or sheet is None or rules is None:
            return None
        plan_edges = self._mirrored_edges() if mirrored else self.plan_edges
        frame = deck_frame_plane(height, slope, self._station(plan_edges))
        if not self._within_hull(frame, plan_edges, height):
            return None
        pitch, thick = float(frame.x[0]), sheet.thickness
        edges = {side: in_plane(edge, frame, 0.0, thick) for side, edge in plan_edges.items()}
        gap = self.ctx.gap(entry.hull_gap, "hull_gap", *path, "hull_gap")
        area = self._area(frame, thick, gap, edges)
        if area is None:
            return None
        name = f"deck.{with_hand(self.key, hand)}"
        risers = riser_plans(self.ctx, entry, self.plan_edges, mirrored, *path)
        depth = thick + rules.section.height
        held = self._frame_edges(plan_edges, risers, frame, thick, depth)
        frame_area = area_within(self._frame_room(frame, depth), held)
        if not is_wide(frame_area, 2 * rules.section.width):
            wrong = "its edges and gaps leave no room for its frame"
            self.ctx.fault(path, wrong, "make it wider, its section less, or `fit_gap` less")
            return None
        described = {s: in_plane(e, frame, 0.0, thick) for s, e in self.plan_edges.items()}
        shape = DeckShape(name, area, described, pitch, sheet, mirrored)
        openings = resolve_openings(self.ctx, shape, entry.openings, *path, "openings")
        rules = in_deck(self.ctx, rules, frame, area, *path)
        return DeckPlan(
            name, self.key, hand, frame, sheet, edges, area, held, frame_area,
            self.ctx.ledger_gap(), openings, risers, rules, None, path, gap,
        )  # fmt: skip

    def _slope(self) -> float:
        """The rise forward, rad; nan with a fault where it is too steep for a deck."""
        slope = self.numbers.angle(self.entry.slope, *self.path, "slope")
        if abs(slope) > STEEPEST:
            wrong = f"a deck cannot rise by {math.degrees(slope):g} degrees"
            self.ctx.fault((*self.path, "slope"), wrong, "give at most 60, below zero where it falls forward")
            return math.nan
        return slope

    # --- edges and areas

    def _plan_edges(self) -> dict[str, Edge]:
        given = [s for s in SIDES if s in self.entry.model_fields_set]
        if self.entry.outline is not None and given:
            self.ctx.fault(
                (*self.path, given[0]), "an outline tells all edges", f"leave out {', '.join(given)}"
            )
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
                f"the deck stands {self.ctx.text(z[worst] - top[worst])} above the gunwale "
                f"{self.ctx.text(x[worst])} forward of the transom",
                f"keep its height at or below {self.ctx.text(height - (z[worst] - top[worst]))}",
            )
            return False
        if np.all(z < bottom):
            worst = int(np.argmin(bottom - z))
            self.ctx.fault(
                path,
                f"the deck lies {self.ctx.text(bottom[worst] - z[worst])} or more below the bottom",
                f"raise it above {self.ctx.text(height + bottom[worst] - z[worst])}",
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

    def _area(self, frame: Frame, thickness: float, gap: float, edges: dict[str, Edge]) -> Polygon | None:
        """What the sheet covers: held off the skin by the gap at its lower face."""
        if not edges:
            return None
        pieces = pieces_within(hull_area(self.ctx.hull, frame, thickness, gap), edges)
        area = max(pieces, key=lambda piece: float(piece.area), default=Polygon())
        if len(pieces) > 1 and sum(is_wide(piece, LEAST_DECK) for piece in pieces) > 1:
            self.ctx.fault(
                self.path, "its edges leave more than one deck", "describe each as a deck of its own"
            )
            return None
        if not is_wide(area, LEAST_DECK):
            self.ctx.fault(
                self.path,
                "its edges and the hull leave no deck between them",
                "check its height, aft and forward",
            )
            return None
        return area

    def _frame_room(self, frame: Frame, depth: float) -> Polygon:
        """What the frame may fill, its edges apart: held off the skin by the fit gap at its lower face."""
        gap = self.ctx.default("fit_gap")
        room = hull_area(self.ctx.hull, frame, depth, gap)
        return cleared(self.ctx.hull, frame.moved(dz=-depth), room, gap)

    @staticmethod
    def _frame_edges(
        plan_edges: dict[str, Edge], risers: tuple[RiserPlan, ...], frame: Frame, top: float, bottom: float
    ) -> dict[str, Edge]:
        """The edges the frame stands to between two depths: inside the risers that hang on them."""
        thick = {r.side: r.sheet.thickness for r in risers}
        return {s: in_plane(e, frame, top, bottom, thick.get(s, 0.0)) for s, e in plan_edges.items()}


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
