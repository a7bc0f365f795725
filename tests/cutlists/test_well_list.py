"""The list of wells says what they hold, in litres and US gallons."""

import pytest

from cutlists.well_list import well_rows
from tests.model.boats import demo
from tests.model.water.small_boats import boat, well_boat


def test_a_well_with_an_overflow():
    head, row = well_rows(well_boat(kind="well", locker={"overflow": 250}))
    told = dict(zip(head, row, strict=True))
    assert told["name"] == "locker.box"
    assert told["litres to overflow"] == pytest.approx(18.0)  # 400 x 300 x 150 mm
    assert told["US gal to overflow"] == pytest.approx(18.0 / 3.785411784, abs=0.005)
    assert told["litres to rim"] == pytest.approx(400 * 300 * 198 / 1e6, abs=0.005)
    assert told["overflow"] == "250 mm" or told["overflow"].startswith("250")
    assert told["measured by"] == "closed form"


def test_every_well_and_box_of_a_demo_boat_is_there():
    rows = well_rows(demo("vee18"))
    assert [row[0] for row in rows[1:]] == ["locker.livewell", "locker.ice.port", "locker.ice.starboard"]
    assert all(len(row) == len(rows[0]) for row in rows)
    assert len(well_rows(boat())) == 1
