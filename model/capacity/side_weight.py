"""What may stand along one side before water comes in: an estimate of the rule's test in the water."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from shapely import Polygon

from model.capacity.outboards import OutboardRow
from model.geometry import Array, Plane
from model.hydrostatics.afloat import Floating
from model.hydrostatics.balance import FRESH, NoRestError, settle
from model.hydrostatics.load import Load
from model.mass.lump import Lump, total
from model.mass.weigh import weigh
from parts.amounts import POUND

if TYPE_CHECKING:
    from model.boat import Boat

SEAT = 300.0
"""Height of a seat over the deck people are on, where nothing tells it, mm (common practice)."""
MOTOR_AFT, MOTOR_UP = 150.0, 100.0
"""How far a motor's centre hangs aft of the transom and below its top, mm (common practice)."""
FIRST = 25.0
"""Kilograms first tried."""
NEAR = 0.25
"""Kilograms within which it is found."""
STEPS = 16


def side_weight(boat: Boat, floating: Floating, mass: float, row: OutboardRow) -> float:
    """Mass along the lower side at which the lowest place is level with the water, kg.

    Args:
        boat: the boat.
        floating: her hull in the water.
        mass: of the boat as the rule weighs her, kg; its centre is that of the whole boat.
        row: motor, battery and tank that are in place.
    """
    centre = total(weigh(boat).lumps).centre
    own = [Lump("boat", "boat", mass, centre), *_equipment(floating, row)]
    loaded = total(own)
    try:
        rest = settle(floating.body, Load.of(loaded.mass, loaded.centre), FRESH)
    except NoRestError:
        return 0.0
    starboard, port = _places(boat)
    is_port = rest.heel > 0.0 if abs(rest.heel) > 1e-4 else port[1] + starboard[1] >= 0.0
    return _until_wet(floating, own, port if is_port else starboard, rest.plane)


def _equipment(floating: Floating, row: OutboardRow) -> list[Lump]:
    top = floating.rim.transom
    motor = top + np.array([-MOTOR_AFT, 0.0, -MOTOR_UP])
    inside = np.array([top[0] + 500.0, 0.0, floating.body.box[0, 2] + 200.0])
    return [
        Lump("motor", "motor", (row.running + row.rigging) * POUND, motor),
        Lump("battery and tank", "motor", (row.battery_dry + row.tank) * POUND + 1e-9, inside),
    ]


def _places(boat: Boat) -> tuple[Array, Array]:
    """The middle of each side of where people are, at seat height, `(3,) float`, mm."""
    area, height = passenger_area(boat)
    x = float(area.centroid.x)
    _, low, _, high = area.bounds
    return np.array([x, low, height + SEAT]), np.array([x, high, height + SEAT])


def passenger_area(boat: Boat) -> tuple[Polygon, float]:
    """Where people are, in plan, and the height of its deck: as in the file, else the lowest deck."""
    decks = [d for d in boat.layout.decks.values() if d.name.startswith("deck.")]
    hull = boat.hull
    low, high = hull.span
    if not decks:
        half = float(hull.section((low + high) / 2.0)[:, 0].max())
        middle = Polygon([(low + 500, -half), (high - 900, -half), (high - 900, half), (low + 500, half)])
        return middle, float(np.nanmin(hull.bottom((low + high) / 2.0, 0.0)))
    lowest = min(decks, key=lambda deck: deck.height_at(float(deck.plan_area().centroid.x)))
    area = lowest.plan_area()
    if boat.afloat.passengers is not None:
        area = Polygon(boat.afloat.passengers)
    return area, lowest.height_at(float(area.centroid.x))


def _until_wet(floating: Floating, own: list[Lump], place: Array, plane: Plane) -> float:
    """By steps that double until water comes in, then by the freeboards on both sides of that."""
    dry, wet, low, high = floating.rim.lowest(plane)[0], 0.0, 0.0, FIRST
    while True:
        found = _freeboard(floating, own, high, place, plane)
        if found is None or found[0] <= 0.0:
            wet = found[0] if found is not None else -dry
            break
        (dry, plane), low, high = found, high, 2.0 * high
    for k in range(STEPS):
        # now and then by halving, since freeboard falls away steeply where she is about to go over
        share = 0.5 if k % 3 == 2 else max(0.05, min(0.95, dry / (dry - wet)))
        middle = low + share * (high - low)
        found = _freeboard(floating, own, middle, place, plane)
        if found is not None and found[0] > 0.0:
            (dry, plane), low = found, middle
        else:
            wet, high = (found[0] if found is not None else -dry), middle
        if high - low < NEAR:
            break
    return low


def _freeboard(
    floating: Floating, own: list[Lump], mass: float, place: Array, start: Plane
) -> tuple[float, Plane] | None:
    """The least freeboard with a mass at a place, mm, and the plane; None where she sinks or goes over."""
    loaded = total([*own, Lump("side", "side", mass, place)])
    try:
        rest = settle(floating.body, Load.of(loaded.mass, loaded.centre), FRESH, start)
    except NoRestError:
        return None
    if float(rest.plane.normal[2]) < 0.5:
        return None
    return floating.rim.lowest(rest.plane)[0], rest.plane
