"""Struts that a boat file asks for: chosen, as given, and those that cannot be."""

from __future__ import annotations

import csv
import math

import numpy as np
import pytest

from cutlists.strut_list import strut_csv
from model.boat import Boat
from model.clearance.strut import CAUTION, GRAVITY, leverage
from model.clearance.strut_check import StrutFound, check_struts
from parts.faults import BadInput
from tests.model.clearance.small_boat import punt

CHOSEN = "{}"


def boat(strut: str) -> Boat:
    """A punt whose hatch, hinged aft and loaded to 12 kg, is to have struts."""
    lid = "lid: {flange: 20, sheet: 5052-0.125, mass: 12.0}, length: 457, width: 305"
    return punt(hinge=f"aft, strut: {strut}, {lid}", lid="")


def found(strut: str) -> StrutFound:
    (one,) = check_struts(boat(strut)).struts
    return one


def test_what_is_not_said_is_chosen_and_told() -> None:
    one = found(CHOSEN)
    assert one.finding is None
    assert one.plan is not None
    assert one.plan.holds_from <= math.radians(31.0)
    (line,) = check_struts(boat(CHOSEN)).summary()
    assert line.startswith("deck.aft/hatch/lid: 2 struts of ")
    assert f"{one.plan.hand_closed:.0f} N at its edge lifts it" in line


def test_given_eyes_and_stroke_are_kept() -> None:
    plan = found(CHOSEN).plan
    assert plan is not None
    given = f"{{stroke: {plan.stroke}, on_lid: {list(plan.lid_eye)}, on_frame: {list(plan.frame_eye)}}}"
    again = found(given).plan
    assert again is not None
    assert (again.stroke, again.force) == pytest.approx((plan.stroke, plan.force))
    np.testing.assert_allclose([*again.lid_eye, *again.frame_eye], [*plan.lid_eye, *plan.frame_eye])


def test_the_hand_at_open_and_shut_is_statics() -> None:
    """Moments about the hinge at either end: m g d less n F r, over the reach of the lid."""
    one = found(CHOSEN)
    plan, lid = one.plan, one.lid
    assert plan is not None
    lever, motion = leverage(lid), lid.motion()
    assert lever is not None
    assert motion is not None
    for at, hand in ((0.0, plan.hand_closed), (motion.limit, -plan.hand_open)):
        matrix, offset = motion.pose(at)
        eye = matrix @ plan.on_lid + offset
        line = eye - plan.on_frame
        length = float(np.linalg.norm(line))
        pressed = 1.0 + 0.25 * (plan.opened - length) / plan.stroke
        assert lid.edge is not None
        hinge = lid.edge[0]
        axis = np.array([0.0, 1.0, 0.0])
        # the lid hinged aft rises by a turn about -y: moments that open it are positive
        push = -float(np.cross(eye - hinge, plan.count * plan.force * pressed * line / length) @ axis)
        pull = -float(np.cross(matrix @ lid.centre + offset - hinge, [0, 0, -lid.mass * GRAVITY]) @ axis)
        assert hand == pytest.approx(-(push + pull) / lever.length, abs=0.1)


def test_a_strut_too_weak_holds_the_lid_too_late() -> None:
    chosen = found(CHOSEN).plan
    assert chosen is not None
    one = found(f"{{force: {0.1 * chosen.force:.1f} N}}")
    assert one.finding is not None
    assert one.finding.kind == "strut"
    assert "hold it up" in one.finding.what
    assert one.finding.cure.startswith("take struts of ")
    assert one.finding.measure == "N"
    assert one.finding.place is not None
    assert one.finding.place.key == "decks.aft.openings.hatch.strut"


def test_a_strut_too_strong_pushes_the_shut_lid_open() -> None:
    chosen = found(CHOSEN).plan
    assert chosen is not None
    eyes = f"on_lid: {list(chosen.lid_eye)}, on_frame: {list(chosen.frame_eye)}"
    strong = found(f"{{force: {20 * chosen.force:.0f} N, {eyes}}}")
    assert strong.plan is not None
    if strong.plan.hand_closed < 0.0:
        assert strong.finding is not None
        assert "push it open" in strong.finding.what
    else:  # the line of the struts runs through the hinge when shut
        assert abs(strong.plan.hand_closed - chosen.hand_closed) < chosen.hand_closed


def test_eyes_that_no_strut_spans_are_a_finding() -> None:
    one = found("{on_lid: [20, 15], on_frame: [25, 20]}")
    assert one.plan is None
    assert one.finding is not None
    assert one.finding.cure == "leave out `on_lid` and `on_frame` to have them chosen"


@pytest.mark.parametrize(
    ("strut", "key", "told"),
    [
        ("{force: strong}", "strut.force", "not a force"),
        ("{stroke: -3}", "strut.stroke", "not above zero"),
        ("{on_lid: [0, 10]}", "strut.on_lid", "not out from the hinge"),
        ("{count: 0}", "strut.count", ""),
        ("{count: 2, strok: 100}", "strut.strok", "unknown key"),
    ],
)  # fmt: skip
def test_what_is_refused(strut: str, key: str, told: str) -> None:
    with pytest.raises(BadInput) as caught:
        boat(strut)
    (fault,) = caught.value.faults
    assert fault.place.key.endswith(key)
    assert told in fault.wrong


def test_the_list_to_buy_by() -> None:
    report = check_struts(boat(CHOSEN))
    plan = report.struts[0].plan
    assert plan is not None
    rows = list(csv.reader(strut_csv(report).splitlines()))
    row = dict(zip(rows[0], rows[1], strict=True))
    assert row["lid"] == "deck.aft/hatch/lid"
    assert float(row["force N"]) == round(plan.force)
    assert float(row["force lbf"]) == pytest.approx(plan.force / 4.4482216, abs=0.06)
    assert float(row["open mm"]) - float(row["shut mm"]) <= float(row["stroke mm"])
    assert rows[-1][0].startswith(CAUTION)
    assert "was not checked" in rows[-1][0]
