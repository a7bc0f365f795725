"""The general arrangement: the boat from above and from the side, and sections at its stations."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from shapely import LineString

from cutlists.drawing.drawing import CENTRE, DIMENSION, EDGE, FAINT, HIDDEN, OUTLINE, Drawing
from cutlists.drawing.onto import Onto
from cutlists.drawing.running import Place, merged, run_below, run_beside
from cutlists.drawing.strokes import draw_seen
from cutlists.packet.leaf import Leaf
from cutlists.packet.page import Page
from cutlists.packet.paper import Paper
from cutlists.scene import Scene
from cutlists.view_camera import PLAN, PROFILE
from model.geometry import Array
from model.mesh import Mesh
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

SECTION = "General arrangement"
BESIDE, BELOW = 30.0, 24.0
ACROSS, DOWN = 3, 2
"""Sections on a page."""


def arrangement_pages(boat: Boat, scene: Scene, paper: Paper) -> Iterator[Page]:
    """Plan and profile on one page, then sections."""
    room = paper.room

    def draw(leaf: Leaf) -> None:
        leaf.drawing(arrangement_svg(boat, scene, room[2:]), room, true_size=True)

    yield Page(SECTION, "General arrangement: plan and profile", paper, draw)
    stations = _stations(boat)
    each = ACROSS * DOWN
    for first in range(0, len(stations), each):
        own = stations[first : first + each]

        def draw_sections(leaf: Leaf, own: list[float] = own) -> None:
            wide, high = room[2] / ACROSS, room[3] / DOWN
            for n, x in enumerate(own):
                left, top = room[0] + wide * (n % ACROSS), room[1] + high * (n // ACROSS)
                leaf.drawing(
                    section_svg(boat, scene, x, (wide, high)), (left, top, wide, high), true_size=True
                )

        yield Page(SECTION, "General arrangement: sections, looking forward", paper, draw_sections)


def _stations(boat: Boat) -> list[float]:
    """Stations of the survey at which something of the interior stands; all of them in a bare hull."""
    decks = [deck.plan_area().bounds for deck in boat.layout.decks.values()]
    ends = boat.hull.span
    first, last = min((b[0] for b in decks), default=ends[0]), max((b[2] for b in decks), default=ends[1])
    known = sorted(boat.hull.survey.stations) if boat.hull.survey else []
    return [x for x in known if first < x < last] or [(first + last) / 2]


def arrangement_svg(boat: Boat, scene: Scene, size: tuple[float, float]) -> str:
    """Plan over profile, dimensioned from transom, centreline and baseline; `size` in mm of paper."""
    drawing = Drawing(*size, title=f"{boat.title}: general arrangement")
    points = scene.points
    low, high = points.min(axis=0), points.max(axis=0)
    share = np.array([high[1] - low[1], high[2] - low[2]])
    tall = (size[1] - BELOW - 18.0) * share / share.sum()
    wide = size[0] - BESIDE - 8.0
    scale = Onto.fit(low[:2], high[:2], (0, 0, wide, tall[0])).scale
    scale = max(scale, Onto.fit(low[::2], high[::2], (0, 0, wide, tall[1])).scale)
    plan = Onto(low[:2], np.array([6.0, 6.0 + (high[1] - low[1]) / scale]), scale)
    foot = size[1] - BELOW - 6.0
    profile = Onto(low[::2], np.array([6.0, foot]), scale)
    _plan_figures(drawing, boat, plan, float(high[0]))
    _profile_figures(drawing, boat, profile, float(high[0]), foot)
    draw_seen(drawing, scene, PLAN, plan)
    draw_seen(drawing, scene, PROFILE, profile)
    ends = plan.points([[low[0], 0.0], [high[0], 0.0]])
    drawing.lines([ends + np.array([[-4.0, 0.0], [4.0, 0.0]])], CENTRE, "centreline")
    drawing.text(6.0, 3.5, f"plan, {plan.words}", 2.8)
    drawing.text(6.0, profile.y(float(high[2])) - 2.5, f"profile from starboard, {profile.words}", 2.8)
    return drawing.svg()


def _plan_figures(drawing: Drawing, boat: Boat, onto: Onto, far: float) -> None:
    """Half-breadths of decks, lockers and consoles from the centreline, beside the plan."""
    found = []
    for name, area in _areas(boat):
        _, low_y, high_x, high_y = area
        found += [(v, high_x) for v in (low_y, high_y) if not name.startswith("seat.")]
    places = merged([Place(v, _figure(boat, abs(v)), onto.x(x)) for v, x in found], same=3.0)
    at = np.array([onto.y(p.value) for p in places])
    run_beside(drawing, places, at, onto.x(far) + 4.0, onto.y(0.0))


def _profile_figures(drawing: Drawing, boat: Boat, onto: Onto, far: float, foot: float) -> None:
    """Stations from the transom below, heights from the baseline beside the profile."""
    stations, heights = [], []
    for name, deck in boat.layout.decks.items():
        low_x, _, high_x, _ = deck.plan_area().bounds
        z = (deck.height_at(low_x), deck.height_at(high_x))
        heights += [(z[0], high_x), (z[1], high_x)]
        if name.startswith("deck."):
            stations += [(low_x, z[0]), (high_x, z[1])]
    stations += [(float(b.start[0]), b.top) for b in boat.layout.bulkheads]
    for console in boat.layout.consoles:
        top = console.frame.to_boat(np.array([0.0, 0.0, float(console.profile[:, 1].max())]))
        heights.append((float(top[2]), float(top[0])))
    low = [Place(x, _figure(boat, x), onto.y(z)) for x, z in stations]
    along = merged(low, same=3.0)
    up = merged([Place(z, _figure(boat, z), onto.x(x)) for z, x in heights], same=1.0)
    base = onto.y(0.0)
    run_below(drawing, along, np.array([onto.x(p.value) for p in along]), foot + 5.0, onto.x(0.0))
    run_beside(drawing, up, np.array([onto.y(p.value) for p in up]), onto.x(far) + 4.0, base)
    drawing.lines([[(2.0, base), (drawing.width - BESIDE + 2.0, base)]], CENTRE, "baseline")
    drawing.text(drawing.width - BESIDE - 1.0, base + 3.0, "baseline", 2.2, "end")
    drawing.text(2.0, foot + 9.0, "from the transom", 2.2)


def _areas(boat: Boat) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    for name, deck in boat.layout.decks.items():
        yield name, deck.plan_area().bounds
    for name, locker in boat.layout.lockers.items():
        yield name, locker.area.bounds


def _figure(boat: Boat, mm: float) -> str:
    return format_length(mm, boat.units)


# --- sections


def section_svg(boat: Boat, scene: Scene, x: float, size: tuple[float, float]) -> str:
    """The boat cut at a station, seen looking forward: port to the left; what is cut is drawn solid."""
    drawing = Drawing(*size, title=f"section at {_figure(boat, x)}")
    points = scene.points
    low, high = points.min(axis=0), points.max(axis=0)
    room = (6.0, 12.0, size[0] - 6.0 - 26.0, size[1] - 12.0 - BELOW)
    # Looking forward, port lies to the left.
    onto = Onto.fit((-high[1], low[2]), (-low[1], high[2]), room)
    _section_figures(drawing, boat, x, onto)
    for piece in scene.pieces:
        pen = {"hull": FAINT, "members": OUTLINE, "lids": HIDDEN}.get(piece.group, EDGE)
        lines = _cut(piece.mesh, x)
        if len(lines):
            seen = [onto.points(line * (-1.0, 1.0)) for line in lines]
            drawing.lines(seen, OUTLINE if piece.group == "hull" else pen, piece.name)
    middle, base = onto.x(0.0), onto.y(0.0)
    drawing.lines([[(middle, 9.0), (middle, base + 3.0)]], CENTRE, "centreline")
    drawing.lines([[(4.0, base), (size[0] - 22.0, base)]], CENTRE, "baseline")
    drawing.text(4.0, 5.0, f"at {_figure(boat, x)} from the transom, {onto.words}", 2.8)
    return drawing.svg()


def _section_figures(drawing: Drawing, boat: Boat, x: float, onto: Onto) -> None:
    """Half-breadths and heights at which decks end at the station, to both sides."""
    across, up = [], []
    for deck in boat.layout.decks.values():
        low_x, _, high_x, _ = deck.plan_area().bounds
        if not low_x <= x <= high_x:
            continue
        z = deck.height_at(x)
        chord = deck.plan_area().intersection(_line(x))
        if chord.is_empty:
            continue
        low_y, high_y = chord.bounds[1], chord.bounds[3]
        across += [(-low_y, z), (-high_y, z)]
        up.append((z, -low_y))
    along = merged([Place(u, _figure(boat, abs(u)), onto.y(z)) for u, z in across], same=3.0)
    heights = merged([Place(z, _figure(boat, z), onto.x(u)) for z, u in up], same=1.0)
    if along:
        run_below(drawing, along, np.array([onto.x(p.value) for p in along]), onto.foot[1] + 5.0, onto.x(0.0))
    if heights:
        side = drawing.width - 24.0
        run_beside(drawing, heights, np.array([onto.y(p.value) for p in heights]), side, onto.y(0.0))
    drawing.lines([[(onto.x(0.0), onto.foot[1] + 5.0), (onto.x(0.0), onto.foot[1] + 3.0)]], DIMENSION)


def _line(x: float) -> LineString:
    """The line across the boat at a station, in plan."""
    return LineString([(x, -1e5), (x, 1e5)])


def _cut(mesh: Mesh, x: float) -> Array:
    """Where a closed mesh is cut at a station: segments `(k, 2, 2)` of y and z.

    Vertices on the plane are taken to lie forward of it, so that each triangle is crossed twice or not.
    """
    vertices, faces = mesh.vertices, mesh.faces
    ahead = vertices[:, 0] >= x
    sides = ahead[faces]
    crossed = faces[sides.any(axis=1) & ~sides.all(axis=1)]
    if not len(crossed):
        return np.zeros((0, 2, 2))
    found = []
    for first, second in ((0, 1), (1, 2), (2, 0)):
        a, b = vertices[crossed[:, first]], vertices[crossed[:, second]]
        parted = ahead[crossed[:, first]] != ahead[crossed[:, second]]
        share = np.where(parted, (x - a[:, 0]) / np.where(parted, b[:, 0] - a[:, 0], 1.0), np.nan)
        found.append(a[:, 1:] + share[:, None] * (b - a)[:, 1:])
    points = np.stack(found, axis=1)
    kept = ~np.isnan(points[..., 0])
    segments: Array = points[kept].reshape(-1, 2, 2)
    return segments
