"""Lips and flanges that stand up hold water as a tray of their size does, by closed form; hats in its way."""

from __future__ import annotations

import math
from typing import Any

import pytest

from model.boat import Boat
from model.water.flow import flow_of
from model.water.ponds import LITRE, ponds
from model.water.settings import Attitude
from tests.model.boats import build

LONG, WIDE, HIGH, T = 1000.0, 600.0, 40.0, 2.0
DECKS: dict[str, Any] = {"d": {"height": 300, "aft": 800, "forward": 1800, "port": 300, "starboard": -300}}
SHEET = "deck.d/sheet.1"
PLUG = {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}
SIDES = ("aft", "forward", "port", "starboard")


def flanged(sides: tuple[str, ...] = SIDES, turn: str = "face", **more: Any) -> Boat:
    bends = {SHEET: [{"edge": side, "height": HIGH, "turn": turn, **more} for side in sides]}
    return build(water={"drains": PLUG}, decks=DECKS, bends=bends)


def standing(boat: Boat, degrees: float = 0.0) -> dict[str, float]:
    """Litres that stand on each piece."""
    filling = flow_of(boat, 20.0).filled(Attitude("so", math.radians(degrees), 0.0))
    return {pond.on: pond.litres for pond in ponds(filling, 1e-3)}


@pytest.mark.parametrize("corner", ["notch", "mitre"])
def test_a_deck_with_flanges_up_all_round_is_a_tray(corner: str) -> None:
    """Inside length by inside width by height above the face; corners are closed by their weld."""
    inside = (LONG - 2 * T) * (WIDE - 2 * T)
    assert standing(flanged(corner=corner))[SHEET] * LITRE == pytest.approx(inside * (HIGH - T), rel=1e-3)


def test_leaned_it_runs_over_at_its_low_end() -> None:
    """What stands is as deep at the low end as the flange is high: V = L W (h - L tan(trim) / 2)."""
    lean = (LONG - 2 * T) * math.tan(math.radians(1.0)) / 2
    wanted = (LONG - 2 * T) * (WIDE - 2 * T) * (HIGH - T - lean)
    assert standing(flanged(), 1.0)[SHEET] * LITRE == pytest.approx(wanted, rel=2e-3)


def test_one_open_side_or_flanges_down_hold_nothing() -> None:
    assert standing(flanged(SIDES[:3])) == {}
    assert standing(flanged(turn="back")) == {}


def test_a_gutter_holds_what_its_return_keeps_in() -> None:
    """A flange turned out level below the deck's edge and up again: its floor by the height of its return."""
    riser = "deck.d/riser.forward.1"
    decks = {"d": {**DECKS["d"], "risers": {"forward": {"down_to": 200}}}}
    gutter = {"edge": "lower", "height": 50, "turn": "face", "returns": [{"height": 30, "turn": "face"}]}
    held = standing(build(water={"drains": PLUG}, decks=decks, bends={riser: [gutter]}))
    # both its ends are open, so that it holds nothing
    assert held == {}


def test_a_hat_below_a_deck_holds_nothing_and_one_on_a_floor_is_in_the_way() -> None:
    """Across a tray whose low end is aft the hat keeps back what lies behind it."""
    under = {"h": {"under": "d", "along": [[900, 0], [1700, 0]], "height": 30, "width": 40, "foot": 20}}
    assert standing(build(water={"drains": PLUG}, decks=DECKS, hats=under)) == {}
    across = [[1400, -298, 300], [1400, 298, 300]]
    on = {"h": {"on": SHEET, "side": "face", "along": across, "height": 20, "width": 40}}
    sides = ("forward", "port", "starboard")
    bends = {SHEET: [{"edge": side, "height": HIGH, "turn": "face"} for side in sides]}
    held = standing(build(water={"drains": PLUG}, decks=DECKS, bends=bends, hats=on), 2.0)
    # forward of the hat, whose forward side is at 1420: a depth of 20 at it, less as the deck rises
    reach, slope = 1798.0 - 1420.0, math.tan(math.radians(2.0))
    wanted = 596.0 * (20.0 * reach - reach**2 * slope / 2)
    assert held[SHEET] * LITRE == pytest.approx(wanted, rel=0.03)
