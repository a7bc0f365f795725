"""What a boat file says of hoses and cannot be is told by line and key."""

from pathlib import Path

import pytest

from model.boat import build_boat
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.hoses.punts import punt, punt_text

FEED = "fill: {from: feed, to: fill, kind: pumped, inside: 19.05}"
SUCK = "suction: {from: seacock, to: feed, kind: pumped, inside: 19.05}"
OVER = "over_out: {skin: transom, at: [-100, 300]}"

# Of each: what of the punt is replaced, by what; the key that is told, what is wrong, what would be right.
CASES = {
    "unknown fitting": (FEED, FEED.replace("to: fill", "to: fil"), "runs.fill.to",
                        "there is no fitting called 'fil'", "did you mean 'fill'?"),
    "no diameter": (FEED, FEED.replace("inside: 19.05", "inside: 0"), "runs.fill.inside",
                    "0 is not above zero", ""),
    "a diameter that nobody sells": (FEED, FEED.replace("19.05", "21"), "runs.fill.inside",
                                     "the catalogue has no hose of 21.0 mm inside", "it has 12.7 mm"),
    "neither size nor hose": (FEED, FEED.replace(", inside: 19.05", ""), "runs.fill",
                              "its size is not given", "`inside`"),
    "unknown hose": (FEED, FEED.replace("inside: 19.05", "hose: hose-3"), "runs.fill.hose",
                     "the catalogue has no hose 'hose-3'", "hose-3/4"),
    "a hose to itself": (FEED, FEED.replace("to: fill", "to: feed"), "runs.fill.to",
                         "it ends where it begins", ""),
    "a ring": (FEED, FEED.replace("to: fill", "to: seacock"), "runs.suction.to",
               "the hoses lead round in a ring", ""),
    "pumped without a pump": ("kind: overflow", "kind: pumped", "runs.over.kind",
                              "a pumped hose without a pump in its line", "call it a drain"),
    "a drain out of a pump": (FEED, FEED.replace("kind: pumped", "kind: drain"), "runs.fill.kind",
                              "a drain with a pump at its end", "call it pumped"),
    "two into one pump": (SUCK, f"{SUCK}\n    more: {{from: over, to: feed, kind: pumped, inside: 19.05}}",
                          "runs.suction.to", "two hoses lead into one pump", "a valve"),
    "points and a way": (FEED, FEED.replace("inside", "points: [[1, 2, 3]], via: [[1, 2, 3]], inside"),
                         "runs.fill.via", "its `points` say already where it runs", ""),
    "a point twice": ("points: [[520, 100, 110]]", "points: [[520, 100, 110], [520, 100, 110]]",
                      "runs.drain.points[2]", "the same as the one before", "leave one out"),
    "through nothing": (OVER, "over_out: {at: [-100, 300, 0]}", "fittings.over_out",
                        "it is not said what it goes through", ""),
    "through two things": (OVER, "over_out: {skin: port, of: well, at: [1, 2]}", "fittings.over_out",
                           "it is in two places at once", ""),
    "three numbers on the transom": (OVER, "over_out: {skin: transom, at: [0, -100, 300]}",
                                     "fittings.over_out.at", "3 numbers do not tell the place", "[y, z]"),
    "above the transom": (OVER, "over_out: {skin: transom, at: [-100, 900]}", "fittings.over_out.at",
                          "the transom has no place there", ""),
    "off its well": ("at: [700, -200, 390]", "at: [700, -300, 390]", "fittings.fill.at",
                     "it lies 100.0 mm off well", ""),
    "of no locker": ("fill: {of: well", "fill: {of: wall", "fittings.fill.of",
                     "there is no locker called 'wall'", "did you mean 'well'?"),
    "an unknown part": ("part: well-fill-3/4", "part: well-fil", "fittings.fill.part",
                        "the catalogue has no through-hull 'well-fil'", "well-fill-3/4"),
    "an unknown kind": ("kind: overflow", "kind: overlow", "runs.over.kind", "overlow", ""),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_fault_is_told_at_its_key_with_what_would_be_right(case: str) -> None:
    old, new, key, wrong, right = CASES[case]
    text = punt_text()
    assert text.count(old) == 1
    with pytest.raises(BadInput) as caught:
        build_boat(read_text(text.replace(old, new), "punt.yaml"), Path("."))
    told = {str(fault.place.key): fault for fault in caught.value.faults}
    fault = told[f"hoses.{key}"]
    assert fault.place.line is not None
    assert wrong in fault.wrong
    assert right in fault.right


def test_a_fitting_at_fault_is_told_once_and_not_again_by_its_hoses() -> None:
    text = punt_text().replace("part: well-fill-3/4", "part: nothing")
    with pytest.raises(BadInput) as caught:
        build_boat(read_text(text, "punt.yaml"), Path("."))
    assert [fault.place.key for fault in caught.value.faults] == ["hoses.fittings.fill.part"]


def test_a_boat_without_hoses_has_none_and_what_it_says_is_read() -> None:
    plan = punt().hoses
    assert plan is not None
    assert (plan.near_water, plan.loop_height, plan.slope) == (152.4, 152.4, 0.02)
    assert plan.turnover == 1800.0
    by_name = {hose.name: hose for hose in plan.hoses}
    assert by_name["fill"].hose.name == "hose-3/4"
    assert by_name["drain"].start.group == "drain"
    # pushed on outside the wall, the way out of the well
    fill = by_name["fill"].end
    assert fill.port("in").tolist() == [700.0, -220.0, 390.0]
    # the port of the pump as it stands turned about
    out = by_name["fill"].start.port("out")
    assert out[0] == pytest.approx(330.0 - 28.575)
