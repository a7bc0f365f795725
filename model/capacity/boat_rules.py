"""The loading, powering and flotation rules worked out for one boat, before and after her refit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.capacity.displacement import (
    FOOT,
    INCH,
    MARGIN,
    FloatPlane,
    RuleSizes,
    float_planes,
    rule_sizes,
    section_areas,
)
from model.capacity.flotation import ALUMINIUM, Flotation, foam_lift, level_flotation
from model.capacity.foam_room import FoamRoom, foam_rooms
from model.capacity.loading import (
    Loading,
    five_stations,
    outboard_loading,
    small_motor_loading,
)
from model.capacity.outboards import ROWS, OutboardRow, outboard_row
from model.capacity.powering import Powering, greatest_power
from model.capacity.side_weight import side_weight
from model.hull_outside import outer_shell
from model.hydrostatics.afloat import Floating
from model.hydrostatics.balance import FRESH
from model.hydrostatics.plan import Foam, Outboard
from model.mass.lump import Lump
from model.mass.weigh import Weights
from parts.amounts import POUND
from parts.fittings import LITRE_MASS, Tank

if TYPE_CHECKING:
    from model.boat import Boat

LONGEST = 20.0
"""Feet of length from which the rules do not apply."""
CUBIC_FOOT = FOOT**3
SMALL = 2.0
"""Horsepower up to which the rules for small motors hold."""
METAL = ("hull", "removed", "frame", "sheet", "lids")
"""Groups of aluminium pieces."""


@dataclass(frozen=True, eq=False)
class RulesFound:
    """What the rules give; pounds, feet and horsepower, as they are written.

    Attributes:
        sizes: length, beam and transom, mm.
        planes: the two level attitudes; the one with less displacement rules.
        displacement: by the exact volume below that plane, lb; `by_hand` by Simpson's rule on five stations.
        outboard: that the loading is worked out for, and its row of the table.
        powering: greatest horsepower.
        before, after: loading before the refit, and with it.
        side_weight: estimate of what may stand along one side, lb; None where no test is asked for.
        flotation: foam needed after the refit, ft3; `structure` what hull and decks weigh swamped, lb.
        lift: of a cubic foot of the foam, lb.
        rooms: where foam could go.
        foam: the kind of foam; the usual one where the file says nothing.
        boat_mass: the boat after the refit, without motor, batteries, loose gear and fuel, kg.
    """

    sizes: RuleSizes
    planes: tuple[FloatPlane, FloatPlane]
    displacement: float
    by_hand: float
    outboard: Outboard
    row: OutboardRow
    powering: Powering
    before: Loading
    after: Loading
    side_weight: float | None
    flotation: Flotation
    structure: float
    lift: float
    rooms: tuple[FoamRoom, ...]
    foam: Foam
    boat_mass: float

    @property
    def plane(self) -> FloatPlane:
        """The level attitude with less displacement."""
        return min(self.planes, key=lambda plane: plane.volume)

    @property
    def applies(self) -> bool:
        """Whether she is short enough for the rules."""
        return self.sizes.length / FOOT < LONGEST

    @property
    def equipment(self) -> float:
        """Motor, rigging, battery and portable tank, lb."""
        return self.row.total - (0.1 * self.row.running if self.outboard.short_leg else 0.0)

    @property
    def room(self) -> float:
        """Room that foam can be got into, ft3."""
        return self.foam.fills * sum(room.volume for room in self.rooms) / CUBIC_FOOT


def boat_rules(boat: Boat, weights: Weights, floating: Floating) -> RulesFound:
    """The rules for a boat.

    Displacements are in fresh water and less 5 % for what the tape missed.
    """
    sizes = rule_sizes(boat.hull)
    plan = boat.afloat
    planes = float_planes(outer_shell(boat.hull), floating.rim)
    plane = min(planes, key=lambda own: own.volume)
    displacement = plane.volume * 1e-9 * FRESH / POUND
    areas, length = section_areas(outer_shell(boat.hull), plane.plane)
    by_hand = five_stations(length, tuple(areas.tolist())) * 1e-9 * FRESH / POUND
    powering = _powering(sizes, plan.outboard)
    most = (plan.plate and plan.plate.power) or powering.power
    outboard = plan.outboard or Outboard(min(most, ROWS[-1].greatest))
    row = outboard_row(outboard.power)
    kept = (1.0 - MARGIN) * displacement
    side = None
    loading = []
    own = _after(boat, weights)
    for boat_mass in (_before(boat, weights), own + _permanent_fuel(boat)):
        found = _loading(kept, boat_mass / POUND, outboard, row, None)
        if found.needs_test and outboard.power > SMALL:
            side = side_weight(boat, floating, boat_mass, row) / POUND
            found = _loading(kept, boat_mass / POUND, outboard, row, side)
        loading.append(found)
    foam = plan.foam or Foam()
    structure = _structure(boat, weights, plane)
    lift = foam_lift(foam.density * 1e-9 * CUBIC_FOOT / POUND)
    persons, capacity = _marked(boat, loading[1], row)
    needed = level_flotation(structure, row.swamped + row.battery_under, persons, capacity, lift)
    return RulesFound(
        sizes, planes, displacement, by_hand, outboard, row, powering, loading[0], loading[1], side, needed,
        structure, lift, foam_rooms(boat, foam.leave), foam, own,
    )  # fmt: skip


def _loading(
    displacement: float, boat: float, outboard: Outboard, row: OutboardRow, side: float | None
) -> Loading:
    if outboard.power <= SMALL:
        return small_motor_loading(displacement, boat, outboard.power > 0.0)
    off = 0.1 * row.running if outboard.short_leg else 0.0
    return outboard_loading(displacement, boat, row.total - off, side)


def _powering(sizes: RuleSizes, outboard: Outboard | None) -> Powering:
    length, transom = sizes.length / FOOT, sizes.transom / FOOT
    if outboard is None:
        return greatest_power(length, transom, False, 20.0, False)
    height = outboard.transom / INCH
    return greatest_power(length, transom, outboard.remote, height, outboard.hard_chine)


def _before(boat: Boat, weights: Weights) -> float:
    """The boat before the refit as the rule weighs her: without motor and gear, kg."""
    fixed = [i.lump.mass for i in boat.weights.aboard if i.before and i.counts == "fixed"]
    return weights.hull.mass + sum(fixed)


def _after(boat: Boat, weights: Weights) -> float:
    """The boat after the refit, without motor, batteries, loose gear and fuel, kg."""
    loose = {plan.name for plan in boat.layout.fixtures if plan.removable}
    pieces = [lump.mass for lump in weights.pieces if lump.name not in loose and lump.group != "batteries"]
    fixed = [item.lump.mass for item in boat.weights.aboard if item.counts == "fixed"]
    removed = [lump.mass for lump in weights.removed]
    return weights.hull.mass - sum(removed) + sum(pieces) + sum(fixed)


def _permanent_fuel(boat: Boat) -> float:
    """What full tanks hold that stay in the boat, kg."""
    loose = {plan.name for plan in boat.layout.fixtures if plan.removable}
    tanks = [f.part for f in boat.fixtures if isinstance(f.part, Tank) and f.name not in loose]
    return sum(tank.capacity * LITRE_MASS["fuel"] for tank in tanks if tank.contents == "fuel")


def _structure(boat: Boat, weights: Weights, plane: FloatPlane) -> float:
    """What hull, decks and fittings weigh when she is swamped, lb.

    Aluminium below the float plane counts with what it keeps under water; all above it, and everything of
    which the material is not known, with its whole weight. Batteries and motor are counted apart.
    """
    loose = {plan.name for plan in boat.layout.fixtures if plan.removable}
    motors = {item.lump.name for item in boat.weights.aboard if item.counts != "fixed"}
    found = 0.0
    for lump in weights.lumps:
        if lump.name in loose or lump.name in motors or lump.group == "batteries":
            continue
        found += lump.mass / POUND * _share(lump, plane)
    return found


def _share(lump: Lump, plane: FloatPlane) -> float:
    under = float(plane.plane.height(lump.centre)) < 0.0
    return ALUMINIUM if lump.group in METAL and under else 1.0


def _marked(boat: Boat, after: Loading, row: OutboardRow) -> tuple[float, float]:
    """Persons capacity and weight capacity less the equipment, lb: the plate's where it says, else ours."""
    plate = boat.afloat.plate
    weight = after.weight
    persons = after.persons_weight if after.persons_weight is not None else max(0.0, weight - row.total)
    if plate is not None and plate.mass is not None:
        weight = plate.mass / POUND
    if plate is not None and plate.persons_mass is not None:
        persons = plate.persons_mass / POUND
    return persons, weight - row.total
