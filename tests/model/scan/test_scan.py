"""A scan of a known hull comes back as that hull: pose, lines, ribs, told with their errors.

What is held against is the exact loft that the scans were made from (`scans.py`), and closed forms.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from model.geometry import Array
from model.hull import Hull
from model.hull_build import loft_hull
from model.scan.align import Aligned, aligned
from model.scan.asked import Asked
from model.scan.cloud import Cloud
from model.scan.pose import NoPose
from model.scan.survey_scan import ScanReport, survey_scan
from model.scan.units import unit_of
from parts.faults import BadInput
from tests.model.hull_samples import demo, measured, wigley
from tests.model.scan.scans import Scan, scanned

NOISE = 3.0
UP = np.array([0.0, 0.0, 1.0])
LAKE = ("keel", "chine", "knuckle", "gunwale")


def report_of(scan: Scan | Array, **asked: Any) -> ScanReport:
    points = scan.points if isinstance(scan, Scan) else scan
    return survey_scan(Cloud("scan.xyz", points), Asked(**asked), "mm", lambda step: None)


def laid_of(scan: Array, **asked: Any) -> Aligned:
    return aligned(Cloud("scan.xyz", scan), Asked(**asked))


def off_lines(report: ScanReport, hull: Hull, side: str = "port") -> dict[str, Array]:
    """Half-breadth and height of each line less the hull's, the keel at the transom at height 0, `(n, 2)`."""
    x = np.linspace(0.0, 0.97 * report.lines.span[1], 30)
    corners = report.lines.fit(side).skin.at(x)[0]
    foot = np.array([0.0, hull.line(hull.lines[0], 0.0)[2]])
    found = {}
    for k, name in enumerate(hull.lines):
        true = hull.line(name, x, side)[:, 1:] * [1.0 if side == "port" else -1.0, 1.0]
        found[name] = corners[:, k] - (true - foot)
    return found


def rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


@pytest.fixture(scope="module")
def lake() -> tuple[Scan, ScanReport]:
    """The main demo boat, ribs and all, in any pose: outliers, holes, floor, trailer, person."""
    scan = scanned(
        demo("lake16"),
        28_000,
        noise=NOISE,
        outliers=0.05,
        holes=5,
        floor=True,
        person=True,
        trailer=True,
        scale=25.4,
        seed=7,
    )
    return scan, report_of(scan, lines=LAKE)


def test_the_pose_is_found(lake):
    scan, report = lake
    laid = report.lines.aligned
    turned = laid.axes @ scan.turn
    # Turns left over: about x and z a hundredth of a degree, about y as level as the keel is straight.
    assert abs(turned[2, 1]) < 4e-4
    assert abs(turned[1, 0]) < 4e-4
    assert abs(turned[0, 2]) < 6e-4
    origin = (laid.origin * scan.scale - scan.shift) @ scan.turn
    assert origin == pytest.approx([0.0, 0.0, demo("lake16").line("keel", 0.0)[2]], abs=1.0)
    assert math.degrees(report.rake) == pytest.approx(12.0, abs=0.1)
    assert laid.unit == "in"
    assert laid.floor


def test_lines_lie_within_the_noise(lake):
    _, report = lake
    off = off_lines(report, demo("lake16"))
    assert report.lines.both.noise == pytest.approx(NOISE, rel=0.05)
    # Thousands of points tell of each line: errors lie well below the noise of one of them.
    assert rms(off["keel"][:, 1]) < 0.5 * NOISE
    assert rms(off["chine"]) < 0.5 * NOISE
    # The gunwale is where points some 20 mm apart end; still it is found as well as one of them lies.
    assert rms(off["gunwale"]) < NOISE
    # The knuckle turns the side by some 7 degrees only: along the skin it is known an order less well than
    # square to it (noise over the sine of the turn); square to the chine-gunwale chord it is as good.
    across = np.array([math.sin(math.radians(70.0)), -math.cos(math.radians(70.0))])
    assert rms(off["knuckle"] @ across) < 0.7 * NOISE
    aft = np.linspace(0.0, 0.97 * report.lines.span[1], 30) < 3_300.0
    assert rms(off["knuckle"][aft]) < 3.0 * NOISE
    # Forward it turns by four degrees and less, which is told.
    assert any("corner at 'knuckle' is too slight" in str(finding) for finding in report.findings)


