"""Points reached by an arm: straight, bent round walls, through openings that take a hand, or not at all."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from model.access.arm import Reach
from model.access.check import AccessReport, check_access
from model.access.settings import AccessSettings
from model.boat import Boat, build_boat
from model.clearance.bodies import boat_bodies
from model.geometry import Array
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.punt_hull import punt_hull

PUNT = (
    punt_hull()
    + """\
defaults: {section: rect-1x2x0.125, sheet: 5052-0.090, beam_span: 900, post_span: 1800}
decks:
  aft:
    height: 400
    aft: 60
    forward: 1400
    frame: {posts: false}
    risers: {forward: {down_to: hull}}
    openings:
      hatch: {centre: [500, 0], length: LENGTH, width: WIDTH, lid: {flange: 10}, hinge: none}
MORE
"""
)


@cache
def punt(more: str, length: float = 300.0, width: float = 250.0) -> Boat:
    text = PUNT.replace("LENGTH", str(length)).replace("WIDTH", str(width)).replace("MORE", more)
    from pathlib import Path

    return build_boat(read_text(text, "punt.yaml"), Path("."))


def point(x: float, y: float, z: float) -> str:
    return f"service:\n  clamp: {{at: [{x}, {y}, {z}]}}\n"


def report(more: str, settings: AccessSettings | None = None, **opening: float) -> AccessReport:
    return check_access(punt(more, **opening), settings)


def reach(more: str, settings: AccessSettings | None = None, **opening: float) -> Reach:
    return report(more, settings, **opening).reaches[0]


def test_straight_below_a_hatch_the_reach_is_the_depth() -> None:
    found = reach(point(500, 0, 150))
    assert found.length == pytest.approx(250.0, abs=1.0)
    assert found.opening == "deck.aft/hatch"
    assert found.after == ()


def test_in_the_open_there_is_nothing_to_reach_through() -> None:
    found = reach(point(2000, 100, 30))
    assert (found.length, found.opening) == (0.0, None)


@pytest.mark.parametrize(("x", "y"), [(800.0, 0.0), (500.0, 350.0), (250.0, -250.0)])
def test_beside_a_hatch_the_arm_is_little_longer_than_the_straight_way(x: float, y: float) -> None:
    """Under a flat deck the shortest way goes by the rim, half an arm (50 mm) within it and below."""
    z = 200.0
    found = reach(point(x, y, z))
    assert found.length is not None
    # at least to the nearest point of the opening; at most by way of a place well within the rim
    nearest = math.dist((x, y, z), (np.clip(x, 350, 650), np.clip(y, -125, 125), 400.0))
    inside = (np.clip(x, 350 + 60, 650 - 60), np.clip(y, -125 + 60, 125 - 60))
    corner = math.dist((x, y, z), (*inside, 290.0)) + 110.0
    assert nearest - 1.0 <= found.length <= corner + 25.0


WALL = """bulkheads:
  baffle: {at: 720, bottom: hull, top: TOP, hull_gap: 1}
"""


def around(top: float, x: float = 850.0) -> Reach:
    """A point forward of a baffle from side to side, the hatch aft of it."""
    return reach(WALL.replace("TOP", str(top)) + point(x, 0, 60))


def test_over_a_baffle_the_arm_is_bent_by_what_is_known() -> None:
    """From the point up and over a baffle 180 high, half an arm clear of its edge, to the hatch.

    The shortest bent line through a place 50 over the edge is the sum of its two straight parts; the arm is
    there more than a hand from its tip. It can be no shorter but for what the grid blurs, nor much longer.
    """
    found = around(180.0)
    assert found.length is not None
    over = (720.0, 180.0 + 50.0)
    up = math.dist((850.0, 60.0), over)
    down = min(math.dist(over, (x, 400.0)) for x in np.linspace(350.0, 600.0, 251))
    assert up + down - 15.0 <= found.length <= 1.13 * (up + down) + 25.0
    assert found.way is not None
    assert clear_by(found.way, 180.0) > 40.0 - 8.0


def clear_by(way: Array, top: float) -> float:
    """How far over the baffle's edge a line passes it, mm."""
    steps = np.concatenate([np.linspace(way[k], way[k + 1], 200) for k in range(len(way) - 1)])
    return float(np.sqrt((steps[:, 0] - 720.0) ** 2 + (steps[:, 2] - top) ** 2).min())


def test_a_higher_baffle_makes_a_longer_arm_until_none_passes() -> None:
    lengths = [around(top).length for top in (60.0, 140.0, 220.0)]
    assert all(length is not None for length in lengths)
    assert lengths == sorted(lengths, key=lambda length: length or 0.0)
    assert lengths[0] != lengths[-1]
    assert around(385.0).length is None


def test_a_thin_sheet_lets_no_hand_through() -> None:
    """But for a millimetre at the hull the baffle closes the boat: nothing slips through 2.3 mm of sheet."""
    found = around(397.0, x=740.0)
    assert found.length is None
    assert found.nearest is not None
    assert found.nearest[0] == "deck.aft/hatch"


@pytest.mark.parametrize(("width", "takes"), [(130.0, True), (110.0, False)])
def test_a_hand_needs_an_opening_of_its_size(width: float, takes: bool) -> None:
    found = reach(point(500, 0, 200), width=width)
    assert (found.length is not None) == takes
    if not takes:
        assert found.narrow is not None
        assert found.narrow[0] == "deck.aft/hatch"
        assert found.narrow[1] == pytest.approx(width, abs=1.0)
        smaller = AccessSettings(hand=100.0)
        assert reach(point(500, 0, 200), smaller, width=width).length is not None


