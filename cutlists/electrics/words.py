"""Cautions that go with everything told of wires, and words that several tables share."""

from __future__ import annotations

from model.electrics.report import CutWire, SizedCircuit
from parts.lengths import format_length

CAUTIONS = (
    "Sizes and fuses are worked out by 33 CFR 183.425 and 183.455 and by a common formula for the drop of "
    "voltage. The codes and voluntary standards that hold where the boat is built and used, and what "
    "the makers "
    "of battery, motor and gear say, come first. Have wiring done or checked by someone licensed to do so.",
    "Take the batteries off first, negative before positive, and cover their posts. A battery across "
    "a spanner "
    "burns; lead batteries give off gas that explodes; lithium ones need the charger and the guard "
    "made for them.",
    "Petrol vapour: nothing that sparks (switch, breaker, relay, pump, plug) belongs where fuel or "
    "its vapour can "
    "be, unless it is made ignition protected. Keep batteries and fuel apart, and air moving.",
    "The hull is no conductor. Two wires to everything, no return through aluminium, no live wire "
    "chafing on it: "
    "stray current eats the hull. Grommet every hole, keep wires out of the bilge water, seal every end.",
    "Lengths are of the model: lay each run with a string before cutting the heavy ones. Battery "
    "hours are an "
    "estimate from rated charge; cold and age take a good part of it.",
)
BY = {
    "drop": "drop of voltage",
    "current": "current, Table 5",
    "fuse": "its fuse, 183.455",
    "least": "least size, 183.425",
    "given": "given",
}
"""Why a conductor is as thick as it is."""


def amps_told(amps: float | None) -> str:
    """Such as `7.5 A`; nothing for none."""
    return "" if amps is None else f"{amps:g} A"


def why_told(circuit: SizedCircuit) -> str:
    """Why its conductor is as thick as it is."""
    if circuit.size is None:
        return "reaches no battery"
    return BY[circuit.size.by] if circuit.size.gauge else f"none will do: {BY[circuit.size.by]}"


def wire_told(wire: CutWire) -> str:
    """Size and colour."""
    return f"{wire.gauge or '?'} {wire.colour}"


def length_told(mm: float, units: str) -> str:
    """A cut length to the whole inch, in feet and inches, or to the centimetre."""
    if units in ("in", "ft"):
        return format_length(mm, "ft", 1)
    return f"{mm / 1000.0:.2f} m"
