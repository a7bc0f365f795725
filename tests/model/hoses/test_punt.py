"""Hoses of a box-shaped punt, whose water, falls, lifts and times can be worked out by hand."""

import math

import numpy as np
import pytest

from model.geometry import Plane
from model.hoses.check import HoseReport, hose_report, still_short
from model.hoses.friction import GRAVITY
from model.hoses.gravity import flow_by_gravity, hole_flow
from model.hoses.lay import HoseFound
from model.hoses.profile import profile_of
from model.hoses.pump_curve import LITRE_AN_HOUR
from model.hoses.wells import ASHORE, by_gravity
from model.mass.weigh import weigh
from tests.model.hoses.punts import LONG, THICK, WIDE, punt


@pytest.fixture(scope="module")
def report() -> HoseReport:
    return hose_report(punt())


def hose(report: HoseReport, name: str) -> HoseFound:
    return next(one for one in report.hoses if one.name == name)


def kinds(report: HoseReport) -> list[tuple[str, str]]:
    return [(f.kind, f.pieces[0]) for f in report.findings]


def test_nothing_is_wrong_with_it_and_all_its_hoses_have_a_way(report: HoseReport) -> None:
    assert [str(f) for f in report.findings] == []
    assert all(one.run is not None for one in report.hoses)
    assert len(report.summary()) == 4


def test_fittings_lie_over_the_water_as_a_floating_box_says(report: HoseReport) -> None:
    # draft of a box = mass / (density length breadth), the outside of its skin
    mass = weigh(punt()).after.mass
    draft = mass / (1e-6 * LONG * (WIDE + 2 * THICK)) - THICK
    skins = {skin.name: skin for skin in report.skins}
    assert set(skins) == {"plug", "seacock", "over_out", "drain_out", "bilge_out"}
    # about the middle of her length trim makes no odds
    assert report.waters is not None
    middle = np.array([LONG / 2, 0.0, 300.0])
    assert report.waters.over(middle, "empty") == pytest.approx(300.0 - draft, abs=2.0)
    plane = report.waters.planes["empty"]
    for name, at in {"bilge_out": (60.0, 600.0, 450.0), "over_out": (0.0, -100.0, 300.0)}.items():
        assert skins[name].empty == pytest.approx(float(plane.height(np.array(at))), abs=1.0)
    assert skins["drain_out"].wants == "must"
    assert skins["drain_out"].shut == "valve"
    assert skins["bilge_out"].wants == "need not"
    assert skins["bilge_out"].serves == ("bilge",)


def test_a_hole_under_water_without_a_valve_is_told_with_how_deep_it_lies() -> None:
    boat = punt(BILGE="60", LOOP=", loop: false")
    found = [f for f in hose_report(boat).findings if f.kind == "skin" and "nothing shuts it" in f.what]
    assert [f.pieces for f in found] == [("hoses.bilge_out",)]
    skin = next(s for s in hose_report(boat).skins if s.name == "bilge_out")
    assert skin.least is not None
    assert found[0].short == pytest.approx(-skin.least[0])
    assert still_short(boat, found[0]) == pytest.approx(found[0].short)
    shut = punt(BILGE="60", LOOP=", loop: false", VALVE=", valve: true")
    assert still_short(shut, found[0]) == 0.0


def test_a_discharge_near_the_water_gets_a_loop_and_one_that_may_not_is_told() -> None:
    low = hose_report(punt(BILGE="60", VALVE=", valve: true"))
    bilge = hose(low, "bilge")
    assert low.waters is not None
    assert low.asked is not None
    assert bilge.run is not None
    assert bilge.loop is not None
    # water at the top of the loop lies the asked height over the water outside in every case
    tops = [float(plane.height(bilge.run.path).max()) for plane in low.waters.planes.values()]
    assert min(tops) - bilge.plan.hose.inside / 2 >= low.asked.loop_height - 1.0
    assert not [f for f in low.findings if f.kind == "skin"]
    none = hose_report(punt(BILGE="60", VALVE=", valve: true", LOOP=", loop: false"))
    told = [f for f in none.findings if f.kind == "skin"]
    assert [f.pieces for f in told] == [("hoses.bilge",)]
    assert "the water runs back" in told[0].what


