"""Surveys: read from CSV and YAML, refused with their faults all at once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from model.survey import Survey, check_survey
from model.survey_csv import read_survey
from parts.faults import FaultList
from tests.model.hull_samples import CONFIGS, DEMO, demo, read

LINES = ("keel", "chine", "gunwale")
GOOD = """station,side,line,half_breadth,height
0,both,keel,0,3-1/2
0,both,chine,26-1/4,5-1/4
0,both,gunwale,30,26
40,both,keel,0,3-1/2
40,both,chine,27,5-3/8
40,both,chine>gunwale,30,16
40,both,gunwale,32,27
80,both,keel,0,4
80,both,chine,24,6
80,both,gunwale,30,28-1/2
"""


def csv_faults(folder: Path, text: str) -> tuple[Survey, list[str]]:
    path = folder / "survey.csv"
    path.write_text(text, encoding="utf-8")
    faults = FaultList()
    survey = read_survey(path, "survey.csv", LINES, "in", faults)
    if survey.points:
        check_survey(survey, faults)
    return survey, [str(fault) for fault in faults.faults]


def test_rows_become_points_in_mm(tmp_path: Path) -> None:
    survey, faults = csv_faults(tmp_path, "# taken on trestles\n\n" + GOOD)
    assert not faults
    assert survey.stations == (0.0, 1016.0, 2032.0)
    between = [p for p in survey.points if p.upper]
    assert [(p.name, p.half_breadth, p.height, p.place.line) for p in between] == [
        ("chine>gunwale", 762.0, 406.4, 9)
    ]
    assert [p.name for p in survey.section("port", 1016.0)] == ["keel", "chine", "chine>gunwale", "gunwale"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("station,side,", "station,"), "survey.csv:1: the column 'side' is missing"),
        (("half_breadth", "halfbredth"), "unknown column 'halfbredth'; did you mean 'half_breadth'"),
        (
            ("40,both,chine,27", "40,both,chin,27"),
            "survey.csv:6 chin: unknown line 'chin'; did you mean 'chine'",
        ),
        (("40,both,chine,27", "40,left,chine,27"), "survey.csv:6 side: 'left' is no side"),
        (("40,both,chine,27", "40,both,chine,27-9/8"), "survey.csv:6 half_breadth: the fraction in '27-9/8'"),
        (("40,both,chine,27", "40,both,chine,"), "survey.csv:6 half_breadth: the length is missing"),
        (("40,both,chine,27", "40,both,chine,-27"), "half-breadth -685.8 mm (-27.000 in) is negative"),
        (("chine,27,5-3/8", "chine,27,53/8"), ""),
        (("chine,27,5-3/8", "chine,27,29"), "'chine>gunwale' at 406.4 mm"),
        (
            ("40,both,keel,0,3-1/2", "40,both,keel,0,9"),
            "survey.csv:5 keel: 'keel' at 228.6 mm (9.000 in) is above",
        ),
        (("chine>gunwale", "keel>gunwale"), "'keel' and 'gunwale' are not neighbours"),
        (("40,both,keel,0,3-1/2", "30,both,keel,0,3-1/2\n20,both,keel,0,3-1/2"), "out of order"),
        (("80,both,keel", "0,both,keel"), "survey.csv:9 keel: the station is doubled (first on line 2)"),
        (("40,both,gunwale", "40,both,chine"), "'chine' is measured twice at this station (first on line 6)"),
        (("40,both,gunwale,32", "40,both,gunwale,28"), ""),
        (("80,both,gunwale,30,28-1/2\n", ""), "'gunwale' is not measured at the last station"),
    ],
)
def test_each_fault_is_told_with_its_row(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    assert GOOD.count(change[0]) >= 1
    _, faults = csv_faults(tmp_path, GOOD.replace(*change, 1))
    if said:
        assert any(said in fault for fault in faults), faults
        assert all(fault.startswith("survey.csv") for fault in faults)
    else:
        assert not faults


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    bad = GOOD.replace("0,both,keel,0,3-1/2", "0,both,keel,0,three", 1).replace("26-1/4", "-26-1/4")
    _, faults = csv_faults(tmp_path, bad.replace("80,both,keel,0,4", "80,both,kell,0,4"))
    assert sum("survey.csv:2 " in f or "survey.csv:3 " in f or "survey.csv:9 " in f for f in faults) == 3


def test_the_first_station_is_the_transom(tmp_path: Path) -> None:
    _, faults = csv_faults(tmp_path, GOOD.replace("\n0,", "\n2,"))
    assert any("the first station is 50.8 mm (2.000 in) from the transom" in fault for fault in faults)


def test_few_stations_and_files_that_are_no_survey(tmp_path: Path) -> None:
    _, faults = csv_faults(tmp_path, "\n".join(GOOD.splitlines()[:8]))
    assert any("2 stations were measured; measure at least 3" in fault for fault in faults)
    _, faults = csv_faults(tmp_path, "")
    assert any("no rows" in fault for fault in faults)
    path = tmp_path / "survey.csv"
    for raw, said in ((b"\xff\xfe\x00", "not UTF-8"), (b"a" * 2_000_001, "larger than 2 MB")):
        path.write_bytes(raw)
        found = FaultList()
        read_survey(path, "survey.csv", LINES, "in", found)
        assert said in str(found.faults[0])
    found = FaultList()
    read_survey(tmp_path / "none.csv", "none.csv", LINES, "in", found)
    assert "cannot be read" in str(found.faults[0])


def test_tumblehome_is_allowed_but_no_second_flare(tmp_path: Path) -> None:
    drawn_in = GOOD.replace("40,both,chine>gunwale,30,16", "40,both,chine>gunwale,33,16")
    assert not csv_faults(tmp_path, drawn_in)[1]
    twice = drawn_in.replace("chine>gunwale,33,16", "chine>gunwale,33,16\n40,both,chine>gunwale,31,20")
    assert any("already drew in" in fault for fault in csv_faults(tmp_path, twice)[1])


def test_sides_that_differ_and_one_centreline(tmp_path: Path) -> None:
    both = GOOD.replace("80,both,chine,24,6", "80,port,chine,24,6\n80,starboard,chine,24-1/4,6")
    survey, faults = csv_faults(tmp_path, both)
    assert not faults
    assert not survey.symmetrical
    assert survey.section("starboard", 2032.0)[1].half_breadth == pytest.approx(24.25 * 25.4)
    split = both.replace("80,both,keel,0,4", "80,port,keel,0,4\n80,starboard,keel,0,4-1/4")
    assert any("the centreline has one height" in fault for fault in csv_faults(tmp_path, split)[1])
    one_side, faults = csv_faults(tmp_path, GOOD.replace("both", "port"))
    assert not faults
    assert one_side.symmetrical


INLINE = """
hull:
  lines: [keel, chine, gunwale]
  stations:
    - {at: 0, keel: [0, 3-1/2], chine: [26-1/4, 5-1/4], gunwale: [30, 26]}
    - at: 40
      keel: [0, 3-1/2]
      chine: [27, 5-3/8]
      gunwale: [32, 27]
      between: {chine>gunwale: [[30, 16]]}
    - {at: 80, keel: [0, 4], chine: [24, 6], gunwale: [30, 28-1/2]}
