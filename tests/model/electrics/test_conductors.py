"""Conductors and fuses against published tables and examples, and what follows from them."""

import math
from itertools import pairwise

import pytest

from model.electrics import conductors, fuses
from model.electrics.conductors import (
    FOOT,
    GAUGES,
    INSULATIONS,
    Laid,
    ampacity,
    circular_mils,
    drop,
    mils_needed,
)
from model.electrics.size import Asked, sized

# ASTM B258: diameter in inches and area in circular mils as tabulated, to the figures given.
B258 = {
    "18": (0.0403, 1624), "16": (0.0508, 2583), "14": (0.0641, 4109), "12": (0.0808, 6529),
    "10": (0.1019, 10384), "8": (0.1285, 16510), "6": (0.1620, 26240), "4": (0.2043, 41740),
    "2": (0.2576, 66360), "1": (0.2893, 83690), "1/0": (0.3249, 105560), "2/0": (0.3648, 133080),
    "3/0": (0.4096, 167770), "4/0": (0.4600, 211600),
}  # fmt: skip


@pytest.mark.parametrize("gauge", B258)
def test_diameter_and_area_are_those_of_astm_b258(gauge):
    inches, mils = B258[gauge]
    assert conductors.diameter_inches(gauge) == pytest.approx(inches, abs=0.00006)
    assert circular_mils(gauge) == pytest.approx(mils, rel=1e-3)  # tabulated from rounded diameters


@pytest.mark.parametrize(
    ("gauge", "insulation", "amps"),
    [("18", 60, 10), ("16", 105, 25), ("14", 105, 35), ("12", 75, 25), ("8", 75, 65), ("6", 90, 100),
     ("4", 125, 170), ("1", 60, 165), ("2/0", 105, 330), ("4/0", 200, 510)],
)  # fmt: skip
def test_amperes_are_those_of_the_federal_table(gauge, insulation, amps):
    """33 CFR 183.425 Table 5, cells across all of it."""
    assert conductors.table_amps(gauge, insulation) == amps


def test_the_table_rises_with_size_and_with_the_insulation():
    """A slip of a key in the table would show: nothing thicker or hotter carries less."""
    rows = [[conductors.table_amps(g, i) for i in INSULATIONS] for g in GAUGES]
    assert all(a <= b for row in rows for a, b in pairwise(row))
    assert all(a < b for one, two in pairwise(rows) for a, b in zip(one, two, strict=True))


def chosen(amps, feet, volts, share, **laid):
    """The conductor of a circuit without a fuse that asks for more."""
    return sized(Asked(amps, feet * FOOT, share * volts, Laid(volts=volts, **laid)))


def test_the_published_bilge_pump():
    """Commonly reprinted example for ABYC E-11: 10 A, 21 ft, 3 % of 12 V asks 6,270.8 CM: AWG 12, SAE 10."""
    assert mils_needed(10.0, 21.0 * FOOT, 0.36) == pytest.approx(6270.8, abs=0.1)
    assert chosen(10.0, 21.0, 12.0, 0.03).gauge == "12"
    sae = sized(Asked(10.0, 21.0 * FOOT, 0.36, Laid(), copper="sae"))
    assert sae.gauge == "10"
    assert circular_mils("12", "sae") == 5833


@pytest.mark.parametrize(
    ("amps", "feet", "share", "mils", "gauge"),
    # worked by hand from CM = 10.75 I L / E with the areas of ASTM B258
    [(15.0, 30.0, 0.03, 13437.5, "8"), (30.0, 14.0, 0.03, 12541.7, "8"), (3.0, 40.0, 0.10, 1075.0, "16")],
)
def test_worked_sizes(amps, feet, share, mils, gauge):
    assert mils_needed(amps, feet * FOOT, share * 12.0) == pytest.approx(mils, abs=0.1)
    assert chosen(amps, feet, 12.0, share).gauge == gauge


