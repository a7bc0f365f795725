"""Runs of wire or hose in the boat, from above and from the side: numbered, with a key below."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Polygon

from cutlists.drawing.drawing import (
    CENTRE,
    FAINT,
    GREY,
    INK,
    OUTLINE,
    PALE,
    WHITE,
    Drawing,
    Pen,
    letters_wide,
)
from cutlists.drawing.onto import Onto
from model.geometry import Array
from model.survey import SIDES
from model.ways.bundles import Bundle, bundles
from model.ways.run import Run
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

RUN = Pen(0.5)
BUNDLE = Pen(0.9)
PASSAGE = Pen(0.3, GREY)
THING = Pen(0.18, "#9a9a9a", (1.2, 0.8))

LETTERS = 2.2
"""Size of the numbers and of the key, mm of paper."""

LINE, COLUMN = 3.6, 62.0
"""Height of a line of the key and width of its columns, mm of paper."""

MARGIN, GAP = 6.0, 8.0
"""Round the drawing, and between plan and profile, mm of paper."""

ALONG = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.28, 0.72, 0.43, 0.57)
"""Where along a run its number may stand, as shares of its length."""

OFF = ((0.0, 0.0), (0.0, -3.2), (0.0, 3.2), (4.0, -3.2), (-4.0, -3.2), (4.0, 3.2), (-4.0, 3.2))
"""How far off its place a number may stand, mm of paper; a leader leads back."""

FURTHER = tuple(
    (r * np.cos(turn), r * np.sin(turn)) for r in (7.0, 11.0, 16.0, 22.0) for turn in np.arange(0.5, 6.5, 0.7)
)
"""Places further off, for numbers that must stand somewhere."""

LEAST_ALONE = 5.0
"""A run that lies alone over less than this, mm of paper, is named with its company only."""

PLAN, PROFILE = (0, 1), (0, 2)
"""What of (x, y, z) is drawn across and up."""


def runs_svg(
    boat: Boat,
    runs: Sequence[Run],
    size: tuple[float, float],
    title: str = "",
    words: Mapping[str, str] | None = None,
) -> str:
    """The drawing, `size` mm of paper, as SVG.

    Args:
        boat: drawn faintly behind the runs.
        runs: numbered in this order.
        size: width and height of the drawing, mm of paper.
        title: of the document.
        words: what the key says of a run beside its number, by its name; its name and length unless given.
    """
    drawing = Drawing(*size, title=title or f"{boat.title}: runs")
    told = words or {}
    key = [f"{n}  {told.get(r.name) or _usual(boat, r)}" for n, r in enumerate(runs, 1)]
    columns = max(1, int((size[0] - 2 * MARGIN) / COLUMN))
    rows = -(-len(key) // columns)
    foot = size[1] - MARGIN - rows * LINE
    low, high = _extent(boat)
    wide, deep = high[0] - low[0], high[1] - low[1]
    tall = high[2] - low[2]
    room = (MARGIN, MARGIN + 4.0, size[0] - 2 * MARGIN, foot - 2 * MARGIN - 4.0)
    upper = (room[3] - GAP) * deep / (deep + tall)
    plan = Onto.fit(low[:2], high[:2], (room[0], room[1], room[2], upper))
    side = (room[0], room[1] + upper + GAP, room[2], room[3] - GAP - upper)
    profile = Onto.fit(low[[0, 2]], high[[0, 2]], side)
    scale = max(plan.scale, profile.scale)
    plan = _at_scale(plan, scale, wide, deep, (room[0], room[1], room[2], upper))
    profile = _at_scale(profile, scale, wide, tall, side)
    shared = bundles(runs)
    for onto, axes in ((plan, PLAN), (profile, PROFILE)):
        _boat(drawing, boat, onto, axes)
        _passages(drawing, boat, onto, axes)
        _runs(drawing, runs, shared, onto, axes)
    drawing.text(MARGIN, MARGIN, f"from above and from port, {plan.words}; bow to the right", 2.6)
    for k, line in enumerate(key):
        x, y = MARGIN + COLUMN * (k // max(rows, 1)), foot + LINE * (k % max(rows, 1) + 1)
        drawing.text(x, y, _short(line), LETTERS)
    return drawing.svg()


def _usual(boat: Boat, run: Run) -> str:
    return f"{run.name.partition('.')[2] or run.name}, {format_length(run.length, boat.units)}"


def _short(line: str) -> str:
    """A line of the key cut to its column."""
    most = int(COLUMN / (LETTERS * 0.6)) - 1
    return line if len(line) <= most else f"{line[: most - 1]}…"


def _at_scale(
    onto: Onto, scale: float, wide: float, tall: float, room: tuple[float, float, float, float]
) -> Onto:
    """The same drawn to another scale, in the middle of its room."""
    left, top, width, height = room
    foot = np.array([left + (width - wide / scale) / 2, top + (height + tall / scale) / 2])
    return Onto(onto.low, foot, scale)


def _extent(boat: Boat) -> tuple[Array, Array]:
    """Corners of what is drawn of the boat, `(3,)` each."""
    x = np.linspace(*boat.hull.span, 40)
    lines = [boat.hull.line(name, x, side) for name in boat.hull.lines for side in SIDES]
    points = np.concatenate(lines)
    tops = [deck.height_at(deck.plan_area().bounds[0]) for deck in boat.layout.decks.values()]
    consoles = [
        float(c.frame.to_boat(np.array([0.0, 0.0, float(c.profile[:, 1].max())]))[2])
        for c in boat.layout.consoles
    ]
    low, high = np.nanmin(points, axis=0), np.nanmax(points, axis=0)
    high[2] = max([float(high[2]), *tops, *consoles])
    return low, high


def _boat(drawing: Drawing, boat: Boat, onto: Onto, axes: tuple[int, int]) -> None:
    """Skin, decks, lockers, consoles and fixtures, faintly."""
    for shape in _shapes(boat, axes):
        drawing.area([onto.points(ring) for ring in _rings(shape)], FAINT)
    things = [f for f in boat.fixtures if f.kind != "lid"]
    for thing in things:
        corners = np.concatenate([prism.mesh(1.0).vertices for prism in thing.prisms])[:, list(axes)]
        around = shapely.MultiPoint(corners).convex_hull
        if isinstance(around, Polygon):
            drawing.area([onto.points(np.array(around.exterior.coords))], THING, PALE, thing.name)
    x = np.linspace(*boat.hull.span, 60)
    edges = (boat.hull.lines[-1],) if axes == PLAN else (boat.hull.lines[0], boat.hull.lines[-1])
    for name in edges:
        for side in SIDES if axes == PLAN else SIDES[:1]:
            line = boat.hull.line(name, x, side)[:, list(axes)]
            drawing.lines([onto.points(line[~np.isnan(line).any(axis=1)])], OUTLINE, f"hull {name}")
    if axes == PLAN:
        for end in (x[0], x[-1]):
            half = [float(boat.hull.line(edges[0], end, side)[1]) for side in SIDES]
            drawing.lines([onto.points(np.array([[end, y] for y in half]))], OUTLINE, "hull end")
        ends = onto.points(np.array([[x[0], 0.0], [x[-1], 0.0]]))
        drawing.lines([ends], CENTRE, "centreline")


def _shapes(boat: Boat, axes: tuple[int, int]) -> Iterator[Polygon]:
    """Outlines of decks, lockers and consoles as they are seen."""
    if axes == PLAN:
        yield from (deck.plan_area() for deck in boat.layout.decks.values())
        yield from (locker.area for locker in boat.layout.lockers.values())
        for console in boat.layout.consoles:
            (x0, _), (x1, _) = console.profile.min(axis=0), console.profile.max(axis=0)
            half = console.width / 2.0
            foot = np.array([[x0, -half, 0.0], [x1, -half, 0.0], [x1, half, 0.0], [x0, half, 0.0]])
            yield Polygon(console.frame.to_boat(foot)[:, :2])
        return
    for panel in boat.panels:
        corners = panel.prism.mesh(1.0).vertices[:, list(axes)]
        around = shapely.MultiPoint(corners).convex_hull
        if isinstance(around, Polygon):
            yield around


def _rings(shape: object) -> Iterator[Array]:
    for part in getattr(shape, "geoms", [shape]):
        yield np.array(part.exterior.coords)


def _passages(drawing: Drawing, boat: Boat, onto: Onto, axes: tuple[int, int]) -> None:
    """Tubes as their two walls, holes as a ring."""
    for passage in boat.passages:
        points = onto.points(passage.points[:, list(axes)])
        half = max(passage.least / 2.0 / onto.scale, 0.7)
        line = shapely.LineString(points)
        around = line.buffer(half, cap_style="flat") if line.length > 0.1 else line.buffer(half)
        drawing.area([np.array(around.exterior.coords)], PASSAGE, WHITE, passage.name)


def _runs(
    drawing: Drawing, runs: Sequence[Run], shared: Sequence[Bundle], onto: Onto, axes: tuple[int, int]
) -> None:
    """The runs, shared stretches thicker, and the number of each where it is free.

    A run is numbered where it lies alone; one that never does is named with those it lies with. Shared
    stretches are numbered where there is room, the longest first.
    """
    taken: list[Polygon] = []
    for run in runs:
        drawing.lines([onto.points(run.path[:, list(axes)])], RUN, run.name)
    for bundle in shared:
        drawing.lines([onto.points(bundle.path[:, list(axes)])], BUNDLE, " ".join(bundle.runs))
    number = {run.name: n for n, run in enumerate(runs, 1)}
    told: set[str] = set()
    for run in runs:
        alone = onto.points(_alone(run, shared)[:, list(axes)])
        in_company = any(run.name in bundle.runs for bundle in shared)
        long = float(np.sqrt((np.diff(alone, axis=0) ** 2).sum(axis=1)).sum()) > LEAST_ALONE
        if (long or not in_company) and _number(drawing, alone, str(number[run.name]), taken, not in_company):
            told.add(run.name)
    for bundle in sorted(shared, key=lambda b: -b.length):
        words = _span(sorted(number[name] for name in bundle.runs))
        path = onto.points(bundle.path[:, list(axes)])
        if _number(drawing, path, words, taken, not told.issuperset(bundle.runs)):
            told.update(bundle.runs)


def _alone(run: Run, shared: Sequence[Bundle]) -> Array:
    """Points along the run away from others; all of it where it is nowhere alone."""
    far = np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(run.path, axis=0) ** 2).sum(axis=1)))])
    at = np.linspace(0.0, far[-1], 60)
    points = np.column_stack([np.interp(at, far, run.path[:, k]) for k in range(3)])
    others = [bundle.path for bundle in shared if run.name in bundle.runs]
    if not others:
        return points
    near = np.concatenate(others)
    apart = np.sqrt(((points[:, None] - near[None]) ** 2).sum(axis=2)).min(axis=1) > 25.0
    return points[apart] if apart.sum() > 1 else points


def _span(numbers: Sequence[int]) -> str:
    """Numbers in few letters: `1-4 7`."""
    parts: list[list[int]] = []
    for n in numbers:
        if parts and n == parts[-1][-1] + 1:
            parts[-1].append(n)
        else:
            parts.append([n])
    return " ".join(f"{p[0]}-{p[-1]}" if len(p) > 2 else " ".join(map(str, p)) for p in parts)


def _number(drawing: Drawing, points: Array, told: str, taken: list[Polygon], must: bool) -> bool:
    """A number on a white ground on the line, or beside it with a leader, where none lies on another.

    Returns:
        Whether it is there; where no place is free it is only if it `must` be.
    """
    half_wide, half_high = letters_wide(told, LETTERS) / 2 + 0.7, LETTERS * 0.62
    box = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (half_wide, half_high)
    last = len(points) - 1
    along = [points[round(share * last)] for share in ALONG]
    places = [(on, on + np.array(off)) for off in OFF for on in along]
    if must:
        places += [(on, on + np.array(off)) for off in FURTHER for on in along]
    inside = [
        (on, at)
        for on, at in places
        if half_wide < at[0] < drawing.width - half_wide and half_high < at[1] < drawing.height - half_high
    ]
    free = (p for p in inside if not any(Polygon(box + p[1]).intersects(other) for other in taken))
    place = next(free, None)
    if place is None and not must:
        return False
    on, at = place or (inside or places)[0]
    taken.append(Polygon(box + at))
    if np.hypot(*(at - on)) > 0.1:
        drawing.lines([[on, at]], FAINT)
    drawing.area([box + at], Pen(0.13, GREY), WHITE)
    drawing.text(float(at[0]), float(at[1]) + LETTERS * 0.36, told, LETTERS, "middle", ink=INK)
    return True