"""


def test_the_same_survey_in_the_boat_file(tmp_path: Path) -> None:
    hull, faults = read(INLINE)
    assert hull is not None, faults
    written = hull.survey
    survey, _ = csv_faults(tmp_path, GOOD)
    assert written is not None
    for side in ("port", "starboard"):
        for station in survey.stations:
            a, b = (s.section(side, station) for s in (written, survey))
            assert [p.name for p in a] == [p.name for p in b]
            for p, q in zip(a, b, strict=True):
                assert (p.half_breadth, p.height) == pytest.approx((q.half_breadth, q.height))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("at: 80", "at: 40"), "boat.yaml:11 hull.stations[3].at: the station 40 is doubled"),
        (("at: 80", "at: 30"), "hull.stations[3].keel: the station is out of order"),
        (
            ("chine: [24, 6]", "chin: [24, 6]"),
            "hull.stations[3].chin: unknown line 'chin'; did you mean 'chine'",
        ),
        (("chine: [24, 6]", "chine: [24, 6x]"), "hull.stations[3].chine[2]: "),
        (("chine>gunwale", "chine"), "names one line"),
        (("keel: [0, 4]", "keel: [0, 8]"), "boat.yaml:11 hull.stations[3].keel: 'keel' at 203.2 mm"),
        (("lines: [keel, ", "survey: a.csv\n  lines: [keel, "), "there are two surveys"),
        (("  lines:", "  transom: {rake: 95}\n  lines:"), "hull.transom.rake: a rake of 95 degrees"),
        (("  lines:", "  thickness: 0\n  lines:"), "hull.thickness: 0 is not above zero"),
        (("lines: [keel,", "lines: [keel, keel,"), "the line 'keel' stands twice"),
        (
            ("  lines:", "  ribs: [{at: 9, height: 1, width: 1, to: chin}]\n  lines:"),
            "hull.ribs[1].to: unknown line 'chin'; did you mean 'chine'",
        ),
        (
            ("  lines:", "  ribs: [{at: 9, height: 1, width: 1, every: 1, until: 9999}]\n  lines:"),
            "this repeats 9991 times",
        ),
        (
            ("  lines:", "  stringers: [{from: 9, to: 5, height: 1, width: 1}]\n  lines:"),
            "hull.stringers[1]: it ends at 5, aft of where it begins",
        ),
    ],
)
def test_faults_of_the_boat_file(change: tuple[str, str], said: str) -> None:
    assert change[0] in INLINE
    hull, faults = read(INLINE.replace(*change, 1))
    assert hull is None
    assert any(said in str(fault) for fault in faults.faults), [str(f) for f in faults.faults]


def test_points_off_their_station_stay_between_its_neighbours() -> None:
    hull, faults = read(INLINE.replace("chine: [27, 5-3/8]", "chine: [27, 5-3/8, 81]"))
    assert hull is None
    assert "its own x, 2057.4 mm (81.000 in), lies past the station next to" in str(faults.faults[0])
    hull, faults = read(INLINE.replace("chine: [27, 5-3/8]", "chine: [27, 5-3/8, 42]"))
    assert hull is not None, faults


def test_a_hull_in_the_wrong_units_has_no_breadth(tmp_path: Path) -> None:
    lines = [line for line in GOOD.splitlines() if ">" not in line]
    flat = "\n".join(",".join([*line.split(",")[:3], "0", "5"]) for line in lines[1:])
    _, faults = csv_faults(tmp_path, lines[0] + "\n" + flat)
    assert any("the hull has no breadth" in fault for fault in faults)
    assert any("the hull has no depth" in fault for fault in faults)


def test_lines_that_cross_between_stations_are_told() -> None:
    rows = {0: (0, 12), 20: (0, 12), 40: (11.9, 12), 60: (11.9, 12), 80: (0, 12)}
    stations = "\n".join(
        f"    - {{at: {x}, keel: [0, {keel}], chine: [20, {chine}], gunwale: [30, 30]}}"
        for x, (keel, chine) in rows.items()
    )
    hull, faults = read(f"hull:\n  lines: [keel, chine, gunwale]\n  stations:\n{stations}\n")
    assert hull is None
    assert "between stations the heights of the lines fall going up" in str(faults.faults[0])
    straight = f"hull:\n  loft: straight\n  lines: [keel, chine, gunwale]\n  stations:\n{stations}\n"
    assert read(straight)[0] is not None


def test_a_survey_elsewhere_is_refused() -> None:
    for path in ("../other.csv", "/etc/passwd"):
        hull, faults = read(DEMO["flat14"].replace("flat14-survey.csv", path))
        assert hull is None
        assert "leads away" in str(faults.faults[0])


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
def test_the_demo_surveys_are_whole(name: str) -> None:
    survey = demo(name).survey
    assert survey is not None
    assert len(survey.stations) >= 9
    assert (CONFIGS / f"{name}-survey.csv").stat().st_size < 10_000
    marks = np.array([[p.half_breadth, p.height] for p in survey.points]) / 25.4 * 16.0
    # The tape was read to a sixteenth of an inch.
    assert np.abs(marks - np.round(marks)).max() < 1e-9
