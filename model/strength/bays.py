"""Sheet between members, bay by bay: what a person asks of it, bent and hanging between its edges."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPoint, Polygon

from model.flat_arcs import polygons_of
from model.geometry import Array
from model.layout.records import DeckPlan
from model.strength.allowable import allowed
from model.strength.network import Network
from model.strength.plate import Plate, Sagged, sagged
from model.strength.settings import GRAVITY, StrengthSettings
from parts.sheet import Sheet

LEAST = 60.0
"""Narrower strips of bare sheet, mm, are not asked about: no foot goes between their members."""

FULL = 0.85
"""A bay that fills so much of the least rectangle round it is taken as that rectangle."""

WIDER = 5.0
"""Steps in which a bay's greatest width is looked for, mm."""

OPENS = 2.0
"""Slits narrower than this between members that meet, mm, part no sheet."""


@dataclass(frozen=True, eq=False)
class Bay:
    """A piece of sheet with members all round.

    Attributes:
        name: `deck.front/bay.3`; counted along x, then y.
        shape: `rectangle`, or `odd`, taken as a strip as wide as the greatest circle on it, of its own area.
        polygon: in the deck's plane.
        where: its middle in the boat, `(3,)`, mm.
        length, width: of the plate it is taken as, mm.
    """

    name: str
    deck: str
    shape: str
    polygon: Polygon
    where: Array
    length: float
    width: float
    sheet: Sheet


@dataclass(frozen=True, eq=False)
class BayUse:
    """A bay's use.

    Attributes:
        bay: which.
        jumped: the sheet under one who jumps on its middle.
        stood: the same under one who stands still.
        middle: stress in the middle over what plain metal is allowed.
        edge: pull at the members over what is allowed beside the weld.
        sag: the sag of `stood` over its limit.
    """

    bay: Bay
    jumped: Sagged
    stood: Sagged
    middle: float
    edge: float
    sag: float

    @property
    def use(self) -> float:
        """The greatest of the three."""
        return max(self.middle, self.edge, self.sag)

    @property
    def limit(self) -> str:
        """Which of them it is."""
        return max(("middle", "edge", "sag"), key=lambda key: float(getattr(self, key)))


def bays_of(net: Network, plan: DeckPlan) -> list[Bay]:
    """The bays of a deck's sheet; lids are not among them."""
    own = [m for m in net.members if m.name.startswith(f"{plan.name}/") and "/post." not in m.name]
    if not own:
        return []
    corners = plan.frame.to_frame(np.array([m.face("top") for m in own]))[..., :2]
    metal = shapely.union_all([MultiPoint(c).convex_hull.buffer(OPENS, join_style="mitre") for c in corners])
    open_ = shapely.union_all([o.polygon for o in plan.openings])
    bare = plan.area.difference(metal).difference(open_).buffer(OPENS, join_style="mitre")
    cells = [cell for cell in polygons_of(bare) if 2 * _circle(cell)[1] >= LEAST]
    cells.sort(key=lambda cell: tuple(np.round(cell.centroid.coords[0], 0)))
    return [bay_of(f"{plan.name}/bay.{n}", plan, cell) for n, cell in enumerate(cells, 1)]


def _circle(cell: Polygon) -> tuple[Array, float]:
    """Middle and radius of the greatest circle on a cell, mm."""
    line = shapely.maximum_inscribed_circle(cell, tolerance=1.0)
    return np.array(line.coords[0]), float(line.length)


def bay_of(name: str, plan: DeckPlan, cell: Polygon) -> Bay:
    """The bay of a piece of a deck's sheet, and the plate it is taken as; `cell` in the deck's plane."""
    middle, radius = _circle(cell)
    box = shapely.minimum_rotated_rectangle(cell)
    ring = shapely.get_coordinates(box)
    sides = sorted(np.hypot(*np.diff(ring[:3], axis=0).T).tolist(), reverse=True)
    shape, spot = "rectangle", np.array(cell.centroid.coords[0])
    if cell.area < FULL * box.area:
        shape, spot, sides = "odd", middle, [max(cell.area / (2 * radius), 2 * radius), 2 * radius]
    where = plan.frame.to_boat(spot)
    return Bay(name, plan.name, shape, cell, where, sides[0], sides[1], plan.sheet)


def bay_use(bay: Bay, settings: StrengthSettings) -> BayUse:
    """One person on the middle of a bay: jumping for strength, standing for sag."""
    plate = Plate(bay.length, bay.width, bay.sheet.thickness, bay.sheet.alloy.e)
    weight, foot = settings.person * GRAVITY, (settings.foot, settings.foot)
    held = settings.sheet_held
    jumped, stood = (sagged(plate, n * weight, foot, held) for n in (settings.jump, 1.0))
    known = allowed(bay.sheet.alloy, settings)
    edge = known.beside if settings.sheet_welded else known.plain
    return BayUse(
        bay,
        jumped,
        stood,
        jumped.stress / known.plain,
        jumped.pull_edge / edge,
        stood.sag / settings.sheet_sag(plate.short),
    )


def widest_bay(sheet: Sheet, length: float, settings: StrengthSettings) -> float:
    """The greatest clear width up to which sheet of a bay's length has no use above one, mm."""
    for width in np.arange(LEAST, max(length, LEAST) + WIDER, WIDER).tolist():
        bay = Bay("", "", "rectangle", Polygon(), np.zeros(3), max(length, width), width, sheet)
        if bay_use(bay, settings).use > 1.0:
            return float(width - WIDER)
    return length


def foot_bears(sheet: Sheet, settings: StrengthSettings) -> float:
    """What a post's foot on bare sheet may press with, N.

    The sheet gives way in a cone of yield lines at 2 pi m, m = F t^2 / 4 (plastic collapse of a plate under a
    load on one point, its edges free to turn: Johansen; from memory), with the margins of plain metal.
    """
    return 2 * math.pi * allowed(sheet.alloy, settings).plain * sheet.thickness**2 / 4
