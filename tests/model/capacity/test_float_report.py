"""What a float report finds wrong, and what it leaves alone: on a box whose numbers are plain."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from model.capacity.boat_rules import boat_rules
from model.capacity.float_report import check_float
from model.hydrostatics.afloat import Floating, all_cases, weight_and_trim
from model.mass.weigh import weigh
from parts.amounts import POUND
from tests.model.boats import build, demo, hull
from tests.model.hull_samples import box

HULL = {"mass": "200 kg", "centre": [1450, 0, 150]}
DECK = {"sole": {"height": 120, "aft": 200, "forward": 2800}}
OUTSIDE = 3004.0 * 1204.0
"""Plan of the box's outside, mm2; its bottom lies 2 mm under the baseline."""


def boat(cases=None, weights=None, **afloat):
    """A box with one deck, weighed, with load cases."""
    told = {"hull": HULL, **(weights or {})}
    return build(decks=DECK, weights=told, afloat={"cases": {"empty": {}, **(cases or {})}, **afloat})


@cache
def of_demo(name):
    """The report of a demo boat."""
    return check_float(demo(name))


def person(x, y, mass=90):
    return {"mass": mass, "at": [x, y, 700], "person": "sitting"}


def kinds(report):
    return [finding.kind for finding in report.findings]


def told(report):
    return " / ".join(finding.what for finding in report.findings)


def test_a_loaded_box_floats_as_deep_as_its_mass_says():
    found = check_float(
        boat({"two": {"loads": ["a", "b"]}}, {"loads": {"a": person(1400, 0), "b": person(1600, 0)}})
    )
    assert not found.findings, told(found)
    one = found.cases[1]
    assert one.loaded.persons == 2
    assert one.loaded.live == pytest.approx(180.0)
    depth = one.loaded.load.mass * 1e6 / OUTSIDE
    middle = np.array([one.rest.below.middle[0], 0.0, -2.0])
    assert one.rest.depth(middle) / math.cos(one.rest.trim) == pytest.approx(depth, rel=2e-3)
    assert one.freeboard == pytest.approx(502.0 - depth, abs=abs(one.rest.trim) * 3000.0)


def test_little_freeboard_is_found_with_how_much_is_short():
    report = check_float(
        boat({"low": {"loads": ["a"]}}, {"loads": {"a": person(1500, 0, 700)}}, limits={"freeboard": 300})
    )
    (finding,) = [f for f in report.findings if "freeboard" in f.what]
    assert finding.kind == "float"
    assert finding.short == pytest.approx(300.0 - report.cases[1].freeboard)
    assert finding.place.key == "afloat.cases.low"


def test_heel_and_trim_past_their_limits_are_found():
    loads = {"a": person(1500, 550), "b": person(2900, 0, 200)}
    report = check_float(
        boat(
            {"side": {"loads": ["a"]}, "bow": {"loads": ["b"]}},
            {"loads": loads},
            limits={"heel": 2, "trim": 1},
        )
    )
    assert "side: she heels" in told(report)
    assert "bow: she goes down by the bow" in told(report)
    assert {f.measure for f in report.findings} == {"rad"}


def test_water_over_the_side_and_sinking_are_found():
    loads = {"a": person(1500, 595, 300), "b": person(1500, 0, 1900)}
    report = check_float(boat({"side": {"loads": ["a"]}, "deep": {"loads": ["b"]}}, {"loads": loads}))
    assert "water comes in over the port gunwale" in told(report)
    assert "more than the closed hull displaces" in told(report)
    assert report.cases[2].rest is None


def test_a_drain_under_water_is_found_once_with_its_worst_case():
    cases = {"deep": {"loads": ["a"]}}
    report = check_float(
        boat(cases, {"loads": {"a": person(1500, 0, 200)}}, drains={"low": [0, 0, 20], "high": [0, 0, 300]})
    )
    (finding,) = report.findings
    assert finding.pieces == ("low",)
    assert "2 cases, most in case deep" in finding.what


