"""Whose work a fitting is: plumbing, wiring, fuel, batteries, or whoever mounts the rest."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal, TypeAlias

from parts.fittings import Tank

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panelling.fixtures import Fixture

Trade: TypeAlias = Literal["plumb", "wire", "fuel", "battery", "rig"]
PLUMBED = frozenset({"pump", "valve", "drain", "through-hull", "tank"})
"""Kinds of fittings that water runs through."""
ELECTRIC = re.compile(r"fuse|switch|breaker|bus|light|horn|sounder|outlet|plug", re.IGNORECASE)
"""By such words in its part's name a box is known for one on wires that the file does not name."""


def trade_of(boat: Boat, fixture: Fixture) -> Trade:
    """Whose work it is to set a fitting."""
    if isinstance(fixture.part, Tank) and fixture.part.contents == "fuel":
        return "fuel"
    if fixture.kind == "battery":
        return "battery"
    if fixture.kind in PLUMBED:
        return "plumb"
    return "wire" if fixture.name in wired_names(boat) or _looks_electric(fixture) else "rig"


def takes_current(boat: Boat, fixture: Fixture) -> bool:
    """Whether a wire ends at a fitting: batteries, pumps, and what hangs on wires."""
    return fixture.kind in ("battery", "pump") or trade_of(boat, fixture) == "wire"


def wired_names(boat: Boat) -> frozenset[str]:
    """Fittings that the boat file's `electrics` name."""
    electrics = boat.electrics
    if electrics is None:
        return frozenset()
    spots = [spot for bank in electrics.banks.values() for spot in bank.spots]
    spots += [device.spot for device in electrics.devices.values()]
    spots += [load.spot for load in electrics.loads.values()]
    return frozenset(spot.fixture for spot in spots if spot.fixture is not None)


def _looks_electric(fixture: Fixture) -> bool:
    part = fixture.part
    return part is not None and fixture.kind == "box" and ELECTRIC.search(part.name) is not None