@pytest.mark.parametrize(("asked", "reached"), [(385.0, False), (470.0, True)])
def test_an_arm_is_as_long_as_it_is_said_to_be(asked: float, reached: bool) -> None:
    """The rim is sqrt(300^2 + 250^2) = 390.5 mm away; an arm half its thickness within it needs some more."""
    found = reach(point(950, 0, 150), AccessSettings(reach=asked))
    assert (found.length is not None) == reached


BATTERY = """fixtures:
  battery: {part: group-31, on: hull, at: [500, 0], raise_by: 100, removable: REMOVABLE}
"""


@pytest.mark.parametrize("removable", ["true", "false"])
def test_what_lies_under_a_battery_is_reached_when_that_is_out(removable: str) -> None:
    """The battery, 330 x 173, fills the hatch of 340 x 200: no arm gets by."""
    more = BATTERY.replace("REMOVABLE", removable) + point(500, 0, 60)
    found = reach(more, length=340.0, width=200.0)
    if removable == "true":
        assert found.after == ("fixture.battery",)
        assert found.length == pytest.approx(340.0, abs=10.0)
    else:
        assert found.length is None


def test_the_arm_keeps_off_metal_by_what_is_claimed() -> None:
    """By the collision library: balls along the arm, as thick as claimed less the blur, touch nothing."""
    import manifold3d

    own = punt(WALL.replace("TOP", "180") + point(850, 0, 60))
    found = check_access(own).reaches[0]
    assert found.way is not None
    metal = manifold3d.Manifold.compose(
        [s.body for b in boat_bodies(own) if not b.name.endswith("/lid") for s in b.solids]
    )
    lengths = np.sqrt((np.diff(found.way, axis=0) ** 2).sum(axis=1))
    gone = np.concatenate([[0.0], np.cumsum(lengths)])
    for at in np.linspace(90.0, gone[-1] - 1.0, 40):
        here = np.array([np.interp(at, gone, found.way[:, k]) for k in range(3)])
        dot = manifold3d.Manifold.sphere(0.5, 12).translate(tuple(here))
        wanted = 27.5 if at < 190.0 else 50.0
        # less 8 mm by rule, and half a cell's diagonal for what lies between middles of cells
        assert metal.min_gap(dot, 100.0) + 0.5 > wanted - 8.0 - 17.4


PARTS = """fixtures:
  pump: {part: bilge-500, on: hull, at: [500, 40]}
  valve: {part: ball-valve-3/4, on: hull, at: [420, -60], turn: 90, serviceable: VALVE}
  box: {part: tackle-box, on: hull, at: [900, 0], serviceable: BOX}
"""


def test_pumps_and_valves_are_looked_at_and_what_else_the_file_names() -> None:
    def names(valve: str, box: str) -> list[str]:
        made = report(PARTS.replace("VALVE", valve).replace("BOX", box))
        return [found.point.name for found in made.reaches]

    assert names("true", "false") == ["fixture.pump/top", "fixture.valve/handle"]
    assert names("false", "true") == ["fixture.pump/top", "fixture.box/top"]


def test_a_point_turns_with_its_part() -> None:
    made = report(PARTS.replace("VALVE", "true").replace("BOX", "false"))
    handle = made.reaches[1].point.at
    assert np.allclose(handle[:2], [420.0, -60.0 + 50.8])


def test_findings_say_how_far_and_what_would_do() -> None:
    made = report(point(1300, 0, 60))
    assert [f.kind for f in made.findings] == ["buried"]
    told = made.findings[0]
    assert told.pieces == ("service.clamp",)
    assert told.place is not None
    assert told.place.key == "service.clamp"
    assert told.short == pytest.approx(math.hypot(650.0, 340.0) - 600.0, abs=1.0)
    assert "deck.aft/hatch" in told.what
    assert made.buried == made.reaches
    assert "1 out of reach" in made.summary()[0]
    small = report(point(500, 0, 200), width=110.0).findings[0]
    assert "no opening takes a hand" in small.what
    assert "widen deck.aft/hatch" in small.cure


def test_points_on_both_sides() -> None:
    made = report("service:\n  clamp: {at: [500, 80, 200], both_sides: true}\n")
    assert [found.point.name for found in made.reaches] == ["service.clamp.port", "service.clamp.starboard"]
    assert np.allclose(made.reaches[0].point.at * [1, -1, 1], made.reaches[1].point.at)


@pytest.mark.parametrize(
    ("more", "key", "wrong"),
    [
        ("service:\n  clamp: {at: [500, 900, 100]}\n", "service.clamp.at", "outside the hull"),
        ("service:\n  clamp: {at: [500, 0, -40]}\n", "service.clamp.at", "below the bottom"),
        ("service:\n  clamp: {at: [500, 0]}\n", "service.clamp.at", "at least 3"),
        ("service:\n  clamp: {at: [500, 0, deep]}\n", "service.clamp.at[3]", "deep"),
        ("service:\n  clamp: {near: [500, 0, 50]}\n", "service.clamp.near", "unknown key"),
        (
            "fixtures:\n  pump: {part: bilge-500, on: hull, at: [500, 0], serviceable: perhaps}\n",
            "fixtures.pump.serviceable",
            "",
        ),
    ],
)
def test_bad_points_are_refused_with_their_line(more: str, key: str, wrong: str) -> None:
    with pytest.raises(BadInput) as caught:
        punt(more)
    told = [fault for fault in caught.value.faults if fault.place.key == key]
    assert told, [str(fault) for fault in caught.value.faults]
    assert wrong in told[0].wrong + told[0].right
    assert told[0].place.line is not None
