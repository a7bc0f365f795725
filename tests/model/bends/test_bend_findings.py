"""What a brake cannot make of a piece is found; what it can make is not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from model.bends.check import bend_findings
from model.bends.edges import CurvedEdgeError, edges_looking, sides_of
from model.bends.flange import Flange
from model.bends.fold import fold
from model.findings import Finding
from model.geometry import Frame
from model.panel import Panel
from parts.bending import Bending
from parts.catalogue import starter
from parts.outline import Loop

SHEET = starter().sheets["5052-0.090"]
T = SHEET.thickness
WIDE, HIGH = 400.0, 200.0
BOX = Loop.rectangle(WIDE, HIGH, centre=(WIDE / 2, HIGH / 2))


def plate(outline: Loop = BOX, *holes: Loop) -> Panel:
    """Level, its face up."""
    return Panel("plate", Frame.level(300.0), outline, holes, SHEET, "deck")


def flange(
    start: tuple[float, float], end: tuple[float, float], height: float, degrees: float = 90.0
) -> Flange:
    ends = np.array(start), np.array(end)
    return Flange("flange", *ends, height, math.radians(degrees), 4.0, T, 0.447, True)


def findings(panel: Panel, *flanges: Flange, brake: float = 2438.4) -> list[Finding]:
    return list(bend_findings(fold(panel, flanges, T), Bending(brake=brake), "mm"))


LOWER = ((0.0, 0.0), (WIDE, 0.0))
UPPER = ((WIDE, HIGH), (0.0, HIGH))
RIGHT = ((WIDE, 0.0), (WIDE, HIGH))


def test_a_tray_has_nothing_against_it() -> None:
    every = [
        flange(*LOWER, 40.0),
        flange(*RIGHT, 40.0),
        flange(*UPPER, 40.0),
        flange((0, HIGH), (0, 0), 40.0),
    ]
    assert findings(plate(), *every) == []


def test_longer_than_the_brake() -> None:
    (found,) = findings(plate(), flange(*LOWER, 40.0), brake=390.0)
    assert found.pieces == ("plate",)
    assert "400.0 mm long, and the brake bends 390.0 mm" in found.what
    assert found.short == pytest.approx(10.0)
    assert findings(plate(), flange(*LOWER, 40.0), brake=400.0) == []


@pytest.mark.parametrize(("clear", "count"), [(-3.0, 1), (0.5, 0)])
def test_a_hole_in_the_bend(clear: float, count: int) -> None:
    """The bend takes the setback, (4 + 2.286) tan 45 = 6.286 mm, from the edge inward."""
    hole = Loop.circle(20.0, (200.0, 6.286 + clear + 10.0))
    found = findings(plate(BOX, hole), flange(*LOWER, 40.0))
    assert [f.what for f in found] == ["the bend of its flange crosses a hole"] * count


def test_two_flanges_turned_in_until_they_meet() -> None:
    """Bent 120 degrees, each leans in over the plate; their tips meet where 2 h cos 60 passes the width."""
    meets = HIGH  # h cos 60 = HIGH / 2
    low = [flange(*LOWER, meets - 20.0, 120.0), flange(*UPPER, meets - 20.0, 120.0)]
    high = [flange(*LOWER, meets + 20.0, 120.0), flange(*UPPER, meets + 20.0, 120.0)]
    assert [f for f in findings(plate(), *low) if "each other" in f.what] == []
    (found,) = (f for f in findings(plate(), *high) if "punch" not in f.what)
    assert "run into each other" in found.what
    assert found.short is not None
    assert found.short > 1.0


def test_flaps_in_a_corner_that_lap_on_the_flat() -> None:
    """In the corner of an L two flaps reach into one room unless they are lower than the corner is round."""
    sharp = Loop.polygon([(0, 0), (400, 0), (400, 200), (200, 200), (200, 400), (0, 400)])
    inner = [flange((400, 200), (200, 200), 40.0), flange((200, 200), (200, 400), 40.0)]
    (found,) = findings(plate(sharp), *inner)
    assert "laid flat" in found.what
    reach = inner[0].flat_reach
    assert f"a radius of {reach:.1f} mm" in found.cure
    ends = 200.0 + reach
    rounded = Loop.rounded(
        [(0, 0), (400, 0), (400, 200), (200, 200), (200, 400), (0, 400)], [0, 0, 0, reach, 0, 0]
    )
    apart = [flange((400, 200), (ends, 200), 40.0), flange((200, ends), (200, 400), 40.0)]
    assert findings(plate(rounded), *apart) == []


def test_a_flap_that_lies_over_its_own_piece() -> None:
    """A slot 30 mm wide has no room for a flap of 40."""
    slotted = Loop.polygon(
        [(0, 0), (400, 0), (400, 100), (100, 100), (100, 130), (400, 130), (400, 250), (0, 250)]
    )
    (found,) = findings(plate(slotted), flange((400, 100), (100, 100), 40.0))
    assert found.what == "laid flat, its flange lies over the rest of the piece"
    assert findings(plate(slotted), flange((400, 100), (100, 100), 30.0)) == []


def test_sides_are_told_by_which_way_they_look() -> None:
    assert sides_of(plate()) == ["forward", "aft", "port", "starboard"]
    (edge,) = edges_looking(plate(), "forward")
    assert np.allclose(edge, [(WIDE, 0.0), (WIDE, HIGH)])
    skew = Loop.polygon(
        [(0, 0), (400, 0), (300, 300), (0, 200)]
    )  # upper right edge looks 18 degrees off forward
    assert len(edges_looking(plate(skew), "forward")) == 1


def test_a_notch_parts_an_edge_in_two() -> None:
    notched = Loop(
        np.array([(0, 0), (180, 0), (220, 0), (400, 0), (400, 200), (0, 200)], dtype=float),
        np.array([0.0, -1.0, 0, 0, 0, 0]),
    )
    assert [len(edges_looking(plate(notched), side)) for side in ("starboard", "port")] == [2, 1]


def test_a_curved_side_is_refused() -> None:
    turn = np.linspace(-0.4, 0.4, 12)
    curve = np.column_stack([400 + 1000 * (np.cos(turn) - 1), 100 + 240 * turn])
    bowed = Loop.polygon([(0, 4), *curve, (0, 196)])
    with pytest.raises(CurvedEdgeError):
        edges_looking(plate(bowed), "forward")
    assert "forward" not in sides_of(plate(bowed))
