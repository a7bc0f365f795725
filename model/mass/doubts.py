"""What a boat file says of weights and cannot be so: a hull too light, a centre or a load off the boat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from model.findings import Finding
from model.geometry import Array
from model.mass.lump import Lump
from model.mass.skin import skin_estimate
from model.mass.weigh import Weights
from model.survey import Side

if TYPE_CHECKING:
    from model.boat import Boat

OVERHANG = 900.0
"""How far beyond the hull the centre of a motor or rack may hang, mm."""
LIGHTEST, HEAVIEST = 0.6, 6.0
"""A weighed hull is between these times what its skin and ribs alone come to."""


def weight_findings(boat: Boat, weights: Weights) -> Iterator[Finding]:
    """A finding for each weight that cannot be as the file tells it."""
    plan = boat.weights
    if plan.hull is not None:
        yield from _hull_findings(boat, weights)
    for lump in plan.removed:
        if not _is_within(boat, lump.centre, 0.0):
            yield _overboard(boat, lump, "what is taken out lies", "removed")
    for item in (*plan.aboard, *plan.loads):
        slack = OVERHANG if item.overhangs else 0.0
        if not _is_within(boat, item.lump.centre, slack):
            yield _overboard(boat, item.lump, "it is", "aboard" if item.overhangs else "loads")


def _hull_findings(boat: Boat, weights: Weights) -> Iterator[Finding]:
    told = boat.weights.hull
    skin = skin_estimate(boat.hull).mass
    assert told is not None
    mass, centre = weights.hull.mass, weights.hull.centre
    if not LIGHTEST * skin <= mass <= HEAVIEST * skin and skin > 0.0:
        wrong = f"the hull is {told.how} at {mass:.0f} kg, but her skin alone comes to about {skin:.0f} kg"
        cure = "read the scales again, with the trailer taken off"
        yield Finding("float", ("hull",), wrong, cure, centre, told.place)
    if not _is_within(boat, centre, 0.0):
        wrong = "by what was weighed the hull's centre lies outside her"
        cure = "measure again where each scale stands, and take the trailer off"
        yield Finding("float", ("hull centre",), wrong, cure, centre, told.place)


def _is_within(boat: Boat, point: Array, slack: float) -> bool:
    """Whether a point lies in plan on the boat, or within `slack` of her, mm."""
    hull = boat.hull
    low, high = hull.span
    x, y = float(point[0]), float(point[1])
    if not low - slack <= x <= high + slack:
        return False
    side: Side = "port" if y >= 0.0 else "starboard"
    line = hull.line(hull.lines[-1], min(max(x, low), high), side)
    return abs(y) <= abs(float(line[1])) + slack


def _overboard(boat: Boat, lump: Lump, what: str, key: str) -> Finding:
    place = boat.document.place(("weights", key, lump.name))
    return Finding(
        "float", (lump.name,), f"{what} off the boat", "give it a place aboard", lump.centre, place
    )
