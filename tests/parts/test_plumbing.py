"""Pumps, hose and skin fittings of the catalogue, and what is refused of them."""

import pytest

from parts.catalogue import Catalogue, starter
from parts.faults import BadInput, Place
from parts.plumbing import Hose, Pump


def test_every_pump_of_the_starter_brings_what_it_is_rated_at_and_less_the_more_it_lifts():
    pumps = [pump for pump in starter().pumps.values() if pump.curve]
    assert len(pumps) >= 4
    for pump in pumps:
        heads, flows = zip(*pump.curve, strict=True)
        assert heads[0] == 0.0
        assert flows[0] == pytest.approx(pump.flow)
        assert list(heads) == sorted(heads)
        assert list(flows) == sorted(flows, reverse=True)
        assert set(pump.ports) == {"in", "out"}


def test_hoses_are_wider_outside_and_every_size_of_them_has_a_fitting_that_goes_in():
    hoses = starter().hoses
    assert hoses["hose-3/4"] == Hose("hose-3/4", 19.05, 26.9875, 63.5)
    for hose in hoses.values():
        assert hose.inside < hose.outside < hose.bend_radius
    for fitting in starter().through_hulls.values():
        assert any(0.6 * hose.inside < fitting.bore < hose.inside for hose in hoses.values())


ROUND = {"diameter": 50, "height": 80, "mass": "1 kg"}


@pytest.mark.parametrize(
    ("told", "key", "wrong"),
    [
        ({"pumps": {"p": {**ROUND, "curve": [[0, "500 L"]]}}}, "p.curve", "this is no curve of a pump"),
        (
            {"pumps": {"p": {**ROUND, "curve": [[0, "500 L"], ["1 m", "600 L"]]}}},
            "p.curve",
            "this is no curve of a pump",
        ),
        (
            {"pumps": {"p": {**ROUND, "curve": [[0, "500 L"], ["-1 m", "60 L"]]}}},
            "p.curve.1.0",
            "'-1 m' is below zero",
        ),
        ({"hoses": {"h": {"inside": 20, "outside": 20, "bend_radius": 60}}}, "h.outside", "no wider"),
        ({"hoses": {"h": {"inside": 0, "outside": 20, "bend_radius": 60}}}, "h.inside", "'0' is zero"),
        ({"through_hulls": {"t": {**ROUND, "bore": 0}}}, "t.bore", "'0' is zero"),
        ({"valves": {"v": {**ROUND, "ports": {"out": [0, 0, "x"]}}}}, "v.ports.out.2", "'x'"),
    ],
)
def test_what_cannot_be_is_told_at_its_key(told: dict, key: str, wrong: str):
    with pytest.raises(BadInput) as caught:
        Catalogue().with_entries(told, lambda path: Place("f", None, ".".join(map(str, path))), "mm")
    [fault] = caught.value.faults
    assert str(fault.place).endswith(key)
    assert wrong in fault.wrong


def test_a_pump_of_ones_own_keeps_its_curve():
    told = {"pumps": {"own": {**ROUND, "flow": "900 L", "curve": [[0, "900 L"], ["2 m", "90 L"]]}}}
    pump = Catalogue().with_entries(told, lambda path: Place("f", None, "k"), "mm").pumps["own"]
    assert isinstance(pump, Pump)
    assert pump.curve == ((0.0, 900.0), (2000.0, 90.0))
