"""Flanges with returns and mitred corners against the CAD kernel, closed forms and the published example."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from model.bends.check import bend_findings
from model.bends.flange import Flange
from model.bends.fold import FoldError, fold
from model.bends.folded_panel import FoldedPanel
from model.bends.made import Fold
from model.bends.order import sections_across
from model.bends.profile import Turn, chain
from model.flat_arcs import polygon_of
from model.geometry import Frame
from model.panel import Panel
from model.prism_solid import joined_solid, prism_solid
from parts.bending import INCH, Bending
from parts.catalogue import starter
from parts.outline import Loop
from tests.model.kernel_measure import volume_and_centre

SHEET = starter().sheets["5052-0.090"]
T = SHEET.thickness
FACE = Frame.make((100.0, 200.0, 300.0), (0.6, 0.8, 0.0), (0.1, 0.0, 1.0))
BOX = [(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (0.0, 200.0)]
QUARTER = math.pi / 2


def plate(corners: list[tuple[float, float]] = BOX) -> Panel:
    return Panel("plate", FACE, Loop.polygon(corners), (), SHEET, "deck")


def turned(height: float, way: str = "on", degrees: float = 90.0, radius: float = 4.0) -> Turn:
    return Turn(height, math.radians(degrees), radius, way == "on")


def flange(
    i: int,
    *returns: Turn,
    corners: list[tuple[float, float]] = BOX,
    height: float = 40.0,
    degrees: float = 90.0,
    up: bool = True,
    gap: float | None = None,
) -> Flange:
    """Along edge i of a plate."""
    ends = np.array(corners[i]), np.array(corners[(i + 1) % len(corners)])
    return Flange(f"flange {i}", *ends, height, math.radians(degrees), 4.0, T, 0.44, up, returns, gap)


def solid_of(folded: FoldedPanel) -> float:
    """Volume of the folded piece as one valid kernel solid, mm3."""
    solid = joined_solid(folded.prisms)
    assert BRepCheck_Analyzer(solid).IsValid()
    return float(volume_and_centre(solid)[0])


def test_four_legs_and_three_bends_as_printed() -> None:
    """sheetmetalworkbook.com/90bends.htm: T 0.050, R 0.032, outside 0.740, 0.420, 1.050, 1.000: 2.973 in.

    The first leg is the sheet, the other three a chain; printed with deductions rounded to 0.079.
    """
    inch = [Turn(h * INCH, QUARTER, 0.032 * INCH) for h in (0.420, 1.050, 1.000)]
    reach = chain(tuple(inch), 0.050 * INCH, 0.0078 * 180 / math.pi)[-1].flat[1]
    assert 0.740 + reach / INCH == pytest.approx(2.973, abs=3 * 0.0005)


@pytest.mark.parametrize("way", ["on", "back"])
@pytest.mark.parametrize("up", [True, False])
def test_a_return_is_a_valid_solid_where_it_was_asked(way: str, up: bool) -> None:
    folded = fold(plate(), [flange(0, turned(20.0, way), up=up)], T)
    assert solid_of(folded) == pytest.approx(folded.volume, rel=1e-9)
    low, high = (
        getattr(folded.frame.to_frame(folded.mesh().vertices), how)(axis=0) for how in ("min", "max")
    )
    # outside heights: 40 from the outer face of the sheet, and 20 from that of the flange
    assert (high[2] if up else -low[2] - T) == pytest.approx(40.0 - T)
    beyond = 0.0 if way == "on" else -(20.0 - T)
    assert low[1] == pytest.approx(beyond, abs=1e-6)
    first, second = folded.bend_lines
    assert (first.up, second.up) == (up, up == (way == "on"))


def test_its_flat_pattern_is_the_sum_of_outside_lengths_less_deductions() -> None:
    """And its area that of the mid-surface where K is a half: then no bend stretches it."""
    ends, further = (np.array(BOX[0]), np.array(BOX[1])), (turned(30.0), turned(12.0, "back", 60.0))
    own = Flange("edge", *ends, 40.0, QUARTER, 4.0, T, 0.5, True, further)
    folded = fold(plate(), [own], T)
    deduction = [
        2 * (4.0 + T) * math.tan(a / 2) - a * (4.0 + 0.5 * T) for a in (QUARTER, QUARTER, math.pi / 3)
    ]
    assert folded.cut_extents[1] == pytest.approx(200.0 + 82.0 - sum(deduction), abs=1e-6)
    assert folded.cut_polygon.area == pytest.approx(folded.volume / T, rel=1e-6)
    assert solid_of(folded) == pytest.approx(folded.volume, rel=1e-9)


ONE_TURN = st.tuples(st.floats(40, 60), st.floats(10, 130), st.sampled_from(["on", "back"]))


@settings(max_examples=30, deadline=None)
@given(
    turns=st.lists(
        st.tuples(st.floats(40, 60), st.floats(10, 130), st.sampled_from(["on", "back"])),
        min_size=2,
        max_size=3,
    ),
    radius=st.one_of(st.just(0.0), st.floats(0.1, 6.0)),
    k=st.floats(0.2, 0.5),
)
def test_any_chain_keeps_its_metal(turns: list[tuple[float, float, str]], radius: float, k: float) -> None:
    """Flat area times thickness is the folded volume but for (K - 1/2) T of each bend (Pappus)."""
    own = [turned(h, way if i else "on", degrees, radius) for i, (h, degrees, way) in enumerate(turns)]
    if any(one.length < 0 for one in chain(tuple(own), T, k)):
        return
    first, *returns = own
    edge = Flange("edge", np.array(BOX[0]), np.array(BOX[1]), first.height, first.angle, radius, T, k, True,
                  tuple(returns))  # fmt: skip
    section = edge.section()
    flat = sum(one.length for one in edge.stretches)
    bends = sum(turn.angle for turn in own)
    assert section.area == pytest.approx(T * (flat + (0.5 - k) * T * bends), rel=1e-9)


def pan(
    gap: float, *returns: Turn, degrees: float = 90.0, corners: list[tuple[float, float]] = BOX
) -> FoldedPanel:
    own = [flange(i, *returns, corners=corners, degrees=degrees, gap=gap) for i in range(len(corners))]
    return fold(plate(corners), own, T)


def apart(one: Fold, other: Fold) -> float:
    """Least distance between the legs of two flanges by the kernel, mm."""
    flat = [[p for p in own.prisms(FACE) if not p.outline.bulges.any()] for own in (one, other)]
    pieces = [[prism_solid(prism) for prism in own] for own in flat]
    return min(float(BRepExtrema_DistShapeShape(a, b).Value()) for a in pieces[0] for b in pieces[1])


SIX = [(150 * math.cos(a), 150 * math.sin(a)) for a in np.arange(6) * math.pi / 3]


@pytest.mark.parametrize("gap", [0.0, 1.5])
@pytest.mark.parametrize("degrees", [60.0, 90.0, 110.0])
@pytest.mark.parametrize("corners", [BOX, SIX])
def test_mitred_legs_meet_with_the_gap_that_was_asked(
    gap: float, degrees: float, corners: list[tuple[float, float]]
) -> None:
    """Leaning out, upright and leaning in, at corners of 90 and of 120 degrees: measured by the kernel."""
    folded = pan(gap, degrees=degrees, corners=corners)
    assert apart(folded.folds[0], folded.folds[1]) == pytest.approx(gap, abs=1e-6)
    assert solid_of(folded) == pytest.approx(folded.volume, rel=1e-9)
    assert folded.cut_polygon.is_valid
    assert list(bend_findings(folded, Bending(punch=0.0), "mm")) == []


def test_returns_turned_in_are_mitred_at_half_the_corner() -> None:
    """Square corners: 45 degrees on the flat pattern; 3 mm apart when folded."""
    folded = pan(3.0, turned(25.0))
    angles = [math.degrees(cut.angle) for cut in folded.corner_cuts]
    assert angles == pytest.approx([45.0] * 8)
    assert apart(folded.folds[1], folded.folds[2]) == pytest.approx(3.0, abs=1e-6)
    assert solid_of(folded) == pytest.approx(folded.volume, rel=1e-9)
    # each return is 25 wide outside; between the outer faces of the flanges it loses a triangle at each end
    legs = [own for own in folded.folds[0].flange.stretches if own.is_leg]
    (low0, high0), (low1, high1) = folded.folds[0].ends(legs[1]).tolist()
    assert (low1 - low0, high0 - high1) == pytest.approx((legs[1].length,) * 2)


def test_a_notched_corner_stays_as_it_was() -> None:
    one, other = flange(0), flange(1, gap=0.0)
    assert not any(own.is_mitred for own in fold(plate(), [one, other], T).folds)


def test_mitres_that_leave_nothing_are_refused() -> None:
    with pytest.raises(FoldError, match="leave nothing"):
        pan(0.0, turned(110.0))


def hat(web: float, side: float, foot: float) -> FoldedPanel:
    strip = [(0.0, 0.0), (400.0, 0.0), (400.0, web), (0.0, web)]
    own = [flange(i, turned(foot, "back"), corners=strip, height=side) for i in (0, 2)]
    return fold(plate(strip), own, T)


def test_a_channel_deeper_than_it_is_wide_does_not_clear_a_straight_punch() -> None:
    """Bent to a right angle, a side as high as the web is wide just reaches the middle of the punch.

    With the web W and the side H its edge stands (W - H) cos 45 off that middle (drawn out by hand).
    """
    room = 6.35 / math.cos(math.pi / 4)
    for high, count in ((60.0 - room - 0.1, 0), (60.0 - room + 0.1, 1)):
        folded = hat(60.0, high, 20.0)
        found = list(bend_findings(folded, Bending(punch=12.7), "mm"))
        assert len(found) == count
        (across,) = sections_across(polygon_of(folded.base), folded.folds)
        assert across.best()[1] == pytest.approx((60.0 - high) * math.cos(math.pi / 4))
    assert "no order of its bends" in found[0].what
    assert found[0].short == pytest.approx(0.1 * math.cos(math.pi / 4), rel=1e-5)


def test_the_order_of_bends_starts_where_the_rest_can_follow() -> None:
    """A channel turned in on itself is begun at its edge: its flange is shorter than the sheet behind."""
    folded = fold(plate(), [flange(0, turned(20.0))], T)
    assert [line.step for line in folded.bend_lines] == [2, 1]
    assert folded.bend_lines[0].numbered("mm").startswith("bend 2 up 90 deg")


def test_a_return_that_curls_into_the_sheet_is_found() -> None:
    folded = fold(plate(), [flange(0, turned(60.0, degrees=130.0), height=30.0)], T)
    assert any("bent back into the piece" in f.what for f in bend_findings(folded, Bending(), "mm"))


def test_a_flange_longer_than_the_brake_counts_its_returns() -> None:
    """Returned outward and mitred, the second bend of a flange is the longer one."""
    out = pan(0.0, turned(30.0, "back"), degrees=45.0)
    longest = max(line.length for line in out.bend_lines)
    assert longest > out.folds[0].length + 1.0
    told = [f.what for f in bend_findings(out, Bending(brake=longest - 1.0), "mm") if "brake" in f.what]
    assert len(told) == 2
    assert f"{longest:.1f} mm long" in told[0]


def test_flat_patterns_of_mitred_flaps_do_not_lap() -> None:
    for degrees in (30.0, 60.0, 90.0):
        folded = pan(0.0, turned(30.0, "back", degrees), degrees=degrees)
        flaps = [own.flap(0.0) for own in folded.folds]
        assert all(flap.is_valid for flap in flaps)
        whole = shapely.union_all([polygon_of(folded.base), *flaps])
        assert whole.area == pytest.approx(
            polygon_of(folded.base).area + sum(f.area for f in flaps), rel=1e-6
        )