def test_a_drain_that_must_run_uphill_is_told_with_where_and_by_how_much() -> None:
    # down to 60, then up to the fitting at 90: 30 mm
    up = hose_report(punt(DRAIN="[520, 100, 60], [300, 100, 60]"))
    [found] = [f for f in up.findings if "uphill" in f.what]
    assert found.pieces == ("hoses.drain",)
    assert found.short == pytest.approx(30.0, abs=1.0)
    assert found.where is not None
    assert found.where[2] == pytest.approx(60.0, abs=1.0)
    assert "from" in found.what
    flat = hose_report(punt(DRAIN="[520, 100, 95]"))
    [found] = [f for f in flat.findings if f.pieces == ("hoses.drain",)]
    # 5 mm in 520 mm
    assert "falls by 1.0 %" in found.what


@pytest.mark.parametrize(("points", "short"), [("[520, 100, -60]", 60.0), ("[520, 900, 100]", 300.0)])
def test_a_hose_led_outside_of_the_hull_is_told(points: str, short: float) -> None:
    report = hose_report(punt(DRAIN=points))
    [found] = [f for f in report.findings if "through the skin" in f.what]
    assert found.pieces == ("hoses.drain",)
    # the bottom is flat at 0 and the sides upright at 600; the hose is 36.5 thick, and its bend rounded
    assert found.short is not None
    assert 0.55 * short < found.short < short + 18.3


def test_pumps_lift_from_the_water_or_the_bilge_to_the_highest_place(report: HoseReport) -> None:
    feed, bilge = (next(line for line in report.lines if line.pump.name == n) for n in ("feed", "pump"))
    assert report.waters is not None
    plane = report.waters.planes["empty"]
    assert (feed.source, bilge.source) == ("sea", "bilge")
    fill = hose(report, "fill").run
    out = hose(report, "bilge").run
    assert fill is not None
    assert out is not None
    works = feed.works["empty"]
    assert works is not None
    assert works.static == pytest.approx(float(plane.height(fill.path).max()), abs=0.1)
    # from the foot of the bilge pump to its discharge
    pumped = bilge.works["empty"]
    assert pumped is not None
    height = plane.height(out.path).max() - plane.height(np.array([120.0, 0.0, 12.7]))
    assert pumped.static == pytest.approx(float(height), abs=0.1)
    # the operating point lies on the pump's curve, found another way: linear between the two points about it
    flow = pumped.flow / LITRE_AN_HOUR / 3.785411784
    heads, flows = (0.0, 1.0, 3.0, 6.0, 9.0), (500.0, 450.0, 340.0, 190.0, 20.0)
    assert flow == pytest.approx(np.interp(pumped.head / 304.8, heads, flows), rel=0.01)


def test_the_line_of_a_pump_loses_what_swamee_and_jain_say(report: HoseReport) -> None:
    line = next(line for line in report.lines if line.pump.name == "pump")
    found = line.works["empty"]
    assert found is not None
    one = line.hoses[0]
    bore, length = one.plan.hose.inside, one.length
    speed = found.flow / (math.pi / 4 * bore**2)
    reynolds = speed * bore / 1.307
    # f = 0.25 / log10(e / 3.7 D + 5.74 / Re^0.9)^2, within 1 % of Colebrook (Swamee, Jain; from memory)
    f = 0.25 / math.log10(0.02 / 3.7 / bore + 5.74 / reynolds**0.9) ** 2
    losses = one.stretch().losses + 1.0  # and the free end
    expected = (f * length / bore + losses) * speed**2 / (2 * GRAVITY)
    assert found.head - found.static == pytest.approx(expected, rel=0.02)


