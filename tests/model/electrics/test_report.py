"""Circuits, fuses, lengths and findings of small boats whose numbers are worked by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from model.electrics.conductors import circular_mils
from model.electrics.settings import GivenRun
from model.ways.run import Crossing, NoWay, Run, Wanted
from parts.faults import Place
from tests.model.electrics.small import (
    FOOT,
    at,
    bank,
    circuit,
    device,
    electrics,
    house,
    load,
    report,
    straight,
)


def kinds(found) -> list[str]:
    return [finding.kind for finding in found.findings]


def test_the_published_pump_straight_from_its_battery():
    """ABYC E-11 example as reprinted: 10 A, 11 ft out and 10 ft back, 3 % of 12 V: AWG 12."""
    own = electrics(
        [bank("house", 0.0)],
        [device("main", "fuse", 1.0)],
        [load("pump", 10.5, 10.0)],
        [circuit("pump", "house", "pump", "main")],
    )
    found = report(own)
    pump = found.circuit("pump")
    assert pump is not None
    assert pump.length == pytest.approx(21.0 * FOOT, abs=3.0)
    assert pump.gauge == "12"
    assert pump.lost == pytest.approx(10.75 * 10 * 21 / circular_mils("12") / 12, rel=1e-3)
    assert found.findings == ()
    # 1.25 x 10 A is 12.5 A: the next that is sold is 15 A
    assert [(row.at, row.rating, row.circuit) for row in found.fuses] == [("main", 15.0, "pump")]


def test_drop_is_told_from_the_battery_with_everything_on():
    """Feeder: 13 A, 4 ft in all; branch 10 A, 20 ft: each by CM = 10.75 I L / E, summed."""
    lights = circuit("lights", "box", "lights", back="bus", kind="other")
    own = house(circuit("pump", "box", "pump", back="bus"), lights,
                loads=[load("pump", 12.0, 10.0), load("lights", 7.0, 3.0)])  # fmt: skip
    found = report(own)
    feed, pump = found.circuit("feed"), found.circuit("pump")
    assert feed is not None
    assert pump is not None
    assert feed.fed.amps == 13.0
    volts = 10.75 * 13 * 4 / circular_mils(feed.gauge)
    assert volts <= 0.12  # the hundredth that a feeder may lose
    branch = 10.75 * 10 * 20 / circular_mils(pump.gauge)
    assert volts + branch <= 0.36
    assert pump.lost == pytest.approx((volts + branch) / 12.0, rel=1e-3)
    # the next thinner wire would lose too much
    assert volts + 10.75 * 10 * 20 / circular_mils("12") > 0.36
    assert pump.gauge == "10"


def test_a_fuse_is_larger_than_those_it_feeds():
    own = house(circuit("pump", "box", "pump", back="bus", fuse=20.0), loads=[load("pump", 5.0, 4.0)])
    rows = {row.circuit: row.rating for row in report(own).fuses}
    assert rows == {"feed": 25.0, "pump": 20.0}


def test_a_second_fuse_in_line_is_in_the_map():
    own = house(circuit("pump", "box", "pump", "inline", back="bus"), loads=[load("pump", 5.0, 4.0)])
    own.devices["inline"] = device("inline", "fuse", 4.5)  # type: ignore[index]
    found = {(row.at, row.rating) for row in report(own).fuses}
    assert found == {("main", 7.5), ("box", 5.0), ("inline", 5.0)}


@pytest.mark.parametrize(
    ("battery", "fuse", "sheathed", "too_far"),
    [(True, 5.9, False, False), (True, 6.1, False, True), (False, 0.5, False, False),
     (False, 0.7, False, True), (False, 3.2, True, False), (False, 3.5, True, True)],
)  # fmt: skip
def test_distance_of_a_fuse_from_its_source(battery, fuse, sheathed, too_far):
    """72 in of a battery (183.460); 7 in, or 40 in in a sheath, of another source (183.455)."""
    wire = circuit("pump", "house" if battery else "post", "pump", "own", sheathed=sheathed)
    devices = [device("own", "fuse", fuse if battery else 2.0 + fuse), device("main", "fuse", 1.0)]
    circuits = [wire]
    if not battery:
        devices.append(device("post", "bus", 2.0))
        circuits = [circuit("feed", "house", "post", "main"), wire]
    own = electrics([bank("house", 0.0)], devices, [load("pump", 9.0, 2.0)], circuits)
    assert ("fuse" in kinds(report(own))) == too_far


def test_what_has_no_fuse_is_told():
    own = electrics([bank("house", 0.0)], [], [load("pump", 5.0, 2.0)], [circuit("pump", "house", "pump")])
    (finding,) = report(own).findings
    assert (finding.kind, "no fuse" in finding.what) == ("fuse", True)


def test_without_a_fuse_of_its_own_a_wire_is_as_thick_as_the_fuse_before_it_asks():
    """A lamp of 1 A on a bar behind 60 A: AWG 12 of 45 A is protected up to 67.5 A, 14 of 35 A up to 52.5."""
    devices = [device("main", "fuse", 1.0, rating=60.0), device("bar", "bus", 2.0)]
    circuits = [circuit("feed", "house", "bar", "main"), circuit("lamp", "bar", "lamp", back="bar")]
    own = electrics([bank("house", 0.0)], devices, [load("lamp", 3.0, 1.0)], circuits)
    lamp = report(own).circuit("lamp")
    assert lamp is not None
    assert (lamp.gauge, lamp.size.by, lamp.guard.own) == ("12", "fuse", False)


def test_a_circuit_that_reaches_no_battery():
    own = house(circuit("pump", "island", "pump", back="bus"), loads=[load("pump", 5.0, 2.0)])
    own.devices["island"] = device("island", "fuse_box", 4.0)  # type: ignore[index]
    (finding,) = report(own).findings
    assert finding.kind == "circuit"
    assert finding.what.startswith("it reaches no battery")
    assert report(own).circuit("pump").gauge == ""


def test_boxes_that_feed_each_other_reach_no_battery_either():
    devices = [device("one", "fuse_box", 1.0), device("two", "fuse_box", 2.0)]
    circuits = [circuit("a", "one", "two"), circuit("b", "two", "one"), circuit("lamp", "two", "lamp")]
    own = electrics([bank("house", 0.0)], devices, [load("lamp", 3.0, 1.0)], circuits)
    assert kinds(report(own)).count("circuit") == 3


def test_sources_of_different_volts_beside_each_other():
    beside = electrics([bank("house", 0.0, 12.0, 24.0, joined="parallel")], [device("main", "fuse", 1.0)],
                       [load("lamp", 3.0, 1.0)], [circuit("lamp", "house", "lamp", "main")])  # fmt: skip
    assert any("beside each other" in f.what for f in report(beside).findings)
    other = circuit("other", "big", "box", "second", back="bus")
    own = house(other, circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 5.0, 1.0)])
    own.devices["second"] = device("second", "fuse", 1.0)  # type: ignore[index]
    own.banks["big"] = bank("big", 0.0, 12.0, 12.0)  # type: ignore[index]
    assert any("at once" in f.what for f in report(own).findings)
    own.banks["big"] = bank("big", 0.0, 12.8)  # type: ignore[index]
    assert not any("at once" in f.what for f in report(own).findings)


def test_a_load_made_for_other_volts():
    own = house(circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 5.0, 1.0, volts=24.0)])
    assert any("is made for 24 V" in f.what for f in report(own).findings)


def test_batteries_in_series_and_their_link():
    """Two of 12 V a foot apart make 24 V; the link is as thick as the circuit and counts in its length."""
    own = electrics([bank("motor", 0.0, 12.0, 12.0)], [device("breaker", "fuse", 0.0)],
                    [load("motor_plug", 10.0, 56.0)],
                    [circuit("motor", "motor", "motor_plug", "breaker")])  # fmt: skip
    found = report(own)
    motor = found.circuit("motor")
    assert motor is not None
    assert (motor.volts, motor.guard.rating) == (24.0, 70.0)
    lengths = {cut.wire.label: cut.path / FOOT for cut in found.wires}
    assert lengths["motor link 1"] == pytest.approx(1.0)
    assert lengths["motor back"] == pytest.approx(np.hypot(10.0, 1.0))
    assert motor.length / FOOT == pytest.approx(10 + np.hypot(10, 1) + 1, abs=0.02)
    assert {cut.gauge for cut in found.wires} == {motor.gauge}


def test_a_given_size_that_is_too_small_and_one_that_cannot_be_had():
    thin = house(circuit("pump", "box", "pump", back="bus", gauge="16"), loads=[load("pump", 22.0, 20.0)])
    (finding,) = report(thin).findings
    assert finding.kind == "wire"
    assert finding.what.startswith("AWG 16 is too small")
    far = house(circuit("pump", "box", "pump", back="bus"), loads=[load("pump", 200.0, 350.0)])
    assert any(f.what.startswith("even AWG 4/0 is too small") for f in report(far).findings)


def test_a_return_that_leads_to_another_battery():
    own = house(circuit("lamp", "box", "lamp", back="loose"), loads=[load("lamp", 5.0, 1.0)])
    own.devices["loose"] = device("loose", "bus", 4.0)  # type: ignore[index]
    (finding,) = report(own).findings
    assert finding.what.startswith("its current comes back to loose")


def test_a_box_that_is_full_and_a_load_without_a_circuit():
    loads = [load("one", 4.0, 1.0), load("two", 4.0, 1.0), load("three", 4.0, 1.0)]
    own = house(circuit("a", "box", "one", back="bus"), circuit("b", "box", "two", back="bus"), loads=loads)
    own.devices["box"] = device("box", "fuse_box", 2.0, positions=1)  # type: ignore[index]
    told = [f.what for f in report(own).findings]
    assert told == ["2 circuits on box, which takes 1", "no circuit leads to three"]


def test_no_way_for_a_run_is_told_and_its_length_guessed():
    def blocked(wanted: Sequence[Wanted]) -> list[Run | NoWay]:
        runs = straight(wanted)
        return [
            NoWay(run.name, "wire", "a wall is in its way", np.zeros(3), "make a hole")
            if "lamp" in run.name
            else run
            for run in runs
        ]

    own = house(circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 12.0, 1.0)])
    found = report(own, blocked)
    assert kinds(found) == ["way"]  # box and bus are in one place: one run serves both wires
    lamp = next(cut for cut in found.wires if cut.wire.label == "lamp 1")
    assert not lamp.laid
    assert lamp.path > 10.0 * FOOT


def test_runs_that_one_sheet_stops_ask_for_one_hole_that_takes_them_all():
    """Six wires of AWG 16, 3.06 mm over all: they fill 9.7 mm to 0.6, with a grommet of 3.2 mm 5/8 in."""

    def blocked(wanted: Sequence[Wanted]) -> list[Run | NoWay]:
        hole = Crossing("deck.sole/sheet.1", np.ones(3), "sheet", 9.5)
        return [
            NoWay(run.name, "wire", "a sheet is in its way", hole.at, "make a hole", (hole,))
            if "l0" in run.name or "l1" in run.name or "l2" in run.name
            else run
            for run in straight(wanted)
        ]

    loads = [load(f"l{k}", 12.0 + k, 1.0) for k in range(3)]
    circuits = [circuit(f"l{k}", "box", f"l{k}", back="bus") for k in range(3)]
    (finding,) = report(house(*circuits, loads=loads), blocked).findings
    assert finding.kind == "way"
    assert finding.pieces[0] == "deck.sole/sheet.1"
    assert len(finding.pieces) == 4
    assert 'one hole of 5/8" through deck.sole/sheet.1' in finding.cure


def test_cut_lengths_by_the_rule():
    """10 ft, 5 % slack, 3 in and 4 in at both ends: 140 in, cut to 12 ft with a foot as the step."""
    rule = {"slack": 0.05, "ends": 76.2, "drip_loop": 101.6, "cut_to": FOOT}
    own = house(circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 12.0, 1.0)], **rule)
    lamp = next(cut for cut in report(own).wires if cut.wire.label == "lamp 1")
    assert lamp.cut == pytest.approx(12.0 * FOOT)


def test_a_cranking_motor_has_no_fuse_and_is_sized_by_the_drop_alone():
    """33 CFR 183.425 leaves cranking conductors out of its Table 5: here 400 A over 8 ft may lose 1.2 V."""
    own = electrics([bank("house", 0.0)], [device("cutoff", "cutoff", 1.0)], [load("starter", 4.0, 400.0)],
                    [circuit("starter", "house", "starter", "cutoff", kind="cranking")])  # fmt: skip
    found = report(own)
    starter = found.circuit("starter")
    assert found.findings == ()
    # CM = 10.75 x 400 x 8 / 1.2 = 28,667: AWG 4
    assert starter is not None
    assert starter.gauge == "4"


def test_a_device_that_more_passes_than_it_carries():
    own = house(circuit("a", "box", "one", back="bus"), circuit("b", "box", "two", back="bus"),
                loads=[load("one", 4.0, 12.0), load("two", 4.0, 9.0)])  # fmt: skip
    own.devices["bus"] = replace(own.devices["bus"], carries=20.0)  # type: ignore[index]
    own.devices["main"] = replace(own.devices["main"], carries=21.0)  # type: ignore[index]
    (finding,) = report(own).findings
    assert (finding.kind, finding.pieces) == ("wire", ("device.bus",))
    assert finding.what == "it carries 20 A, and 21 A pass it with everything on"


def test_runs_that_are_given():
    own = house(circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 12.0, 1.0)])
    points = np.array([[2.0, 3.0, 0.0], [12.0, 3.0, 0.0]]) * FOOT
    given = GivenRun(frozenset(("lamp", "box")), points, (), Place("boat.yaml", 1, "electrics.runs[0]"))
    own = replace(own, runs=(given,))
    lamp = next(cut for cut in report(own).wires if cut.wire.label == "lamp 1")
    assert lamp.path == pytest.approx(16.0 * FOOT)


def test_wires_of_one_way_are_told_as_a_bundle():
    loads = [load(f"l{k}", 12.0, 1.0) for k in range(3)]
    own = house(*(circuit(f"l{k}", "box", f"l{k}", back="bus") for k in range(3)), loads=loads)
    found = report(own)
    # three out and three back between the same two places
    assert [c.bundle for c in found.circuits[1:]] == [6, 6, 6]
    assert all(c.factor == 1.0 for c in found.circuits)
    hot = electrics(
        list(own.banks.values()), list(own.devices.values()), loads, own.circuits, always_derated=True
    )
    assert [c.factor for c in report(hot).circuits[1:]] == [0.6, 0.6, 0.6]


def test_a_boat_with_nothing_but_points_at_one_place():
    """Box and bus at the same place: no run between them, no wire of no length."""
    own = house(circuit("lamp", "box", "lamp", back="bus"), loads=[load("lamp", 2.0, 1.0)])
    own.loads["lamp"] = load("lamp", 2.0, 1.0)  # type: ignore[index]
    found = report(own)
    assert all(cut.path == 0.0 for cut in found.wires if cut.wire.circuit == "lamp")
    assert at(2.0).point is not None
