"""The leaves of what the rules give: safe loading and power, and flotation foam."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutlists.afloat.leaf import Leaf
from cutlists.afloat.measures import Measures
from model.capacity.boat_rules import CUBIC_FOOT, RulesFound
from model.capacity.displacement import FOOT, INCH, MARGIN
from model.capacity.loading import ENOUGH, Loading
from parts.amounts import POUND

if TYPE_CHECKING:
    from model.boat import Boat

Row = tuple[str, str, str, str, str]


def loading_leaf(boat: Boat, rules: RulesFound, measures: Measures) -> Leaf:
    """Most weight, persons and power, before the refit and with it."""
    before, after = rules.before, rules.after
    plate = boat.afloat.plate
    on_plate = {
        "weight": measures.mass(plate.mass) if plate and plate.mass else "",
        "persons_mass": measures.mass(plate.persons_mass) if plate and plate.persons_mass else "",
        "persons": f"{plate.persons}" if plate and plate.persons else "",
        "power": f"{plate.power:g} hp" if plate and plate.power else "",
    }

    def both(name: str, value: str, source: str, plate_key: str = "") -> Row:
        told = (_told(one, value, measures) for one in (before, after))
        first, second = told
        return name, first, second, on_plate.get(plate_key, ""), source

    power = f"{rules.powering.power:g} hp"
    rows = [
        both("most displacement", "displacement", "183.35, less 5 %"),
        both("the boat", "boat", "183.35"),
        both("persons, motor and gear", "weight", "183.35", "weight"),
        both("of it motor, battery, tank", "equipment", "S-30 Table 1A"),
        both("left for persons", "persons_weight", "183.41", "persons_mass"),
        both("persons", "persons", "183.41", "persons"),
        ("outboard, at most", power, power, on_plate["power"], "183.53"),
    ]
    head = ("", "before", "after", "on the plate", "33 CFR")
    return Leaf("Safe loading by the rule", head, tuple(rows), tuple(_notes(boat, rules, measures)))


def _told(loading: Loading, key: str, measures: Measures) -> str:
    value = getattr(loading, key)
    if value is None:
        return "by test"
    return f"{value}" if key == "persons" else measures.pounds(value)


def _notes(boat: Boat, rules: RulesFound, measures: Measures) -> list[str]:
    plane, sizes = rules.plane, rules.sizes
    factor = f"{sizes.length / FOOT:.2f} ft x {sizes.transom / FOOT:.2f} ft = {rules.powering.factor:.1f}"
    steering = "remote steering" if rules.outboard.remote else "tiller"
    height = f"transom of {rules.outboard.transom / INCH:.0f} in"
    notes = [
        f"Displacement to where water comes in first, {plane.through}, {plane.how} (the lesser of the two"
        f" level attitudes), in fresh water: {measures.pounds(rules.displacement)} by the exact volume, less"
        f" {100 * MARGIN:.0f} % for what the tape missed. By five sections and Simpson's rule:"
        f" {measures.pounds(rules.by_hand)}.",
        "Persons, motor and gear = (displacement - boat) / 5; persons = (pounds left + 32) / 141, rounded.",
        f"Motor reckoned: {rules.outboard.power:g} hp, {rules.equipment:.0f} lb with rigging, battery and"
        " portable tank.",
        f"Power: length x transom width {factor}; {steering}, {height}.",
    ]
    plate = boat.afloat.plate
    if plate is not None and plate.mass is not None and rules.after.weight * POUND < plate.mass:
        notes.append("With the refit the rule gives less than the plate: load her by the lesser of the two.")
    if rules.side_weight is not None:
        notes.append(
            f"With less than {ENOUGH:.0f} lb left for persons the rule asks for a test in the water: weight"
            f" along one side until water is about to come in. Here it is estimated at"
            f" {measures.pounds(rules.side_weight)}; only the test counts."
        )
    return notes


def foam_leaf(rules: RulesFound, measures: Measures) -> Leaf:
    """Foam for level flotation, and where there is room for it."""
    need, fills = rules.flotation, rules.foam.fills
    rows = [
        (
            "needed: hull and decks",
            measures.cubic_feet(need.structure),
            f"{measures.pounds(rules.structure)} swamped",
        ),
        ("needed: motor and battery", measures.cubic_feet(need.machinery), "high, aft, at the sides"),
        ("needed: persons and gear", measures.cubic_feet(need.persons), "high, outboard, amidships"),
        ("needed in all", measures.cubic_feet(need.total), ""),
    ]
    for room in rules.rooms:
        volume = fills * room.volume / CUBIC_FOOT
        if volume >= 0.05:
            high = fills * (room.aft + room.sides) / CUBIC_FOOT
            told = f"{measures.cubic_feet(high)} of it high at the sides or aft" if high >= 0.05 else "low"
            rows.append((f"room under {room.deck}", measures.cubic_feet(volume), told))
    rows.append(("room in all", measures.cubic_feet(rules.room), _enough(rules)))
    density = rules.foam.density * 1e-9 * CUBIC_FOOT / POUND
    notes = (
        f"Level flotation, 33 CFR 183 Subpart G, by the handbook's sums; foam of {density:.1f} lb/ft3 lifts"
        f" {rules.lift:.1f} lb/ft3. Aluminium below the float plane keeps 0.63 of its weight under water; all"
        " else counts whole.",
        f"Room is what lies free under the decks beside lockers, wells, fittings and openings, a strip along"
        f" the keel and an inch above the skin left open; foam is taken to fill {100 * fills:.0f} % of it.",
        "Where foam sits decides how a swamped boat lies. What comes of it is shown by the test alone.",
    )
    return Leaf("Flotation foam", ("", "volume", ""), tuple(rows), notes)


def _enough(rules: RulesFound) -> str:
    short = rules.flotation.total - rules.room
    return "enough for what is needed" if short <= 0.0 else f"{short:.1f} ft3 short"