def test_errors_told_are_those_made(lake):
    """Standard errors hold: nearly all that is off lies within three of them (normal law)."""
    _, report = lake
    x = np.linspace(150.0, 0.9 * report.lines.span[1], 25)
    told = report.lines.both.errors(x)[:, 1]
    true = demo("lake16").line("chine", x)[:, 1:] - [0.0, demo("lake16").line("keel", 0.0)[2]]
    off = report.lines.skin.at(x)[0][:, 1] - true
    # They do not hold the pose: what a pitch and a height of the whole scan take up, and a shift athwart.
    off[:, 1] -= np.polyval(np.polyfit(x, off[:, 1], 1), x)
    off[:, 0] -= off[:, 0].mean()
    assert np.mean(np.abs(off) < 3.0 * told + 0.2) > 0.9
    assert told.max() < NOISE


def test_ribs_and_stringers_are_told_from_the_skin(lake):
    _, report = lake
    (rib,) = report.ribs
    true = demo("lake16").ribs
    assert (rib.count, rib.missed) == (len(true), 0)
    assert rib.at == pytest.approx(true[0].x, abs=NOISE)
    assert rib.every == pytest.approx(true[1].x - true[0].x, abs=1.0)
    assert rib.height == pytest.approx(true[0].height, abs=NOISE)
    assert rib.width == pytest.approx(true[0].width, abs=2.0 * NOISE)
    (bar,) = report.stringers
    assert bar.off == pytest.approx(304.8, abs=2.0 * NOISE)
    assert bar.height == pytest.approx(57.15, abs=NOISE)


def test_the_survey_lofts_to_the_hull_that_was_scanned(lake):
    _, report = lake
    hull = loft_hull(report.survey, transom_rake=report.rake)
    x, height = np.meshgrid(np.linspace(200.0, 4200.0, 15), np.linspace(150.0, 500.0, 8))
    foot = demo("lake16").line("keel", 0.0)[2]
    off = hull.half_breadth(x, height) - demo("lake16").half_breadth(x, height + foot)
    assert np.isfinite(off).mean() > 0.85
    assert rms(off[np.isfinite(off)]) < NOISE


def test_sides_that_differ_are_kept_apart():
    """vee18 was measured on both sides; what a heel accounts for is no difference of theirs."""
    hull = demo("vee18")
    report = report_of(scanned(hull, 20_000, noise=2.0, seed=3), lines=hull.lines)
    assert set(report.lines.sides) == {"port", "starboard"}
    assert {point.side for point in report.survey.points if point.line == "chine"} == {"port", "starboard"}
    assert {point.side for point in report.survey.points if point.line == "keel"} == {"both"}
    x = np.linspace(300.0, 4500.0, 12)
    for name in ("chine", "gunwale"):
        k = hull.lines.index(name)
        found = (
            report.lines.fit("port").skin.at(x)[0][:, k] - report.lines.fit("starboard").skin.at(x)[0][:, k]
        )
        true = hull.line(name, x)[:, 1:] - hull.line(name, x, "starboard")[:, 1:] * [-1.0, 1.0]
        y, z = hull.line(name, x)[:, 1], hull.line(name, x)[:, 2]
        none = np.zeros(len(x))
        # A heel a, a shift s and a yaw c of the centreline leave differences: in breadth 2 (s + z a + x c),
        # in height -2 y a.
        matrix = np.concatenate([np.stack([none + 2.0, 2.0 * z, x], 1), np.stack([none, -2.0 * y, none], 1)])
        rest = (found - true).T.ravel()
        rest = rest - matrix @ np.linalg.lstsq(matrix, rest, rcond=None)[0]
        assert rms(rest) < 2.5


