"""Ends of runs that no hand gets at once the decks are closed: where an access panel is needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from model.access.arm import reach_of
from model.access.crossing import Gate, gates
from model.access.obstacles import Surroundings
from model.access.service import ServicePoint, service_points
from model.access.settings import AccessSettings
from model.clearance.bodies import boat_bodies
from model.clearance.words import where_told
from model.geometry import Array
from model.ways.bodies import HOSE
from model.ways.route import Ways
from model.ways.run import Run
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

SAME = 100.0
"""Ends this near to each other, mm, are reached alike; so are all within one console."""

SERVED = 120.0
"""An end this near to a point of service, mm, is looked at with that."""

TAIL = 10.0
"""A hose that ends this near to something, mm, is fastened to it."""

WALL = 350.0
"""A panel is cut in sheet no further than this from what it lets a hand to, mm."""


@dataclass(frozen=True, eq=False)
class OutOfReach:
    """Ends of runs that no hand gets at.

    Attributes:
        runs: names of the runs that end there.
        at: one of the ends, `(3,)` mm.
        panel: the sheet in which an access panel would let a hand in; empty where none is near.
        cut_at: middle of the panel, `(3,)`.
        size: least width of the panel, mm.
    """

    runs: tuple[str, ...]
    at: Array
    panel: str
    cut_at: Array
    size: float

    def told(self, units: str) -> str:
        """In words."""
        names = self.runs[0] if len(self.runs) == 1 else f"{self.runs[0]} and {len(self.runs) - 1} more"
        told = f"no hand gets at the end of {names}, {where_told(self.at, units)}, once all is closed"
        if not self.panel:
            return f"{told}: leave a panel to it"
        size = format_length(self.size, units)
        return f"{told}: it needs an access panel of {size} or more, such as in {self.panel}"


def out_of_reach(
    boat: Boat, runs: Sequence[Run], ways: Ways, settings: AccessSettings
) -> tuple[OutOfReach, ...]:
    """Ends of runs below decks or in consoles that no arm gets to, those near each other told once.

    Points of service are not looked at here; they have a check of their own.
    """
    groups = _groups(boat, runs, ways)
    openings = tuple(gates(boat))
    doubtful = [own for own in groups if not any(_seen(ways, at, openings, settings) for _, at in own)]
    if not doubtful:
        return ()
    around = Surroundings.of(boat, boat_bodies(boat))
    decks = tuple(boat.layout.decks.values())
    found = []
    for own in doubtful:
        name, at = own[0]
        if reach_of(ServicePoint(name, name, at), around, openings, decks, settings).length is None:
            panel, cut_at = _panel_near(boat, ways, at)
            names = tuple(dict.fromkeys(n for n, _ in own))
            found.append(OutOfReach(names, at, panel, cut_at, settings.hand))
    return tuple(found)


def _groups(boat: Boat, runs: Sequence[Run], ways: Ways) -> list[list[tuple[str, Array]]]:
    """Ends of runs under cover, those reached alike together."""
    served = [point.at for point in service_points(boat)]
    groups: dict[object, list[tuple[str, Array]]] = {}
    for run in runs:
        for at in (run.path[0], run.path[-1]):
            near = any(float(np.linalg.norm(at - other)) < SERVED for other in served)
            if near or not ways.cover.covered(at[None])[0] or ways.cover.in_well(at[None])[0]:
                continue
            if run.kind == HOSE and not _fastened(ways, at):
                continue
            case = ways.cover.console_at(at)
            key: object = case if case is not None else tuple(np.round(at / SAME).astype(int).tolist())
            groups.setdefault(key, []).append((run.name, at))
    return list(groups.values())


def _fastened(ways: Ways, at: Array) -> bool:
    """Whether something is there that a hose could be clamped to; a hose may also end in the open bilge."""
    _, slab = ways.blocks.hits(at[None], at[None], TAIL)
    held = np.isin(ways.blocks.kinds[slab], ("fixture", "sheet", "well")).any()
    return bool(held) or float(ways.hull.gap(at[None], ends=True)[0]) < TAIL


def _seen(ways: Ways, at: Array, openings: Sequence[Gate], settings: AccessSettings) -> bool:
    """Whether a straight arm through the middle of an opening, or from beside it, gets there."""
    for gate in openings:
        frame = gate.deck.frame
        x, y = gate.opening.polygon.centroid.coords[0]
        middle = frame.to_boat(np.array([x, y, 0.0]))
        if float(np.linalg.norm(middle - at)) > settings.reach:
            continue
        _, slab = ways.blocks.hits(middle[None], at[None], settings.flat / 2.0)
        solid = np.isin(ways.blocks.kinds[slab], ("member", "sheet", "well", "fixture", "rib", "stringer"))
        here = ways.blocks.hits(at[None], at[None], settings.arm)[1]
        own = np.isin(slab, here) & (ways.blocks.kinds[slab] == "fixture")
        if not (solid & ~own).any():
            return True
    return False


def _panel_near(boat: Boat, ways: Ways, at: Array) -> tuple[str, Array]:
    """The nearest sheet with the open on its other side, and the place on it."""
    best, found = WALL, ("", at)
    for panel in boat.panels:
        u, v, w = panel.frame.to_frame(at)
        if abs(w) >= best or not shapely.contains_xy(panel.polygon, u, v):
            continue
        on = panel.frame.to_boat(np.array([u, v, 0.0]))
        beyond = panel.frame.to_boat(np.array([u, v, -60.0 if w > 0 else 60.0]))
        if not ways.cover.covered(beyond[None])[0]:
            best, found = float(abs(w)), (panel.name, on)
    return found