def test_a_pump_that_draws_nothing_up_must_stand_under_water() -> None:
    high = hose_report(punt(RAISED="150"))
    [found] = [f for f in high.findings if "draws no water up" in f.what]
    assert found.pieces[0] == "fixture.feed"
    assert found.short is not None
    assert found.short > 0.0


def test_a_pump_that_cannot_lift_so_high_brings_nothing() -> None:
    report = hose_report(punt(BAILER="weak"))
    [found] = [f for f in report.findings if "nothing flows" in f.what]
    # its curve falls by 1500 litres in 150 mm and has 400 left: 40 mm more
    assert "lifts 0.19 m at most" in found.what
    assert found.pieces == ("fixture.pump", "hoses.bilge")


def test_a_well_is_filled_over_and_runs_out_as_by_hand(report: HoseReport) -> None:
    [well] = report.wells
    # 500 by 400 less the sheet of its walls, from 150 to 350
    assert well.volume == pytest.approx(500 * 400 * 200, rel=0.02)
    feed = next(line for line in report.lines if line.pump.name == "feed")
    assert feed.least is not None
    assert well.turnover == pytest.approx(well.volume / feed.least.flow)
    assert well.rise is not None
    assert well.inflow is not None
    assert hole_flow(38.0, well.rise) == pytest.approx(well.inflow, rel=1e-3)
    # ashore: a tank of upright sides by Torricelli's closed form, with the hose's loss at full and at empty
    [drain] = well.drains
    way = drain.ways[ASHORE]
    assert way.left == pytest.approx(150.0)
    stretch = by_gravity(hose(report, "drain"))
    high, low, area = 350.0 - 90.0, 150.0 - 90.0, well.volume / 200.0
    times = []
    for head in (high, low):
        loss = 2 * GRAVITY * head * (stretch.area / flow_by_gravity([stretch], head)) ** 2
        root = math.sqrt(high) - math.sqrt(low)
        times.append(area / stretch.area * math.sqrt(2 * loss / GRAVITY) * root)
    assert min(times) < way.seconds < max(times)
    # afloat it runs out to the water outside, measured at its drain, and no further
    assert report.waters is not None
    outside = 150.0 - float(report.waters.planes["laden"].height(np.array([520.0, 100.0, 150.0])))
    assert drain.ways["laden"].left == pytest.approx(outside, abs=0.5)
    assert outside > 155.0


def test_an_overflow_too_small_for_the_pump_is_told() -> None:
    small = hose_report(punt(BORE="15", WIDTH="12.7", OVER="357.5"))
    assert "it runs over its rim" in next(f.what for f in small.findings if f.pieces == ("locker.well",))
    off = hose_report(punt(OVER="385"))
    assert any("is said to run over" in f.what for f in off.findings)


def test_a_turnover_that_is_too_slow_is_told() -> None:
    slow = hose_report(punt(ASKED="turnover: 1"))
    assert "60 s are asked" in next(f.what for f in slow.findings if f.pieces == ("locker.well",))


def test_the_profile_of_a_path_tells_fall_climb_and_what_stays() -> None:
    level = Plane.through(np.zeros(3), np.array([0.0, 0.0, 1.0]))
    path = np.array([[0, 0, 100], [200, 0, 40], [400, 0, 70], [600, 0, 20], [1000, 0, 0]], dtype=float)
    found = profile_of(path, level)
    assert found.fall == 100.0
    assert found.climb == 30.0
    assert found.climbs_from.tolist() == [200.0, 0.0, 40.0]
    assert found.climbs_to.tolist() == [400.0, 0.0, 70.0]
    assert [(spot.at[2], spot.depth) for spot in found.low_spots] == [(40.0, 30.0)]
    assert found.slope < 0.0
    straight = profile_of(path[[0, 4]], level)
    assert straight.slope == pytest.approx(0.1, rel=1e-3)
    assert straight.climb == 0.0
    assert straight.low_spots == ()
