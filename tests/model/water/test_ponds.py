"""What stands in boxes that lean, by closed forms; holes that let it out; a whole boat by brute force."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from model.water.check import check_water
from model.water.flow import flow_of
from model.water.ponds import LITRE, ponds
from model.water.settings import Attitude
from tests.model.boats import build
from tests.model.water.small_boats import boat, well_boat
from tests.model.water.test_fill import flooded

LONG, WIDE, DEEP = 400.0, 300.0, 200.0
AREA = LONG * WIDE


def standing(made, trim, heel=0.0, on="locker.box/floor", spacing=20.0):
    """Water on a piece when the boat lies so, litres."""
    filling = flow_of(made, spacing).filled(Attitude("so", math.radians(trim), math.radians(heel)))
    return {p.on: p for p in ponds(filling, 1e-6)}.get(on)


@pytest.mark.parametrize(("trim", "heel"), [(0, 0), (1, 0), (4, 0), (-3, 0), (0, 2), (2, 5), (-6, 3)])
def test_a_box_that_leans_holds_what_geometry_says(trim, heel):
    # over the lowest corner the water stands to the rim; from there the floor rises towards the other end:
    # V = A (D - L tan(trim) / 2 - W tan(heel) / 2), as long as no part of the floor falls dry
    found = standing(well_boat(), trim, heel)
    lean = LONG * math.tan(abs(math.radians(trim))) + WIDE * math.tan(abs(math.radians(heel)))
    assert found.litres * LITRE == pytest.approx(AREA * (DEEP - lean / 2.0), rel=1e-4)
    low = (1000.0 if trim >= 0 else 1400.0, -150.0 if heel >= 0 else 150.0)
    if trim and heel:
        assert found.lowest[:2] == pytest.approx(low, abs=11.0)


def test_water_runs_dry_at_the_high_end():
    # trim so steep that the surface meets the floor: a wedge of D^2 / (2 tan) by the width
    made, trim = well_boat(locker={"floor": 260}), 8.0
    wanted = WIDE * 40.0**2 / (2.0 * math.tan(math.radians(trim)))
    for spacing, within in ((20.0, 0.02), (5.0, 0.002)):
        found = standing(made, trim, spacing=spacing)
        assert found.litres * LITRE == pytest.approx(wanted, rel=within)
        assert abs(found.litres * LITRE - wanted) <= found.error * LITRE


def test_a_drain_leaves_the_wedge_below_it():
    drain = {"box": {"of": "box", "at": [1100, 0], "to": "bilge"}}
    trim = math.radians(5.0)
    # the drain lies 100 mm from the low end: what is lower stays, W s^2 tan / 2
    found = standing(well_boat(drains=drain), 5.0, spacing=5.0)
    assert found.litres * LITRE == pytest.approx(WIDE * 100.0**2 * math.tan(trim) / 2.0, rel=0.01)
    assert found.depth == pytest.approx(100.0 * math.sin(trim), rel=0.05)
    at_the_end = {"box": {"of": "box", "at": [1020, 0], "to": "bilge"}}
    assert standing(well_boat(drains=at_the_end), 5.0).litres < 0.01


def test_a_well_runs_out_by_its_drain_and_an_overflow_of_another_box_does_not_help():
    overboard = {"box": {"of": "box", "at": [1020, 0], "to": "overboard"}}
    assert standing(well_boat(kind="well", drains=overboard), 1.0) is None
    assert standing(well_boat(kind="well"), 1.0).litres > 20.0
    # an overflow half way up, taken in the middle of the well: half of it stays, however she lies
    overflow = well_boat(kind="well", locker={"overflow": 200})
    for trim in (0.0, 2.0, -5.0):
        assert standing(overflow, trim).litres * LITRE == pytest.approx(AREA * 100.0, rel=2e-3)


def test_the_finding_names_the_hole_and_the_hole_cures():
    report = check_water(well_boat())
    assert [f.kind for f in report.findings] == ["water"]
    assert report.findings[0].pieces == ("locker.box/floor",)
    pond = report.ponds[0]
    lean = LONG * math.tan(math.radians(1.0))
    assert pond.litres == pytest.approx(AREA * (DEEP - lean / 2.0) / LITRE, rel=1e-4)
    assert f"{pond.litres:.1f} litres" in report.findings[0].what
    # what is drawn of it is closed and as much
    judged = trimesh.Trimesh(pond.mesh.vertices, pond.mesh.faces, process=False)
    assert judged.is_watertight
    assert judged.volume == pytest.approx(pond.litres * LITRE, rel=1e-3)
    assert pond.cure.kind == "drain"
    assert pond.cure.through == "locker.box/floor"
    assert pond.cure.below == "hull"
    x, y, _ = pond.cure.at.tolist()
    again = check_water(well_boat(drains={"box": {"of": "box", "at": [x, y], "to": "bilge"}}))
    assert not again.findings
    assert "nowhere too much water" in again.summary()[0]


def test_a_boat_without_a_way_out_says_so_once_and_what_else_stands():
    report = check_water(boat())
    assert [f.kind for f in report.findings] == ["drain"]
    # the box is 500 mm deep to the gunwale, 3 m by 1.2 m, and lies one degree bow up
    wanted = 3.0 * 1.2 * (0.5 - 1.5 * math.tan(math.radians(1.0))) * 1000.0
    told = float(report.findings[0].what.partition(": ")[2].partition(" litres")[0])
    assert told == pytest.approx(wanted, rel=0.02)
    assert not check_water(boat(drains={"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}})).findings


def test_what_may_stand_is_no_finding():
    assert not check_water(well_boat(let_stand=["box"])).findings
    assert not check_water(well_boat(allow=50.0)).findings


def test_a_deck_sealed_all_round_holds_what_its_edges_would_let_go():
    plug = {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}
    deck = {"height": 300, "aft": "hull", "forward": "hull"}
    gaps, sealed, drained = (
        check_water(build(decks={"main": deck}, water={"drains": {**plug, **more}, "sealed": names}))
        for more, names in (
            ({}, []),
            ({}, ["main"]),
            ({"scupper": {"of": "main", "at": [60, -500], "to": "overboard"}}, ["deck.main"]),
        )
    )
    assert not gaps.findings
    # a box of 3 m by 1.2 m above the deck, 200 mm to the gunwale, one degree bow up
    wanted = 3000.0 * 1200.0 * (200.0 - 1500.0 * math.tan(math.radians(1.0)))
    assert sealed.findings[0].pieces[0] == "deck.main/sheet.1"
    assert sealed.ponds[0].litres * LITRE == pytest.approx(wanted, rel=0.02)
    assert not drained.findings


def test_a_sealed_bulkhead_dams_the_bottom():
    plug = {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}
    deck = {"height": 300, "aft": 200, "forward": 2800}
    parts = {"decks": {"main": deck}, "bulkheads": {"bow": {"at": 2000, "top": 200}}}
    gap, sealed, holed = (
        check_water(build(**parts, water={"drains": plug, "sealed": names, "limbers": limbers}))
        for names, limbers in (
            ([], {}),
            (["bulkhead.bow"], {}),
            (["bow"], {"foot": {"through": "bulkhead.bow/sheet", "at": [2000, 0]}}),
        )
    )
    assert not gap.findings  # it stands off the skin by its gap
    # forward of it a pool 200 mm deep at the sheet: from x = 2000 on to the bow, a metre forward
    wanted = 1200.0 * 1000.0 * (200.0 - 500.0 * math.tan(math.radians(1.0)))
    assert sealed.findings[0].pieces == ("hull", "bulkhead.bow/sheet")
    assert sealed.ponds[0].litres * LITRE == pytest.approx(wanted, rel=0.02)
    assert not holed.findings


def test_levels_of_a_whole_boat_are_those_of_a_flood():
    flow = flow_of(well_boat(), 60.0)
    for attitude in (Attitude("a", 0.02, 0.01), Attitude("b", -0.06)):
        filling = flow.filled(attitude)
        a, b, at = flow.edges
        count = len(flow.floors.z)
        assert len(at) == len(a) == len(filling.sill)
        wanted = flooded(count + 1 + len(flow.passages), a, b, filling.sill, count)[:count]
        assert filling.filled.level[:count] == pytest.approx(wanted)


def test_all_rain_is_accounted_for():
    # every column's share leaves by one gate and one only, or by none
    flow = flow_of(well_boat(), 30.0)
    filling = flow.filled(Attitude("a", 0.02))
    caught = filling.caught()
    assert sum(caught.values()) == pytest.approx(float(flow.floors.area.sum()))
    plug = len(flow.floors.z) + 1 + [p.name for p in flow.passages].index("plug")
    assert caught[plug] == pytest.approx(max(caught.values()))
    # what stands is what the pools hold, none counted twice
    held = sum(p.litres for p in ponds(filling, 0.0))
    assert held * LITRE == pytest.approx(float(filling.held.sum()), rel=1e-9)


def test_ribs_dam_a_bottom_and_their_holes_let_it_go():
    from tests.model.boats import DECK, build, hull

    ribs = [{"name": "rib", "at": 500, "every": 500, "until": 2500, "height": 40, "width": 30,
             "from": "keel", "to": "chine"}]  # fmt: skip
    plug = {"drains": {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}}
    lies = {"at_rest": {"trim": 2}, "underway": {"trim": 2}}
    made = build(hull=hull(ribs=ribs), decks={"main": DECK}, water={**plug, **lies})
    report = check_water(made)
    pools = [p for p in report.ponds if p.attitude == "at rest"]
    # five bays of 470 mm before a rib 40 mm high: the water stands to its top at the low end, the rest of the
    # bay falls dry where it rises above: V = W H^2 / (2 tan) where H < L tan, else W L (H - L tan / 2)
    slope = math.tan(math.radians(2.0))
    bay = 1200.0 * 470.0 * (40.0 - 470.0 * slope / 2.0)
    assert len(pools) == 5
    for pool in pools[1:-1]:
        assert pool.litres * LITRE == pytest.approx(bay, rel=0.03)
    assert {p.cure.through for p in pools} == {f"rib.{i}" for i in range(1, 6)}
    holed = build(hull=hull(ribs=ribs), decks={"main": DECK}, water={**plug, **lies, "rib_limbers": [100]})
    assert not check_water(holed).findings


def test_depths_over_a_raster_of_the_bottom():
    """A hull bottom with ribs as a plain raster, flooded column by column, holds as many litres."""
    from tests.model.boats import build, hull

    ribs = [{"name": "rib", "at": 600, "every": 700, "until": 2000, "height": 60, "width": 40,
             "from": "keel", "to": "gunwale"}]  # fmt: skip
    flared = hull(450.0, 0.5, ribs=ribs)
    made = build(hull=flared, water={"drains": {"plug": {"of": "hull", "at": [5, 0], "to": "overboard"}}})
    attitude = Attitude("so", math.radians(1.5), math.radians(1.0))
    found = sum(p.litres for p in ponds(flow_of(made, 20.0).filled(attitude), 1e-3))
    step = 20.0
    x, y = np.meshgrid(np.arange(step / 2, 3000, step), np.arange(-700 + step / 2, 700, step), indexing="ij")
    bottom = np.where(np.abs(y) <= 450, 0.0, (np.abs(y) - 450) / 0.5)
    inside = bottom < 500
    for at in (600, 1300, 2000):
        bottom = np.where(np.abs(x - at) < 20, bottom + 60.0, bottom)
    ground = x * attitude.up[0] + y * attitude.up[1] + bottom * attitude.up[2]
    number = np.arange(x.size).reshape(x.shape)
    both = [(number[:-1], number[1:]), (number[:, :-1], number[:, 1:])]
    a, b = (np.concatenate([pair[k].ravel() for pair in both]) for k in (0, 1))
    flat, dry = ground.ravel(), ~inside.ravel()
    keep = ~(dry[a] | dry[b])
    a, b = a[keep], b[keep]
    plug = int(number[0, x.shape[1] // 2])
    links = np.append(a, plug), np.append(b, x.size), np.append(np.maximum(flat[a], flat[b]), flat[plug])
    level = flooded(x.size + 1, *links, x.size)[:-1]
    deep = np.where(np.isfinite(level), np.maximum(level - flat, 0.0), 0.0)
    assert found * LITRE == pytest.approx(float(deep.sum()) * step * step / attitude.up[2], rel=0.03)


def test_turning_the_boat_about_changes_nothing_but_the_side():
    made = well_boat()
    port, starboard = standing(made, 2.0, 3.0), standing(made, 2.0, -3.0)
    assert port.litres == pytest.approx(starboard.litres, rel=1e-6)
    assert port.lowest[1] == pytest.approx(-starboard.lowest[1])
    assert replace(Attitude("x", 0.1, 0.2)).up @ Attitude("x", 0.1, 0.2).up == pytest.approx(1.0)


@pytest.mark.parametrize("trim", [1.0, -2.0])
def test_a_hull_full_to_the_gunwale_holds_what_the_kernel_measures(trim):
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    from model.geometry import Plane
    from model.hull_solid import body_solid
    from model.member_solid import half_space
    from tests.model.kernel_measure import volume_and_centre

    lines = {"lines": ["keel", "chine", "knuckle", "gunwale"], "loft": "fair", "transom": {"rake": 12}}
    made = build(units="in", hull={"survey": "lake16-survey.csv", **lines}, defaults={"hull_gap": 0.25})
    attitude = Attitude("so", math.radians(trim), math.radians(0.5))
    filling = flow_of(made).filled(attitude)
    pond = max(ponds(filling, 1.0), key=lambda p: p.litres)
    level = float(filling.filled.level[pond.floors].min())
    water = BRepAlgoAPI_Cut(body_solid(made.hull), half_space(Plane(attitude.up, level))).Shape()
    wanted, centre = volume_and_centre(water)
    assert pond.litres * LITRE == pytest.approx(wanted, rel=5e-3)
    held = filling.held[pond.floors]
    found = [
        float(held @ own[pond.floors]) / held.sum() for own in (filling.flow.floors.x, filling.flow.floors.y)
    ]
    assert found == pytest.approx(centre[:2], abs=5.0)
