"""Branches, aerators, boats that were not floated, valves that a hand must get at."""

from pathlib import Path

import numpy as np
import pytest

from model.access.service import service_points
from model.boat import Boat, build_boat
from model.hoses.check import HoseReport, check_hoses, hose_report
from model.hoses.skins import SkinFitting
from parts.yamlfile import read_text
from tests.model.hoses.punts import punt, punt_text


def built(text: str) -> Boat:
    return build_boat(read_text(text, "punt.yaml"), Path("."))


BRANCHED = (
    punt_text()
    .replace("    fill: {from: feed, to: fill, kind: pumped, inside: 19.05}\n", """\
    feed_out: {from: feed, to: either, kind: pumped, inside: 19.05}
    fill: {from: either, to: fill, kind: pumped, inside: 19.05}
    wash: {from: either, to: tap, kind: pumped, inside: 12.7}
    aerate: {from: aerator, to: spray, kind: aerator, inside: 19.05}
""")
    .replace("  runs:\n", """\
    tap: {open: true, at: [1050, -400, 300]}
    spray: {of: well, at: [700, 200, 400], part: spray-bar-3/4}
  runs:
""")
    .replace("weights:", """\
  either: {part: y-valve-3/4, on: hull, at: [330, -250], raise_by: 150}
  aerator: {part: aerator-500, on: well, at: [880, 120]}
weights:""")
)  # fmt: skip


@pytest.fixture(scope="module")
def branched() -> HoseReport:
    return hose_report(built(BRANCHED))


def test_a_pump_with_two_ways_is_told_by_each_of_them(branched: HoseReport) -> None:
    ways = {line.sink.name: line for line in branched.lines if line.pump.name == "feed"}
    assert set(ways) == {"fill", "tap"}
    assert [hose.name for hose in ways["tap"].hoses] == ["suction", "feed_out", "wash"]
    fill, tap = ways["fill"].least, ways["tap"].least
    assert fill is not None
    assert tap is not None
    # water runs fastest in the thinnest hose, by its bore: Q = v A
    assert tap.speed == pytest.approx(tap.flow / (np.pi / 4 * 12.7**2))
    # the valve between them stands over the skin and does not go through it
    assert "either" not in {skin.name for skin in branched.skins}
    assert fill.speed == pytest.approx(fill.flow / (np.pi / 4 * 19.05**2))


def test_an_aerator_turns_a_well_over_and_brings_it_nothing(branched: HoseReport) -> None:
    line = next(line for line in branched.lines if line.pump.name == "aerator")
    assert (line.source, line.well) == ("well", "locker.well")
    [well] = branched.wells
    assert line.least is not None
    assert well.turned_over == pytest.approx(line.least.flow)
    feed = next(line for line in branched.lines if line.sink.name == "fill")
    assert feed.most is not None
    assert well.inflow == pytest.approx(feed.most.flow)
    # from the overflow of the well, 350 up, to the spray at 400
    works = line.works["empty"]
    assert works is not None
    assert 45.0 < works.static < 70.0


def test_a_boat_that_sinks_is_told_so_and_her_hoses_all_the_same() -> None:
    heavy = check_hoses(built(punt_text().replace("mass: 420 kg", "mass: 9000 kg")))
    assert heavy.waters is not None
    assert not heavy.waters.known
    assert "could not be set afloat" in heavy.remarks[0]
    assert all(skin.least is None and skin.wants == "need not" for skin in heavy.skins)
    assert heavy.summary()
    feed, bilge = (next(line for line in heavy.lines if line.pump.name == n) for n in ("feed", "pump"))
    assert feed.least is None
    assert bilge.least is not None


def test_a_well_whose_rim_lies_under_water_is_told_with_what_lets_the_water_in() -> None:
    deep = check_hoses(built(punt_text().replace("mass: 420 kg", "mass: 1700 kg")))
    [found] = [f for f in deep.findings if f.pieces == ("locker.well",) and f.kind == "skin"]
    assert "through over, drain, fill and over the rim" in found.what
    assert deep.waters is not None
    # the rim is the underside of its lid's opening, 480 up; draft of the box over its skin, by its mass
    assert found.where is not None
    assert found.short == pytest.approx(-float(deep.waters.planes["laden"].height(found.where)))
    assert "fills by itself" in " ".join(deep.remarks)


def test_valves_on_the_skin_are_to_be_reached_and_told_by_their_line() -> None:
    boat = punt()
    points = {point.name: point for point in service_points(boat)}
    assert points["hoses.drain_out/valve"].at.tolist() == [70.0, 100.0, 90.0]
    assert "hoses.bilge_out/valve" not in points
    place = boat.place("hoses.drain_out")
    assert place is not None
    assert place.key == "hoses.fittings.drain_out"


def test_what_a_broken_fitting_lets_in_is_told_of_those_under_water() -> None:
    def skin(name: str) -> SkinFitting:
        return next(s for s in hose_report(punt()).skins if s.name == name)

    low = skin("drain_out")
    assert low.least is not None
    assert low.bore is not None
    # a hole's ideal flow: area times sqrt(2 g h)
    expected = np.pi / 4 * low.bore**2 * np.sqrt(2 * 9806.65 * -low.least[0])
    assert low.lets_in == pytest.approx(expected)
    assert skin("bilge_out").lets_in == 0.0
    # the plug, an inch across, lies deepest: more than the 20 litres a minute of the bilge pump
    assert any("plug, broken off, lets in" in told for told in hose_report(punt()).remarks)


def test_a_boat_without_hoses_costs_and_tells_nothing() -> None:
    text = punt_text()
    report = check_hoses(built(text[: text.index("hoses:")]))
    assert report.summary() == ()
    assert (report.hoses, report.skins, report.findings) == ((), (), ())


def test_a_drain_that_leads_forward_is_told_to_run_uphill_under_way() -> None:
    # 25 mm down in 500 mm forward is 5 %; under way the bow lies 4 degrees up, 7 %
    text = punt_text().replace("  runs:\n", "    ahead: {open: true, at: [1020, 100, 85]}\n  runs:\n")
    text = text.replace("to: drain_out, kind: drain", "to: ahead, kind: drain")
    report = check_hoses(built(text))
    told = [remark for remark in report.remarks if "under way it runs uphill" in remark]
    assert len(told) == 1
    assert told[0].startswith("drain drains at rest")
    assert not [f for f in report.findings if f.kind == "drain"]