def test_a_drain_of_a_deck_that_leads_overboard_is_looked_at():
    loads = {"a": person(1500, 0, 400)}
    water = {"drains": {"scupper": {"of": "sole", "at": [220, 300], "to": "overboard"}}}
    told_of = {"weights": {"hull": HULL, "loads": loads}, "water": water}
    report = check_float(build(decks=DECK, afloat={"cases": {"low": {"loads": ["a"]}}}, **told_of))
    assert "drain scupper" in {name for f in report.findings for name in f.pieces}
    (one,) = report.cases
    assert one.drains["drain scupper"] == pytest.approx(
        float(one.rest.plane.height(np.array([220, 300, 120])))
    )


def test_a_flooding_place_lower_than_the_gunwale_counts():
    plain, cut = check_float(boat()), check_float(boat(floods={"notch": [0, 0, 350]}))
    assert plain.cases[0].freeboard - cut.cases[0].freeboard > 100.0
    assert cut.cases[0].lowest[1] == "notch"
    assert cut.cases[0].curve.flooding < plain.cases[0].curve.flooding
    assert cut.rules.displacement < plain.rules.displacement


def test_the_rule_worked_by_hand_on_the_box():
    report = check_float(boat(outboard={"power": 9.9, "transom": 400}))
    # level to the gunwale: 3.004 x 1.204 x 0.502 m of fresh water, less 5 %
    displacement = 0.95 * 3.004 * 1.204 * 0.502 * 1000.0 / POUND
    assert report.rules.after.displacement == pytest.approx(displacement, rel=1e-4)
    own = 200.0 + report.weights.refit.mass
    assert report.rules.after.boat == pytest.approx(own / POUND)
    assert report.rules.after.weight == pytest.approx((displacement - own / POUND) / 5.0, rel=1e-3)
    assert report.rules.after.equipment == 185
    assert report.rules.before.boat == pytest.approx(200.0 / POUND)


def test_more_than_plate_and_rule_allow_is_found():
    loads = {"a": person(1400, 0), "b": person(1600, 0), "gear": {"mass": 90, "at": [1500, 0, 200]}}
    plate = {"persons": 1, "mass": 250, "power": 5}
    report = check_float(
        boat({"crew": {"loads": list(loads)}}, {"loads": loads}, plate=plate, outboard={"power": 8})
    )
    assert kinds(report) == ["capacity"] * 3
    assert "more than the 250.0 kg of the capacity plate" in told(report)
    assert "2 persons, more than the 1 of the capacity plate" in told(report)
    assert "8 hp is more than the" in told(report)


def test_a_plate_above_the_rule_does_not_raise_it():
    loads = {"a": person(1500, 0, 400)}
    report = check_float(
        boat({"crew": {"loads": ["a"]}}, {"loads": loads}, plate={"mass": 900}, limits={"freeboard": 50})
    )
    assert "of the loading rule" in told(report)


def test_foam_without_room_is_found():
    assert not check_float(boat()).findings
    found = check_float(boat(foam={"leave": ["sole"]}))
    assert "there is room for 0.0" in told(found)


def test_batteries_that_do_not_fit_the_drive_are_found():
    fixtures = {"b": {"part": "group-27", "on": "sole", "at": [600, 0]}}
    drive = {"thrust": "80 lbf", "volts": 24, "draw": 56, "batteries": ["b"]}
    made = build(decks=DECK, fixtures=fixtures, weights={"hull": HULL}, afloat={"drive": drive})
    assert kinds(check_float(made)) == ["power"]


def test_what_cannot_be_of_weights_is_found():
    loads = {"far": {"mass": 80, "at": [5000, 0, 300]}, "out": {"mass": 80, "at": [1500, 900, 300]}}
    report = check_float(boat(None, {"hull": {"mass": 12, "centre": [-400, 0, 100]}, "loads": loads}))
    pieces = {f.pieces[0]: f for f in report.findings}
    assert set(pieces) == {"hull", "hull centre", "far", "out"}
    assert "her skin alone comes to about" in pieces["hull"].what
    assert pieces["far"].place.key == "weights.loads.far"


def test_a_boat_of_which_no_mass_is_known_is_told_without_a_finding():
    report = check_float(replace(build(), hull=box(3000.0, 1200.0, 500.0)))
    assert not report.findings
    assert report.cases[0].rest is None
    assert "not known" in report.summary()[0]