def test_eighteen_only_in_a_sheath():
    """33 CFR 183.425(c), (d): single conductors at least 16, 18 in a sheath of several."""
    asked = Asked(3.0, 40.0 * FOOT, 1.2, Laid())
    assert (sized(asked).gauge, sized(asked).by) == ("16", "least")
    sheathed = sized(Asked(3.0, 40.0 * FOOT, 1.2, Laid(), sheathed=True))
    assert sheathed.gauge == "18"


def test_engine_space_and_fuse_of_fourteen():
    """33 CFR 183.425 Table 5 note 1 and 183.455: 35 A, 29.75 A in an engine space; at most 52.5 A of fuse."""
    assert ampacity("14", Laid(105)) == 35.0
    assert ampacity("14", Laid(105, engine_space=True)) == pytest.approx(29.75)
    assert fuses.most_rating(35.0, 12.0) == 52.5


def test_current_asks_for_more_than_the_drop_where_the_run_is_short():
    short = chosen(56.0, 3.0, 24.0, 0.10)
    assert (short.gauge, short.by) == ("10", "current")
    hot = chosen(56.0, 3.0, 24.0, 0.10, engine_space=True)
    assert hot.gauge == "8"


def test_a_large_fuse_asks_for_a_thick_conductor():
    """183.455: 40 A is within 150 % of 16's 25 A only up to 37.5 A, so it takes a 14."""
    found = sized(Asked(5.0, 3.0 * FOOT, 1.2, Laid(), fuse=40.0))
    assert (found.gauge, found.by) == ("14", "fuse")


def test_bundles_count_from_fifty_volts_or_where_asked():
    """Table 5 note 2 (from memory): 3 conductors 0.70, 4 to 6 0.60, 7 to 24 0.50, 25 and more 0.40."""
    assert [conductors.bundle_factor(n) for n in (2, 3, 4, 6, 7, 24, 25)] == [
        1.0,
        0.7,
        0.6,
        0.6,
        0.5,
        0.5,
        0.4,
    ]
    assert ampacity("10", Laid(bundle=5, volts=48.0)) == 60.0
    assert ampacity("10", Laid(bundle=5, volts=72.0)) == pytest.approx(36.0)
    assert ampacity("10", Laid(bundle=5, volts=12.0, always=True)) == pytest.approx(36.0)


def test_fuses_from_fifty_volts():
    """183.455: at most Table 5; the next larger standard size where none fits, within 150 %."""
    assert fuses.most_rating(60.0, 72.0) == 60.0
    assert fuses.most_rating(55.0, 72.0) == 60.0
    assert fuses.most_rating(600.0, 72.0) == 600.0


def test_none_is_large_enough():
    found = chosen(300.0, 200.0, 12.0, 0.03)
    assert found.gauge is None
    assert "drop" in found.lacks


def test_what_a_given_size_lacks():
    found = sized(Asked(30.0, 30.0 * FOOT, 0.36, Laid(), fuse=40.0), given="16")
    assert found.gauge == "16"
    assert found.lacks == ("drop", "current", "fuse")
    assert found.lost == pytest.approx(drop("16", 30.0, 30.0 * FOOT))


@pytest.mark.parametrize(
    ("told", "gauge"),
    [(12, "12"), ("12", "12"), ("2/0", "2/0"), ("00", "2/0"), (0, "1/0"), (13, None), ("x", None)],
)
def test_names_of_sizes(told, gauge):
    assert conductors.gauge_of(told) == gauge


def test_drop_against_the_resistance_of_copper():
    """AWG 10 is 0.9989 ohm per 1000 ft at 20 C (wire tables, from memory); K = 10.75 is a little warmer."""
    ohms = drop("10", 1.0, 1000.0 * FOOT)
    assert ohms == pytest.approx(0.9989, rel=0.04)
    assert math.isclose(ohms, 10.75 * 1000.0 / circular_mils("10"))
