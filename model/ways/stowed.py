"""Runs that lie where rods are stowed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import manifold3d
import numpy as np
import shapely

from model.clearance.bodies import Body
from model.clearance.pairs import near_pairs
from model.clearance.solid import Solid
from model.findings import Finding, Shown
from model.geometry import Array
from model.rods.names import called
from model.ways.bodies import KINDS, bodies
from model.ways.run import Run
from model.ways.tube import tube

if TYPE_CHECKING:
    from model.boat import Boat
    from model.rods.stow import Stowed

STEP = 20.0
"""Points along runs, mm apart."""


def run_against_rods(boat: Boat, runs: Sequence[Run]) -> Iterator[Finding]:
    """Runs that meet a rod where it is stowed; rods are stowed only where a run comes into their locker."""
    near = [] if boat.rods is None else [run for run in runs if _enters(boat, run)]
    if not near:
        return
    from model.rods.check import check_rods

    rods = [
        _rod(stowed, f"rod.{stowed.rod.name}.{place.place.name}.{number}")
        for place in check_rods(boat).places
        for number, stowed in enumerate(place.stowed, 1)
        if stowed.pose is not None
    ]
    for met in near_pairs([*bodies(near), *rods], 1.0, _of_both):
        if met.shared is None:
            continue
        run = next(r for r in near if r.name == met.first.name)
        shown = (Shown(run.name, tube(run.path, run.diameter)),)
        yield Finding("run", (run.name, met.second.name), "the first lies where the second is stowed",
                      "lead it another way, by points or a passage", met.shared.middle, run.place,
                      met.depth, shown=shown)  # fmt: skip


def _of_both(one: Body, other: Body) -> bool:
    """A run and a rod."""
    return one.kind in KINDS and other.kind == "rod"


def _rod(stowed: Stowed, name: str) -> Body:
    """A stowed rod as thick as its butt, and the box of its reel."""
    assert stowed.pose is not None
    bar = Solid.of_mesh(tube(stowed.pose.end_points(stowed.rod), stowed.rod.butt))
    corners = stowed.pose.reel_corners(stowed.rod)
    if not len(corners):
        return Body(name, "rod", (bar,))
    return Body(name, "rod", (bar, Solid.of_body(manifold3d.Manifold.hull_points(corners))))


def _enters(boat: Boat, run: Run) -> bool:
    """Whether a run comes under the deck of a place that is marked for rods."""
    assert boat.rods is not None
    points = _points(run.path)
    for name in boat.rods.lockers:
        for place in called(boat.layout, name):
            area = place.deck.plan_area() if place.locker is None else place.locker.area
            below = points[:, 2] < place.deck.height_at(float(points[0, 0]))
            if (below & shapely.contains_xy(area, points[:, 0], points[:, 1])).any():
                return True
    return False


def _points(path: Array) -> Array:
    """Points along a run."""
    far = np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(path, axis=0) ** 2).sum(axis=1)))])
    at = np.linspace(0.0, far[-1], max(2, int(far[-1] / STEP)))
    return np.column_stack([np.interp(at, far, path[:, k]) for k in range(3)])
