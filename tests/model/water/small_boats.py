"""Small boats that hold water, and what is expected of it by hand."""

from __future__ import annotations

from typing import Any

from model.boat import Boat
from tests.model.boats import DECK, build

WELL = {"aft": 1000, "forward": 1400, "starboard": -150, "port": 150}
"""An opening of 400 x 300 mm in the deck, without lid."""


def boat(**water: Any) -> Boat:
    """The square boat with a deck and nothing else."""
    return build(decks={"main": DECK}, water={"rib_limbers": [], **water})


def well_boat(kind: str = "tray", locker: dict[str, Any] | None = None, **water: Any) -> Boat:
    """The square boat with a box 400 x 300 x 200 mm that hangs in an opening, the deck its rim."""
    deck = {**DECK, "openings": {"hole": WELL}}
    own = {"kind": kind, "under": "main.hole", "floor": 100, **(locker or {})}
    drains = {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}, **water.pop("drains", {})}
    return build(decks={"main": deck}, lockers={"box": own}, water={"drains": drains, **water})
