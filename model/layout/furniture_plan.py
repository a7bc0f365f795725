"""Seat boxes, consoles and bulkheads resolved to numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely import Polygon

from model.boatfile.numbers import Key
from model.boatfile.schema import BulkheadEntry, ConsoleEntry, OpeningEntry, SeatBoxEntry
from model.geometry import Array, Frame
from model.layout.context import Context, hands, with_hand
from model.layout.edges import OUTLINE, Edge
from model.layout.opening_plan import DeckShape, resolve_openings
from model.layout.records import BulkheadPlan, ConsolePlan, DeckPlan, FrameRules, RiserPlan
from model.layout.surfaces import Surfaces


def resolve_seat_boxes(ctx: Context, surfaces: Surfaces) -> dict[str, DeckPlan]:
    """Seat boxes as small decks on posts, by name (`seat.stern`); faults are noted in the context."""
    found: dict[str, DeckPlan] = {}
    for key, entry in ctx.entry.seat_boxes.items():
        path: tuple[Key, ...] = ("seat_boxes", key)
        centre = ctx.numbers.point(entry.centre, *path, "centre")
        count = entry.every.count if entry.every else 1
        step = ctx.numbers.positive(entry.every.step, *path, "every", "step") if entry.every else 0.0
        for k in range(count):
            for hand, mirrored in hands(entry.both_sides, float(centre[1])):
                name = f"seat.{with_hand(f'{key}.{k + 1}' if count > 1 else key, hand)}"
                middle = (centre + np.array([k * step, 0.0])) * [1.0, -1.0 if mirrored else 1.0]
                box = _seat_box(ctx, surfaces, entry, name, key, hand, middle, path)
                if box is not None:
                    found[name] = box
    return found


def _seat_box(
    ctx: Context,
    surfaces: Surfaces,
    entry: SeatBoxEntry,
    name: str,
    key: str,
    hand: str | None,
    centre: Array,
    path: tuple[Key, ...],
) -> DeckPlan | None:
    base = surfaces.deck(entry.on, hand, (*path, "on"))
    section = ctx.section(entry.section or "square-1x1x0.125", *path, "section")
    sheet = ctx.sheet(entry.sheet, *path, "sheet")
    length, width, height = (
        ctx.numbers.positive(getattr(entry, k), *path, k) for k in ("length", "width", "height")
    )
    border = ctx.numbers.positive(entry.border, *path, "border")
    if (
        base is None
        or section is None
        or sheet is None
        or not np.isfinite([*centre, length, width, height, border]).all()
    ):
        return None
    least = 2 * (section.width + sheet.thickness)
    if min(length, width) < 2 * least or height < section.height + 2 * sheet.thickness:
        ctx.fault(path, "the box is too small for its own frame", f"make its sides over {2 * least:.0f} mm")
        return None
    pitch = float(base.frame.x[0])
    u, v = centre[0] / pitch, centre[1]
    area = Polygon(
        [
            (u - length / 2, v - width / 2),
            (u + length / 2, v - width / 2),
            (u + length / 2, v + width / 2),
            (u - length / 2, v + width / 2),
        ]
    )
    if not base.area.buffer(0.01).covers(area):
        ctx.fault(
            (*path, "centre"),
            f"the box stands over the edge of {base.name}",
            "move it inward, or make it smaller",
        )
        return None
    edge, held = (
        Edge.outline(np.array(shape.exterior.coords)[:-1])
        for shape in (area, area.buffer(-sheet.thickness, join_style="mitre"))
    )
    inside = Polygon(held.run_on())
    risers = (RiserPlan(OUTLINE, sheet, base.name, None),)
    spans = 1e6
    rules = FrameRules(section, section, "athwart", ctx.default("beam_span"), spans, True, ())
    shape = DeckShape(name, area, {OUTLINE: edge}, pitch, sheet, False)
    lid = OpeningEntry(
        centre=[f"{u * pitch} mm", f"{v} mm"],
        length=f"{length - 2 * border} mm",
        width=f"{width - 2 * border} mm",
        radius=entry.radius,
        lid=entry.lid,
        hinge=entry.hinge,
        opens=entry.opens,
    )
    openings = resolve_openings(ctx, shape, {"lid": lid}, *path)
    openings = tuple(replace(o, path=path) for o in openings)
    frame = base.frame.moved(dz=height)
    return DeckPlan(
        name,
        key,
        hand,
        frame,
        sheet,
        {OUTLINE: edge},
        area,
        {OUTLINE: held},
        inside,
        0.0,
        openings,
        risers,
        rules,
        base.name,
        path,
    )


def resolve_consoles(ctx: Context, surfaces: Surfaces) -> tuple[ConsolePlan, ...]:
    """The consoles of the file; faults are noted in the context."""
    found = []
    for key, entry in ctx.entry.consoles.items():
        path: tuple[Key, ...] = ("consoles", key)
        centre = ctx.numbers.point(entry.centre, *path, "centre")
        for hand, mirrored in hands(entry.both_sides, float(centre[1])):
            middle = centre * [1.0, -1.0 if mirrored else 1.0]
            plan = _console(ctx, surfaces, entry, f"console.{with_hand(key, hand)}", hand, middle, path)
            if plan is not None:
                found.append(plan)
    return tuple(found)


def _console(
    ctx: Context,
    surfaces: Surfaces,
    entry: ConsoleEntry,
    name: str,
    hand: str | None,
    centre: Array,
    path: tuple[Key, ...],
) -> ConsolePlan | None:
    base = surfaces.deck(entry.on, hand, (*path, "on"))
    section = ctx.section(entry.section or "square-1x1x0.125", *path, "section")
    sheet = ctx.sheet(entry.sheet, *path, "sheet")
    names = ("length", "width", "height", "face_from")
    length, width, height, face_from = (ctx.numbers.positive(getattr(entry, k), *path, k) for k in names)
    angle = ctx.numbers.angle(entry.face_angle, *path, "face_angle")
    if base is None or section is None or sheet is None:
        return None
    if not np.isfinite([*centre, length, width, height, face_from, angle]).all():
        return None
    if face_from >= height:
        ctx.fault(
            (*path, "face_from"), "the slope starts above the console's top", f"keep it below {entry.height}"
        )
        return None
    top = -length / 2 + (height - face_from) * math.tan(angle)
    if not 0 <= angle < math.pi / 2 or top > length / 2 - 3 * section.width:
        ctx.fault(
            (*path, "face_angle"),
            "the sloping face leaves no top behind it",
            "lessen the angle, or raise face_from",
        )
        return None
    h = length / 2
    profile = np.array([(-h, 0.0), (h, 0.0), (h, height), (top, height), (-h, face_from)])
    if not base.area.buffer(0.01).covers(_footprint(base, centre, length, width)):
        ctx.fault(
            (*path, "centre"),
            f"the console stands over the edge of {base.name}",
            "move it inward, or make it smaller",
        )
        return None
    away = 1.0 if entry.faces == "aft" else -1.0
    origin = base.frame.to_boat(np.array([centre[0] / base.frame.x[0], centre[1]]))
    frame = Frame.make(origin, away * base.frame.x, base.frame.z)
    return ConsolePlan(name, frame, profile, width, section, sheet, path)


def _footprint(base: DeckPlan, centre: Array, length: float, width: float) -> Polygon:
    u, v = centre[0] / base.frame.x[0], centre[1]
    x, y = length / 2, width / 2
    return Polygon([(u - x, v - y), (u + x, v - y), (u + x, v + y), (u - x, v + y)])


def resolve_bulkheads(ctx: Context, surfaces: Surfaces) -> tuple[BulkheadPlan, ...]:
    """The bulkheads of the file; faults are noted in the context."""
    found = []
    for key, entry in ctx.entry.bulkheads.items():
        plan = _bulkhead(ctx, surfaces, entry, f"bulkhead.{key}", ("bulkheads", key))
        if plan is not None:
            found.append(plan)
    return tuple(found)


def _bulkhead(
    ctx: Context, surfaces: Surfaces, entry: BulkheadEntry, name: str, path: tuple[Key, ...]
) -> BulkheadPlan | None:
    sheet = ctx.sheet(entry.sheet, *path, "sheet")
    gap = ctx.length(entry.hull_gap, "hull_gap", *path, "hull_gap")
    line = _bulkhead_line(ctx, entry, path)
    bottom = None if entry.bottom == "hull" else ctx.numbers.length(entry.bottom, *path, "bottom")
    if line is None or sheet is None:
        return None
    middle = (line[0] + line[1]) / 2
    if (entry.top is None) == (entry.under is None):
        ctx.fault(path, "its upper edge is not told by one thing", "give just one of top and under")
        return None
    if entry.under is not None:
        deck = surfaces.deck(entry.under, None, (*path, "under"))
        if deck is None:
            return None
        top = (
            min(deck.height_at(float(x)) for x in line[:, 0])
            - deck.sheet.thickness
            - deck.rules.section.height
        )
    else:
        top = ctx.numbers.length(entry.top or 0, *path, "top")
    if math.isnan(top) or (bottom is not None and math.isnan(bottom)):
        return None
    floor = float(ctx.hull.bottom(middle[0], middle[1])) if bottom is None else bottom
    if not floor < top:
        ctx.fault(path, "its upper edge lies below its lower edge", "raise the top, or lower the bottom")
        return None
    return BulkheadPlan(name, line[0], line[1], bottom, top, gap, sheet, path)


def _bulkhead_line(ctx: Context, entry: BulkheadEntry, path: tuple[Key, ...]) -> Array | None:
    if (entry.at is None) == (entry.along is None):
        ctx.fault(path, "its place is not told by one thing", "give just one of at and along")
        return None
    if entry.along is not None:
        points = ctx.numbers.polyline(entry.along, *path, "along")
        if len(points) != 2:
            ctx.fault((*path, "along"), "a bulkhead runs straight between two points", "give two points")
            return None
    else:
        x = ctx.numbers.length(entry.at or 0, *path, "at")
        low = -1e4 if entry.starboard is None else ctx.numbers.length(entry.starboard, *path, "starboard")
        high = 1e4 if entry.port is None else ctx.numbers.length(entry.port, *path, "port")
        points = np.array([(x, low), (x, high)])
    if not np.isfinite(points).all():
        return None
    low, high = ctx.hull.span
    if not ((points[:, 0] > low) & (points[:, 0] < high)).all():
        ctx.fault(path, "the bulkhead lies outside the boat", "set it between transom and bow")
        return None
    return points
