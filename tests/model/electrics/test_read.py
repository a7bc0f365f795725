"""The `electrics:` of a boat file: read to numbers, refused at its line with a cure."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from model.boat import Boat, build_boat
from parts.faults import BadInput
from parts.yamlfile import read_text

STARTER = resources.files("app").joinpath("starter", "boat.yaml").read_text(encoding="utf-8")
DRIVE = "  drive: {thrust: 55 lbf, volts: 12, draw: 50, batteries: [battery]}\n"
WIRES = """
electrics:
  insulation: 90
  batteries:
    house: {of: [battery]}
  devices:
    main: {at: [22, 20, 12], kind: fuse, rating: 30}
    box: {at: [30, 18, 13], kind: fuse_box}
    bus: {at: [30, 16, 13], kind: bus}
  loads:
    motor: {at: [130, 0, 15], drive: true, thrust: 0.5, shares: {day: 0.3}}
    lamp: {at: [130, 4, 20], amps: 1, shares: {night: 1}}
  circuits:
    feed: {from: house, through: [main], to: box, back: bus}
    motor: {from: box, to: motor}
    lamp: {from: box, to: lamp, kind: critical, gauge: 00, colour: grey}
  runs:
    - {between: [lamp, box], points: [[60, 10, 12]]}
  uses: {day: {hours: 6, charge: {house: 5}}, night: {hours: 2}}
"""


def boat(text: str) -> Boat:
    """The starter boat with an electric drive and wires."""
    return build_boat(read_text(f"{STARTER}{DRIVE}{text}", "boat.yaml"), Path())


def test_all_of_it_is_read():
    own = boat(WIRES).electrics
    assert own is not None
    assert (own.insulation, own.banks["house"].volts, own.banks["house"].amp_hours) == (90, 12.0, 90.0)
    assert own.devices["main"].rating == 30.0
    assert own.loads["motor"].amps == 50.0
    # half thrust by the three halves
    assert own.loads["motor"].mean == pytest.approx(50.0 * 0.5**1.5)
    feed, motor, lamp = own.circuits
    assert (feed.back, motor.back, lamp.back) == ("bus", "bus", "bus")
    assert (lamp.gauge, lamp.colour) == ("2/0", "grey")
    assert own.runs[0].points.tolist() == [[1524.0, 254.0, pytest.approx(304.8)]]
    assert own.uses[0].charge == {"house": 5.0}


def test_a_boat_without_wires_has_none():
    assert build_boat(read_text(STARTER, "boat.yaml"), Path()).electrics is None


@pytest.mark.parametrize(
    ("old", "new", "key", "told"),
    [
        ("of: [battery]", "of: [batery]", "electrics.batteries.house.of[1]", "did you mean 'battery'"),
        ("of: [battery]", "of: [seat-post]", "electrics.batteries.house.of[1]", "there is no battery"),
        ("of: [battery]", "of: [battery, battery]", "electrics.batteries.house.of[2]", "stands twice"),
        ("{at: [30, 18, 13], kind: fuse_box}", "{at: fusebox, kind: fuse_box}", "electrics.devices.box.at",
         "there is no fixture called 'fusebox'"),
        ("{at: [30, 18, 13]", "{at: [30, 180, 13]", "electrics.devices.box.at", "outside the hull"),
        ("kind: fuse_box", "kind: fusebox", "electrics.devices.box.kind", ""),
        ("kind: bus}", "kind: bus, rating: 5}", "electrics.devices.bus.rating", "no rating"),
        ("kind: bus}", "kind: bus, carries: 0}", "electrics.devices.bus.carries", ""),
        ("kind: critical", "kind: cranky", "electrics.circuits.lamp.kind", ""),
        ("amps: 1,", "", "electrics.loads.lamp", "its current is not told"),
        ("amps: 1,", "amps: true,", "electrics.loads.lamp.amps", ""),
        ("amps: 1,", "amps: -1,", "electrics.loads.lamp.amps", ""),
        ("shares: {night: 1}", "shares: {nigt: 1}", "electrics.loads.lamp.shares.nigt", "'night'"),
        ("shares: {night: 1}", "shares: {night: 2}", "electrics.loads.lamp.shares.night", ""),
        ("    lamp: {at:", "    main: {at:", "electrics.loads.main", "is a name among the devices already"),
        ("through: [main]", "through: [man]", "electrics.circuits.feed.through[1]", "did you mean 'main'"),
        ("through: [main]", "through: [bus]", "electrics.circuits.feed.through[1]", "cannot stand here"),
        ("motor: {from: box", "motor: {from: lamp", "electrics.circuits.motor.from", "'lamp' is a load"),
        ("back: bus", "back: box", "electrics.circuits.feed.back", "'box' is a fuse box"),
        ("to: box, back", "to: main, back", "electrics.circuits.feed.to", "cannot stand here"),
        ("gauge: 00", "gauge: 13", "electrics.circuits.lamp.gauge", "is no size of wire"),
        ("between: [lamp, box]", "between: [lamp, bx]", "electrics.runs[1].between[2]", "did you mean 'box'"),
        ("points: [[60, 10, 12]]", "points: [[60, 10]]", "electrics.runs[1].points[1]", ""),
        (", points: [[60, 10, 12]]", "", "electrics.runs[1]", "`points` or `via`"),
        ("points: [[60, 10, 12]]", "via: [tunnel]", "electrics.runs[1].via[1]", "there is no passage"),
        ("charge: {house: 5}", "charge: {hose: 5}", "electrics.uses.day.charge.hose", "did you mean 'house'"),
        ("insulation: 90", "insulation: 95", "electrics.insulation", ""),
        ("insulation: 90", "cut_to: 0", "electrics.cut_to", "not above zero"),
        ("insulation: 90", "slack: -1", "electrics.slack", ""),
    ],
)  # fmt: skip
def test_bad_input_is_told_at_its_key(old, new, key, told):
    assert WIRES.count(old) == 1
    with pytest.raises(BadInput) as refused:
        boat(WIRES.replace(old, new))
    found = [fault for fault in refused.value.faults if fault.place.key.startswith("electrics")]
    assert any(fault.place.key == key and told in str(fault) and fault.right for fault in found), found


def test_a_drive_that_is_not_there():
    with pytest.raises(BadInput, match="no electric drive"):
        build_boat(read_text(STARTER + WIRES, "boat.yaml"), Path())