def test_a_vee_prism_closed_form_with_a_span_unseen():
    """Straight bottoms at 20 degrees of deadrise, y = z / tan(20 deg), flared sides; none seen amidships."""
    deadrise, half = math.radians(20.0), 700.0
    rise = half * math.tan(deadrise)
    rows = {
        float(x): [(0.0, 0.0), (half, rise), (half + 60.0, rise + 450.0)] for x in np.linspace(0.0, 4000.0, 9)
    }
    hull = measured(("keel", "chine", "gunwale"), rows)
    points = scanned(hull, 16_000, noise=2.0, outliers=0.03, posed=False, seed=5).points
    # The ends of a prism are alike, so that either may be taken for the transom.
    points = points[np.abs(points[:, 0] - 2_000.0) > 225.0]
    report = report_of(points, stations=(500.0, 1_000.0, 2_000.0, 2_500.0, 3_500.0, 9_000.0))
    x = np.linspace(100.0, 3900.0, 20)
    keel, chine, gunwale = report.lines.skin.at(x)[0].transpose(1, 0, 2)
    assert rms(keel[:, 1]) < 1.0
    assert rms(chine - [half, rise]) < 1.0
    assert rms(gunwale - [half + 60.0, rise + 450.0]) < 2.0
    assert report.lines.span[1] == pytest.approx(4000.0, abs=3.0)
    assert report.bow_rake == pytest.approx(0.0, abs=0.01)
    assert set(report.left_out) == {2_000.0, 9_000.0}
    assert report.survey.stations[1:-1] == (500.0, 1_000.0, 2_500.0, 3_500.0)
    told = " ".join(str(finding) for finding in report.findings)
    assert "2000 mm is left out" in told
    assert "nothing was seen of keel>chine from 17" in told


def test_a_round_hull_closed_form():
    """The fore half of the Wigley form: y = B/2 (1 - u^2) (1 - v^2), no corner anywhere."""
    breadth = wigley(10_000.0, 1_600.0, 700.0)
    z = np.linspace(0.0, 700.0, 15)
    x = np.linspace(0.0, 4_800.0, 25)
    names = [f"line {k}" for k in range(len(z))]
    hull = measured(names, {float(a): [(breadth(5_000.0 + a, b), float(b)) for b in z] for a in x})
    report = report_of(scanned(hull, 16_000, noise=2.0, seed=2), lines=("keel", "gunwale"))
    lofted = loft_hull(report.survey, transom_rake=0.0)
    at, up = np.meshgrid(np.linspace(100.0, 4_300.0, 12), np.linspace(60.0, 660.0, 9))
    true = np.vectorize(breadth)(5_000.0 + at, up)
    assert rms(lofted.half_breadth(at, up) - true) < 2.0


def test_the_outside_less_the_sheet_is_the_inside():
    hull = replace(demo("flat14"), thickness=4.0)
    report = report_of(scanned(hull, 14_000, noise=1.0, outside=4.0, seed=4), lines=hull.lines, outside=4.0)
    x = np.linspace(200.0, 3_600.0, 12)
    lofted = loft_hull(report.survey, transom_rake=report.rake, bow_rake=report.bow_rake)
    foot = hull.line("keel", 0.0)[2]
    for name in hull.lines:
        off = lofted.line(name, x)[:, 1:] - (hull.line(name, x)[:, 1:] - [0.0, foot])
        assert rms(off) < 2.0, name


def test_half_a_boat_is_told_and_mirrored_if_asked():
    scan = scanned(demo("flat14"), 14_000, noise=1.0, posed=False)
    port = scan.points[scan.points[:, 1] > 0.0]
    with pytest.raises(NoPose, match="--half port"):
        laid_of(port, up=UP)
    with pytest.raises(NoPose, match="which way is up"):
        laid_of(port, half="port")
    with pytest.raises(BadInput, match="--half port"):
        report_of(port)
    laid = laid_of(port, half="port", up=UP)
    # The centreline is the edge at which the points end, and the other side is there.
    assert laid.origin[1] == pytest.approx(0.0, abs=4.0)
    assert abs(laid.axes[1, 0]) < 1e-3
    assert np.mean(laid.points[:, 1] > 0.0) == pytest.approx(0.5, abs=0.01)


