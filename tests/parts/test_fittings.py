"""Fittings: solids where they belong, room kept free, masses of the right order."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from parts.fittings import Clear, Lid, Pedestal, Seat, Tank, Tray
from parts.outline import Loop
from parts.shape import Block

LID: dict[str, Any] = {
    "length": 600.0,
    "width": 400.0,
    "radius": 40.0,
    "flange": 20.0,
    "above": 3.0,
    "depth": 30.0,
    "thickness": 2.5,
    "clearance": 3.0,
    "mass": 3.0,
}
TRAY: dict[str, Any] = {
    "length": 500.0,
    "width": 400.0,
    "radius": 25.0,
    "flange": 20.0,
    "depth": 100.0,
    "thickness": 2.0,
    "clearance": 3.0,
    "mass": 3.0,
}


POST: dict[str, Any] = {
    "foot": 180.0,
    "foot_thickness": 5.0,
    "column": 45.0,
    "height": 330.0,
    "head": 180.0,
    "head_thickness": 20.0,
    "mass": 3.0,
    "socket": 57.0,
    "socket_depth": 127.0,
}
SEAT: dict[str, Any] = {"length": 400.0, "width": 300.0, "height": 100.0, "mass": 6.0}


def test_block_volume_and_centre_take_out_the_hole() -> None:
    hole = Loop.rectangle(10, 10, centre=(20, 0))
    block = Block(Loop.rectangle(100, 40), (hole,), 5.0, 15.0)
    assert block.volume == pytest.approx((4000 - 100) * 10)
    assert block.centre == pytest.approx([-100 * 20 / 3900, 0, 10])
    assert Block(block.outline, (hole.reversed(),), 5.0, 15.0).volume == pytest.approx(block.volume)
    with pytest.raises(ValueError, match="must have height"):
        Block.box(10, 10, 5, 5)


def test_lid_laps_over_the_deck_and_its_skirt_clears_the_cutout() -> None:
    lid = Lid.make("lid", **LID)
    plate, skirt = lid.blocks
    assert plate.outline.bounds == (-320, -220, 320, 220)
    assert (plate.z0, plate.z1, skirt.z0, skirt.z1) == (0, 3, -30, 0)
    assert lid.cutout.to_shapely().buffer(-3 + 0.06).contains(skirt.outline.to_shapely())
    assert lid.cover.to_shapely().area - lid.cutout.to_shapely().area == pytest.approx(
        lid.cutout.perimeter * 20 + np.pi * 400, rel=1e-3
    ), "a band as wide as the flange all round (Steiner)"
    assert lid.keep_out[0].outline.bounds == lid.cutout.bounds
    assert lid.keep_out[0].z0 == -30


def test_flat_lid_has_no_skirt_and_needs_no_room_below() -> None:
    lid = Lid.make("lid", **{**LID, "depth": 0.0})
    assert len(lid.blocks) == 1
    assert lid.keep_out == ()


def test_tray_is_open_above_and_as_deep_as_told() -> None:
    tray = Tray.make("tray", **TRAY, room_above=50.0)
    assert tray.bounds[2] == -100
    hollow = tray.keep_out[0]
    assert (hollow.z0, hollow.z1) == (-98, 50)
    inside = hollow.outline.to_shapely()
    walls = [b for b in tray.blocks if b.z1 > -98]
    for block in walls:
        bore = [h.to_shapely() for h in block.holes]
        assert any(hole.buffer(1e-6).contains(inside) for hole in bore)
    # Sheet area times thickness: floor, four walls, flange, with the corners' radius left out.
    sheet = 494 * 394 + 2 * (494 + 394) * 98 + 2 * (540 + 440) * 25
    assert tray.volume == pytest.approx(sheet * 2.0, rel=0.03)


def test_swivelling_seat_keeps_free_all_that_its_corners_sweep() -> None:
    seat = Seat.make(
        "seat",
        length=480,
        width=450,
        height=150,
        back_height=380,
        back_thickness=100,
        mass=6,
        swivels=True,
        pivot_aft=40,
    )
    (sweep,) = seat.keep_out
    assert seat.pivot == (-40, 0)
    reach = np.hypot(240 + 40, 225)
    assert sweep.outline.bounds == pytest.approx((-40 - reach, -reach, -40 + reach, reach))
    assert sweep.z1 == 530
    assert seat.blocks[1].outline.bounds == (-240, -225, -140, 225), "the back stands at the aft edge"
    assert Seat.make("bench", length=480, width=450, height=150, mass=6).keep_out == ()


def test_pedestal_stands_from_deck_to_seat_with_its_socket_below() -> None:
    post = Pedestal.make("post", **POST)
    assert post.bounds == pytest.approx((-90, -90, -127, 90, 90, 330))
    levels = sorted((b.z0, b.z1) for b in post.blocks)
    assert all(below[1] == above[0] for below, above in itertools.pairwise(levels)), "no gap, no overlap"


def test_clear_room_lies_on_the_side_it_is_asked_for() -> None:
    (room,) = Clear(above=30, aft=100, port=20).around(200, 100, 80)
    assert room.outline.bounds == (-200, -50, 100, 70)
    assert (room.z0, room.z1) == (0, 110)
    assert Clear().around(200, 100, 80) == ()


def test_full_tank_weighs_what_it_holds() -> None:
    block = Block.box(500, 300, 0, 300)
    water = Tank(name="t", blocks=(block,), mass=5.0, contents="water", capacity=40.0)
    fuel = Tank(name="t", blocks=(block,), mass=5.0, contents="fuel", capacity=40.0)
    assert water.full_mass == 45.0
    # Petrol is 0.72 to 0.78 kg a litre (from memory).
    assert 5 + 40 * 0.72 <= fuel.full_mass <= 5 + 40 * 0.78


def test_centre_of_mass_is_that_of_the_solids_together() -> None:
    seat = Seat.make("seat", length=400, width=300, height=100, back_height=300, back_thickness=100, mass=6)
    cushion, back = 400 * 300 * 100, 100 * 300 * 300
    expected = [back * -150 / (cushion + back), 0, (cushion * 50 + back * 250) / (cushion + back)]
    assert seat.centre == pytest.approx(expected)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Lid.make("l", **{**LID, "flange": -1.0}), "flange is -1 mm; it cannot be negative"),
        (lambda: Lid.make("l", **{**LID, "thickness": 250.0}), "positive sides"),
        (lambda: Lid.make("l", **{**LID, "above": 0.0}), "must have height"),
        (lambda: Tray.make("t", **{**TRAY, "depth": 1.0}), "more than the metal"),
        (lambda: Seat.make("s", **SEAT, back_height=200), "back's thickness"),
        (
            lambda: Pedestal.make("p", **{**POST, "foot_thickness": 315}),
            "more than foot and head",
        ),
        (
            lambda: Pedestal.make("p", **{**POST, "socket_depth": 0}),
            "both a diameter and a depth",
        ),
    ],
)
def test_fittings_that_cannot_be_are_refused(make: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        make()  # type: ignore[operator]
