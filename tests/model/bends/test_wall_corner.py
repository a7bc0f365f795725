# ruff: noqa: E501  (a table of cases, one to a line)
"""Corners of walls as bends: one wall folded in place of two, where the two stood, as tight and as large."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from model.boat import Boat
from model.clearance.check import check_fit
from model.prism_solid import joined_solid
from model.water.check import check_water
from model.water.wells import holds
from parts.faults import BadInput
from tests.model.boats import build, named
from tests.model.kernel_measure import volume_and_centre

T, RADIUS = 2.0, 3.175
WALL = "locker.w/wall."
DECKS: dict[str, Any] = {
    "d": {
        "height": 400,
        "aft": 400,
        "forward": 1600,
        "openings": {"w": {"aft": 800, "length": 400, "port": 150, "starboard": -150}},
    }
}
WATER = {
    "drains": {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}, "well": {"of": "w", "at": [820, 0]}}
}
TWO = {
    f"{WALL}aft": [{"edge": "port", "takes": f"{WALL}port"}],
    f"{WALL}forward": [{"edge": "starboard", "takes": f"{WALL}starboard"}],
}


def well(bends: dict[str, Any], **more: Any) -> Boat:
    return build(
        decks=DECKS,
        lockers={"w": {"kind": "well", "under": "d.w", "floor": 120, **more}},
        water=WATER,
        bends=bends,
    )


@cache
def bent_well() -> Boat:
    return well(TWO)


def test_two_pieces_stand_where_four_stood() -> None:
    plain, folded = well({}), bent_well()
    gone = {panel.name for panel in plain.panels} - {panel.name for panel in folded.panels}
    assert gone == {f"{WALL}port", f"{WALL}starboard"}
    both = np.array([named(plain, f"{WALL}{side}").box for side in ("aft", "port")])
    (aft,) = (named(folded, f"{WALL}aft"),)
    assert aft.box[0] == pytest.approx(both[:, 0].min(axis=0))
    assert aft.box[1] == pytest.approx(both[:, 1].max(axis=0))
    solid = joined_solid(aft.prisms)
    assert BRepCheck_Analyzer(solid).IsValid()
    assert volume_and_centre(solid)[0] == pytest.approx(aft.volume, rel=1e-9)


def test_its_strip_is_both_walls_less_the_deduction() -> None:
    """Outside lengths 302 and 402 less 2 OSSB - BA, BA = (0.01743 R + 0.0078 T) 90 (sheetmetalworkbook.com/90bends.htm)."""
    deduction = 2 * (RADIUS + T) - (0.01743 * RADIUS + 0.0078 * T) * 90
    assert named(bent_well(), f"{WALL}aft").cut_extents == pytest.approx(
        (302 + 402 - deduction, 280), abs=0.01
    )


def test_it_fits_its_rounded_floor_and_holds_as_much() -> None:
    """The floor's two corners in bends are rounded to their radius; nothing else is in another's way."""
    floor = named(bent_well(), "locker.w/floor")
    assert sorted(np.round(np.tan(np.arctan(floor.outline.bulges) * 4) != 0)) == [0, 0, 0, 0, 1, 1]
    square = named(well({}), "locker.w/floor")
    assert floor.area == pytest.approx(square.area - 2 * (1 - np.pi / 4) * RADIUS**2)
    assert check_fit(bent_well()).findings == ()
    assert [held.to_rim for held in holds(bent_well())] == pytest.approx(
        [held.to_rim for held in holds(well({}))], rel=1e-3
    )
    assert check_water(bent_well()).findings == ()


def test_a_riser_is_bent_away_from_its_face_round_the_corner_of_a_deck() -> None:
    decks = {"d": {"height": 300, "aft": 800, "forward": 1600, "port": 300, "starboard": -300,
                   "risers": {"aft": {"down_to": 100}, "port": {"down_to": 100}}}}  # fmt: skip
    plain = build(decks=decks)
    name, other = "deck.d/riser.aft.1", "deck.d/riser.port.1"
    boat = build(decks=decks, bends={name: [{"edge": "port", "takes": other}]})
    (riser,) = (panel for panel in boat.panels if panel.name == name)
    assert [line.words("mm") for line in riser.bend_lines] == ["down 90 deg R 3.2 mm"]
    both = np.array([named(plain, one).box for one in (name, other)])
    assert riser.box[:, :2] == pytest.approx(
        np.array([both[:, 0].min(axis=0), both[:, 1].max(axis=0)])[:, :2], abs=1e-6
    )
    # the square corner of the rim behind it lies in the bend: (1 - cos 45) of the radius, and is told
    clashes = check_fit(boat).findings
    assert {f.kind for f in clashes} == {"overlap"}
    assert all(any("rim" in piece for piece in f.pieces) for f in clashes)


@pytest.mark.parametrize(
    ("entry", "key", "wrong", "right"),
    [
        ({"edge": "port", "takes": f"{WALL}prot"}, "takes", "no flat sheet piece", "wall.port"),
        ({"edge": "port", "takes": f"{WALL}aft"}, "takes", "", ""),
        ({"edge": "port", "takes": f"{WALL}starboard"}, "takes", "", "wall"),
        ({"edge": "port", "takes": f"{WALL}forward"}, "takes", "one plane", "round the corner"),
        ({"edge": "port", "takes": "deck.d/sheet.1"}, "takes", "", ""),
        ({"edge": "port", "takes": f"{WALL}port", "height": 20}, "", "goes by that wall", "just edge"),
        ({"edge": "port", "takes": f"{WALL}port", "turn": "face"}, "", "goes by that wall", "just edge"),
        ({"takes": f"{WALL}port"}, "", "goes by that wall", "just edge"),
        ({"edge": "port", "takes": f"{WALL}port", "radius": 1}, "radius", "may crack", "3.0 mm"),
        ({"edge": "port", "turn": "face"}, "", "has no height", "`takes`"),
        ({"edge": "port", "height": 20}, "", "has no turn", "`takes`"),
    ],
)
def test_bad_input(entry: dict[str, Any], key: str, wrong: str, right: str) -> None:
    with pytest.raises(BadInput) as refused:
        well({f"{WALL}aft": [entry]})
    (fault,) = refused.value.faults
    assert fault.place.key.startswith(f"bends.{WALL}aft[1]")
    assert fault.place.key.endswith(key or "[1]")
    assert wrong in fault.wrong
    assert right in fault.right


def test_no_wall_is_taken_twice() -> None:
    twice = {f"{WALL}aft": TWO[f"{WALL}aft"], f"{WALL}forward": [{"edge": "port", "takes": f"{WALL}port"}]}
    with pytest.raises(BadInput, match="another flange stands in the place"):
        well(twice)