def test_a_boat_too_long_for_the_rules_is_floated_all_the_same():
    corners = {"keel": [0, 0], "chine": [1500, 0], "gunwale": [1500, 1200]}
    long = hull(stations=[{"at": at, **corners} for at in (0, 5000, 10000)])
    report = check_float(build(hull=long, decks=DECK))
    assert not report.rules.applies
    assert not report.findings
    assert len(report.summary()) == 2


def test_a_place_that_floods_from_the_start_is_found():
    report = check_float(boat(floods={"hole": [0, 0, -1]}, drains={"low": [0, 0, -1]}))
    assert "water comes in over hole" in told(report)
    assert report.rules.after.weight == 0.0


def test_an_outboard_may_hang_over_the_transom():
    aboard = {"motor": {"mass": 60, "at": [-200, 0, 400], "counts": "motor", "before": True}}
    report = check_float(boat(None, {"aboard": aboard}))
    assert not report.findings
    assert report.weights.before.mass == pytest.approx(260.0)
    assert report.rules.after.boat * POUND == pytest.approx(200.0 + report.weights.refit.mass)


def test_what_is_moved_left_ashore_or_filled_counts():
    fixtures = {"b": {"part": "group-27", "on": "sole", "at": [600, 0]}}
    lockers = {
        "k": {
            "kind": "well",
            "under": "sole",
            "aft": 1000,
            "forward": 1400,
            "port": 200,
            "starboard": -200,
            "floor": 20,
        }
    }
    cases = {
        "empty": {},
        "forward": {"move": {"b": {"at": [2400, 0]}}},
        "ashore": {"without": ["b"]},
        "full": {"fill": {"k": 0.5}},
    }
    made = build(
        decks=DECK, fixtures=fixtures, lockers=lockers, weights={"hull": HULL}, afloat={"cases": cases}
    )
    empty, forward, ashore, full = all_cases(made, weigh(made), Floating.of(made))
    battery = 54 * POUND
    assert forward.loaded.load.centre[0] - empty.loaded.load.centre[0] == pytest.approx(
        battery * 1800.0 / empty.loaded.load.mass
    )
    assert forward.loaded.load.centre[2] == pytest.approx(empty.loaded.load.centre[2])
    assert empty.loaded.load.mass - ashore.loaded.load.mass == pytest.approx(battery)
    (locker,) = made.layout.lockers.values()
    water = locker.area.area * 0.5 * (locker.top - locker.floor) * 1e-6
    assert full.loaded.load.mass - empty.loaded.load.mass == pytest.approx(water)
    assert full.loaded.load.liquids[0].spread[1, 1] > 0.0


def test_a_file_without_cases_gets_the_usual_ones():
    report = check_float(build(decks=DECK))
    assert [one.case.name for one in report.cases] == ["empty", "one_forward", "two_on_one_side"]
    assert report.weights.is_estimate


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_the_demo_boats_have_nothing_wrong(name):
    report = of_demo(name)
    assert not report.findings, told(report)
    assert len(report.summary()) == 3
    for one in report.cases:
        # righting arms begin at rest with nothing, and grow
        assert one.curve.arms[0] == pytest.approx(0.0, abs=0.5)
        assert one.curve.greatest[0] > 50.0
        assert one.curve.freeboards[-1] == pytest.approx(0.0, abs=1.0)


def test_the_quick_answer_is_that_of_the_report():
    made = demo("lake16")
    live, report = weight_and_trim(made, "livewell_full"), of_demo("lake16")
    whole = next(one for one in report.cases if one.case.name == "livewell_full")
    assert live.found.rest.trim == whole.rest.trim
    assert live.weights.after.mass == report.weights.after.mass
    with pytest.raises(KeyError):
        weight_and_trim(made, "nothing of the kind")


def test_batteries_forward_trim_the_demo_boat_by_the_bow():
    report = of_demo("lake16")
    cases = {one.case.name: one for one in report.cases}
    assert cases["batteries_forward"].rest.trim < cases["empty"].rest.trim


def test_rules_are_the_same_asked_alone():
    made = demo("vee18")
    weights = weigh(made)
    rules = boat_rules(made, weights, Floating.of(made))
    assert rules.applies
    assert rules.after.boat > rules.before.boat
    assert rules.plane.volume == min(plane.volume for plane in rules.planes)