def test_three_named_points_stand_in_for_the_search():
    scan = scanned(demo("flat14"), 15_000, noise=2.0, seed=9)
    hull = demo("flat14")
    seen = {
        "transom": hull.line("keel", 0.0),
        "bow": hull.line("keel", 4_050.0),
        "port": hull.line("gunwale", 2_000.0),
    }
    points = {name: at @ scan.turn.T + scan.shift + 20.0 for name, at in seen.items()}
    laid = laid_of(scan.points, points=points)
    turned = laid.axes @ scan.turn
    assert np.abs(turned[[1, 1, 2], [0, 2, 1]]).max() < 2e-3
    # Laid by these points x runs from the foot of the transom to the bow, which lies higher.
    rise = math.atan2(seen["bow"][2] - seen["transom"][2], 4_050.0)
    assert math.atan(-laid.transom.lean) == pytest.approx(math.radians(10.0) - rise, abs=2e-3)


def test_upside_down_and_in_a_wrong_unit():
    scan = scanned(demo("flat14"), 12_000, noise=2.0, posed=False)
    turned = scan.points * [1.0, -1.0, -1.0]
    with pytest.raises(NoPose, match="upside down"):
        laid_of(turned, up=UP)
    assert laid_of(turned, up=-UP).upside
    inches = scan.points / 25.4
    with pytest.raises(NoPose, match=r"about 25.4 times too small: inches\?; give --units in"):
        laid_of(inches, units="mm")


@pytest.mark.parametrize(
    ("length", "told", "real", "cure"),
    [
        (169.0, "mm", 4_300.0, "25.4.* times too small: inches.*--units in"),
        (4.3, "mm", 4_300.0, "1000 times too small: metres.*--units m"),
        (430.0, "in", 4_300.0, "2.54 times too large: centimetres.*--units cm"),
        (169.0, None, 3_000.0, "1.43.* times too large.*no unit accounts for"),
        (169.0, "mm", None, "25.4 times too small: inches"),
        (4_300.0, "m", None, "1000 times too large: millimetres"),
        (0.07, None, None, "--units, or --length"),
    ],
)
def test_a_wrong_unit_is_said_by_how_much(length, told, real, cure):
    with pytest.raises(NoPose, match=cure):
        unit_of(length, length / 3.0, told, real, None)


def test_the_unit_is_found_by_length_by_beam_or_by_what_a_boat_can_be():
    assert unit_of(169.0, 56.0, None, 4_300.0, None) == "in"
    assert unit_of(169.0, 56.0, None, None, 1_450.0) == "in"
    assert [unit_of(size, size / 3.0, None, None, None) for size in (4_300.0, 430.0, 4.3, 14.0)] == [
        "mm",
        "cm",
        "m",
        "ft",
    ]


def test_what_is_no_hull_is_refused():
    draw = np.random.default_rng(0)
    with pytest.raises(BadInput):
        report_of(draw.uniform(0.0, 4_000.0, (20_000, 3)))
    flat = draw.uniform(0.0, 4_000.0, (20_000, 3)) * [1.0, 0.5, 0.0]
    with pytest.raises(BadInput):
        report_of(flat)
    with pytest.raises(BadInput, match="one place"):
        report_of(np.zeros((5_000, 3)))
    scan = scanned(demo("flat14"), 12_000, noise=2.0, posed=False)
    # Neither transom nor bow plate.
    ahead = scan.points[:, 0] - 0.4 * (scan.points[:, 2] - 300.0)
    open_ended = scan.points[(scan.points[:, 0] > 250.0) & (ahead < 3_850.0)]
    with pytest.raises(BadInput, match="transom"):
        report_of(open_ended)
