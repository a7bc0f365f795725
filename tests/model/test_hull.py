"""The lofted hull and what it answers."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry import Array, Frame, Plane
from model.hull import Hull
from model.survey import SIDES
from tests.model.hull_samples import box, demo, measured, read, vee, waterlines, wigley

NAMES = ("lake16", "flat14", "vee18")
UP = (0.0, 0.0, 1.0)


def plane_area(points: Array, plane: Plane) -> float:
    """Area of a polygon in a plane by its vector area; positive if it turns about the normal."""
    turned = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) / 2.0
    return float(turned @ plane.normal)


@pytest.mark.parametrize("name", NAMES)
def test_the_skin_passes_through_every_measured_point(name: str) -> None:
    hull = demo(name)
    survey = hull.survey
    assert survey is not None
    count = 0
    for side in SIDES:
        for point in survey.side(side):
            x, y, z = survey.located(point, side, hull.leans)
            corners = hull.skins[side].section(x)
            assert np.hypot(*(corners - [y, z]).T).min() < 0.01, point.place
            sign = 1.0 if side == "port" else -1.0
            assert abs(float(hull.gap(np.array([[x, sign * y, z]]))[0])) < 0.01
            count += 1
    assert count >= 2 * 27


@pytest.mark.parametrize("name", NAMES)
def test_heights_rise_and_breadths_stay_positive_between_stations(name: str) -> None:
    hull = demo(name)
    for side in SIDES:
        section = hull.skins[side].section(np.linspace(*hull.span, 600))
        assert section[..., 0].min() >= 0.0
        assert np.diff(section[..., 1], axis=-1).min() >= -1e-9


@pytest.mark.parametrize("name", NAMES)
def test_end_stations_lie_in_the_planes_of_the_ends(name: str) -> None:
    hull = demo(name)
    survey = hull.survey
    assert survey is not None
    for station, end in ((survey.stations[0], hull.transom), (survey.stations[-1], hull.bow)):
        assert end is not None
        at = [survey.located(p, "port", hull.leans) for p in survey.section("port", station)]
        assert np.abs(end.height(np.array(at))).max() < 1e-6
    # The top of a raked transom stands aft of its foot by the rise times the tangent.
    rake = math.radians({"lake16": 12, "flat14": 10, "vee18": 14}[name])
    top, foot = survey.section("port", 0.0)[-1].height, survey.section("port", 0.0)[0].height
    assert survey.located(survey.section("port", 0.0)[-1], "port", hull.leans)[0] == pytest.approx(
        -(top - foot) * math.tan(rake)
    )


@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_breadth_bottom_and_gap_tell_of_one_skin(name: str, data: st.DataObject) -> None:
    hull = demo(name)
    side = data.draw(st.sampled_from(SIDES))
    sign = 1.0 if side == "port" else -1.0
    x = data.draw(st.floats(20.0, 3500.0))
    y = sign * data.draw(st.floats(1.0, 850.0))
    z = float(hull.bottom(x, y))
    if math.isnan(z):
        assert abs(y) > np.abs(hull.section(x, side)[:, 0]).max() - 1e-6
        return
    point = np.array([x, y, z])
    assert abs(float(hull.gap(point[None])[0])) < 1e-6
    normal = hull.normal_at(x, y)
    assert np.linalg.norm(normal) == pytest.approx(1.0)
    assert normal[2] <= 1e-9
    if name != "flat14" or z > hull.line("chine", x)[2] + 1e-3:
        assert float(hull.half_breadth(x, z, side)) == pytest.approx(abs(y), abs=1e-5)
        assert hull.normal(x, z, side) == pytest.approx(normal, abs=1e-3)
    inside = point - 0.5 * normal
    assert float(hull.gap(inside[None])[0]) == pytest.approx(0.5, abs=1e-4) or near_edge(hull, point)
    assert float(hull.gap((point + 0.5 * normal)[None])[0]) < 0.0


def near_edge(hull: Hull, point: Array) -> bool:
    """True within 5 mm of a line, where another panel may be the nearer one."""
    side = "port" if point[1] >= 0.0 else "starboard"
    lines = np.array([hull.line(line, point[0], side) for line in hull.lines])
    return bool(np.linalg.norm(lines - point, axis=1).min() < 5.0)


@pytest.mark.parametrize("name", NAMES)
def test_gap_is_the_least_distance_to_a_dense_skin(name: str) -> None:
    hull = demo(name)
    rng = np.random.default_rng(16)
    points = np.column_stack(
        [rng.uniform(0.0, hull.span[1], 40), rng.uniform(-900.0, 900.0, 40), rng.uniform(0.0, 900.0, 40)]
    )
    found = np.abs(hull.gap(points))
    x = np.linspace(*hull.span, 3000)
    section = hull.chain.at(x)
    run = np.diff(section, axis=1)
    for point, distance in zip(points, found, strict=True):
        low = section[:, :-1] - point[1:]
        t = -np.einsum("ijk,ijk->ij", low, run) / np.maximum(np.einsum("ijk,ijk->ij", run, run), 1e-12)
        off = low + np.clip(t, 0.0, 1.0)[..., None] * run
        dense = math.sqrt(float((np.einsum("ijk,ijk->ij", off, off).min(axis=1) + (x - point[0]) ** 2).min()))
        # Sections 1.8 mm apart miss the foot by up to 0.9 mm along the hull.
        assert distance <= dense + 1e-6
        assert distance == pytest.approx(dense, abs=max(0.02, 1.0 / max(dense, 1.0)))


def test_gap_to_flat_faces_of_a_box_and_its_corners() -> None:
    hull = box(4000.0, 1600.0, 500.0)
    points = np.array(
        [[2000.0, 0.0, 30.0], [2000.0, 790.0, 250.0], [2000.0, -790.0, 5.0], [2000.0, 803.0, -4.0]]
    )
    assert hull.gap(points) == pytest.approx([30.0, 10.0, 5.0, -5.0])
    # Above the gunwale the gunwale is nearest; with ends the transom counts.
    above = np.array([[2000.0, 797.0, 504.0], [7.0, 0.0, 100.0]])
    assert hull.gap(above) == pytest.approx([5.0, 100.0])
    assert hull.gap(above, ends=True) == pytest.approx([5.0, 7.0])
    assert list(hull.inside(np.array([[7.0, 0.0, 100.0], [9.0, 0.0, 100.0]]), 8.0)) == [False, True]


def test_answers_outside_are_nan() -> None:
    hull = demo("lake16")
    assert np.isnan(hull.half_breadth([-200.0, 1000.0, 1000.0, 5000.0], [400.0, 20.0, 900.0, 400.0])).all()
    assert np.isnan(hull.bottom([1000.0, 5000.0], [1000.0, 0.0])).all()
    assert np.isnan(hull.normal(1000.0, 900.0)).all()
    # Behind the raked transom low down, inside it higher up.
    assert np.isnan(hull.half_breadth(-60.0, 150.0))
    assert hull.half_breadth(-60.0, 600.0) > 700.0


def test_questions_broadcast() -> None:
    hull = demo("vee18")
    x, z = np.linspace(100.0, 4000.0, 7), np.linspace(350.0, 800.0, 5)
    table = hull.half_breadth(x[:, None], z, "starboard")
    assert table.shape == (7, 5)
    assert table[3, 2] == hull.half_breadth(x[3], z[2], "starboard")
    assert hull.normal(x[:, None], z).shape == (7, 5, 3)
    assert hull.bottom(x[:, None], np.array([-300.0, 0.0, 300.0])).shape == (7, 3)
    assert np.abs(table - hull.half_breadth(x[:, None], z, "port")).max() > 3.0


def test_a_flat_bottom_is_asked_for_its_outermost_point() -> None:
    hull = box(4000.0, 1600.0, 500.0)
    assert hull.half_breadth(1000.0, 0.0) == pytest.approx(800.0)
    assert hull.bottom(1000.0, [0.0, -500.0, 800.0]) == pytest.approx([0.0, 0.0, 0.0])
    assert hull.normal_at(1000.0, 300.0) == pytest.approx([0.0, 0.0, -1.0])
    assert hull.normal(1000.0, 300.0, "starboard") == pytest.approx([0.0, -1.0, 0.0])


def test_a_flat_keel_closes_on_the_centreline() -> None:
    rows = {x: [(50.0, 10.0), (400.0, 60.0), (450.0, 400.0)] for x in (0.0, 1000.0, 2000.0)}
    hull = measured(("keel", "chine", "gunwale"), rows)
    assert hull.bottom(700.0, [0.0, 49.0, -49.0]) == pytest.approx([10.0, 10.0, 10.0])
    assert hull.gap(np.array([[700.0, 0.0, 25.0]])) == pytest.approx([15.0])
    area = 2.0 * (50.0 * 0.0 + (50.0 + 400.0) / 2.0 * 50.0 + (400.0 + 450.0) / 2.0 * 340.0)
    assert hull.volume_below(Plane.through((0, 0, 400.0), UP)).volume == pytest.approx(area * 2000.0)


def test_a_chine_that_runs_out_rests_on_its_neighbours_chord() -> None:
    hull = demo("vee18")
    last = 168 * 25.4
    rest = 184 * 25.4
    for side in SIDES:
        skin = hull.skins[side]
        x = np.linspace(rest, hull.span[1], 50)
        low, middle, high = (skin.line(name, x) for name in ("chine", "upper chine", "gunwale"))
        chord = high - low
        off = chord[:, 0] * (middle - low)[:, 1] - chord[:, 1] * (middle - low)[:, 0]
        assert np.abs(off / np.hypot(*chord.T)).max() < 1e-9
        fraction = np.einsum("ij,ij->i", middle - low, chord) / np.einsum("ij,ij->i", chord, chord)
        assert np.ptp(fraction) < 1e-9
        # No step where it leaves its last measured point.
        step = skin.line("upper chine", last + 1e-6) - skin.line("upper chine", last - 1e-6)
        assert np.abs(step).max() < 1e-4


def test_stations_without_points_between_lines_take_their_bow_from_the_others() -> None:
    text = """
hull:
  lines: [keel, gunwale]
  stations:
    - {at: 0 mm, keel: [0, 0], gunwale: [0 mm, 1000 mm]}
    - {at: 1000 mm, keel: [0, 0], gunwale: [0 mm, 1000 mm], between: {keel>gunwale: [[40 mm, 500 mm]]}}
    - {at: 2000 mm, keel: [0, 0], gunwale: [0 mm, 1000 mm]}
    - {at: 3000 mm, keel: [0, 0], gunwale: [0 mm, 1000 mm], between: {keel>gunwale: [[20 mm, 500 mm]]}}
    - {at: 4000 mm, keel: [0, 0], gunwale: [0 mm, 1000 mm]}
"""
    hull, faults = read(text)
    assert hull is not None, faults
    at = hull.half_breadth(np.array([0.0, 1000.0, 2000.0, 3000.0, 4000.0]), 500.0)
    assert at == pytest.approx([40.0, 40.0, 30.0, 20.0, 20.0])
    # A single point bows the section as a parabola: three quarters of it at the quarters.
    assert hull.half_breadth(1000.0, np.array([250.0, 750.0])) == pytest.approx([30.0, 30.0], abs=1e-6)


def test_straight_loft_is_straight_between_stations() -> None:
    fair, straight = (
        waterlines(wigley(4000.0, 1000.0, 500.0), np.linspace(0, 4000, 6), np.linspace(0, 500, 4), straight=s)
        for s in (False, True)
    )
    x, z = 1200.0, 333.0
    at = straight.half_breadth(np.array([800.0, 1600.0]), z)
    assert straight.half_breadth(x, z) == pytest.approx(at.mean())
    assert fair.half_breadth(x, z) > at.mean() + 5.0


def test_points_with_their_own_x_give_the_rake() -> None:
    corners = [[0.0, 0.0], [400.0, 100.0], [500.0, 500.0]]
    rows = "\n".join(
        f"    - {{at: {x} mm, "
        + ", ".join(
            f"{name}: [{y} mm, {z} mm" + (f", {-0.2 * z} mm]" if x == 0 else "]")
            for name, (y, z) in zip(("keel", "chine", "gunwale"), corners, strict=True)
        )
        + "}"
        for x in (0, 1000, 2000, 3000)
    )
    hull, faults = read(f"hull:\n  lines: [keel, chine, gunwale]\n  stations:\n{rows}\n")
    assert hull is not None, faults
    assert math.atan2(-hull.transom.normal[2], -hull.transom.normal[0]) == pytest.approx(math.atan(0.2))
    assert hull.span[0] == pytest.approx(-100.0)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "normal",
    [
        UP,
        (-0.06, 0.0, 1.0),
        (0.03, 0.15, 1.0),
        (1.0, 0.0, 0.0),
        (-1.0, 0.1, 0.1),
        (1.0, 1.0, 0.0),
        (0.0, 1.0, 0.0),
    ],
)
def test_outlines_lie_on_plane_and_skin(name: str, normal: tuple[float, float, float]) -> None:
    hull = demo(name)
    plane = Plane.through((2500.0, 30.0, 450.0), normal)
    points = hull.plan_outline(plane)
    assert np.abs(plane.height(points)).max() < 1e-6
    assert plane_area(points, plane) > 1e5
    frame = Frame.make(points[0], points[1] - points[0], plane.normal)
    assert shapely.Polygon(frame.to_frame(points)[:, :2]).is_valid
    for end in hull.ends:
        assert end.height(points).max() < 1e-6
    # Every point lies on the skin, on an end, or on the straight line from gunwale to gunwale.
    on_end = np.abs(np.array([end.height(points) for end in hull.ends])).min(axis=0) < 1e-6
    top = np.array([hull.section(x, side)[-1, 1] for side in SIDES for x in points[:, 0]]).reshape(2, -1)
    on_top = points[:, 2] > top.min(axis=0) - 0.5
    assert np.abs(hull.gap(points[~on_end & ~on_top])).max(initial=0.0) < 0.01


def test_outline_of_a_box_inset_and_missed() -> None:
    hull = box(4000.0, 1600.0, 500.0)
    level = Frame.level(200.0)
    assert plane_area(hull.plan_outline(level), level.plane) == pytest.approx(4000.0 * 1600.0)
    inset = hull.plan_outline(level, inset=10.0)
    assert plane_area(inset, level.plane) == pytest.approx(3980.0 * 1580.0)
    assert inset.min(axis=0) == pytest.approx([10.0, -790.0, 200.0])
    across = Plane.through((1000.0, 0.0, 0.0), (1.0, 0.0, 0.0))
    assert plane_area(hull.plan_outline(across, 5.0), across) == pytest.approx(1590.0 * 490.0)
    for missed in (Plane.through((0, 0, 600), UP), Plane.through((4100, 0, 0), (1, 0, 0))):
        assert hull.plan_outline(missed).shape == (0, 3)
        assert hull.plan_outline(missed, 5.0).shape == (0, 3)
    assert hull.plan_outline(level, inset=900.0).shape == (0, 3)


def test_the_tip_of_a_waterline_is_where_the_keel_passes_through() -> None:
    hull = demo("lake16")
    plane = Plane.through((0.0, 0.0, 400.0), UP)
    tip = hull.plan_outline(plane)[:, 0].max()
    assert hull.line("keel", tip)[2] == pytest.approx(400.0, abs=0.01)


def test_posts_land_on_ribs_stringers_and_skin() -> None:
    hull = demo("lake16")
    rib = hull.ribs[2]
    assert rib.x == pytest.approx((12 + 2 * 16) * 25.4)
    on_rib = hull.support_under(rib.x + 10.0, 100.0)
    assert on_rib is not None
    assert (on_rib.kind, on_rib.name) == ("rib", "rib.3")
    assert on_rib.z == pytest.approx(float(hull.bottom(rib.x + 10.0, 100.0)) + 1.5 * 25.4)
    beside = hull.support_under(rib.x + 20.0, 100.0)
    assert beside is not None
    assert beside.kind == "skin"
    assert beside.normal[2] > 0.9
    # The stringer is the higher of the two where they cross; its top is level across.
    crossing = [hull.support_under(rib.x, -12 * 25.4 + off) for off in (-15.0, 15.0)]
    assert [s.name for s in crossing if s] == ["stringer.starboard"] * 2
    assert crossing[0] is not None
    assert crossing[1] is not None
    assert crossing[0].z == crossing[1].z
    # Ribs run from keel to chine only.
    up_the_side = hull.support_under(rib.x, float(hull.line("chine", rib.x)[1]) + 20.0)
    assert up_the_side is not None
    assert up_the_side.kind == "skin"
    assert hull.support_under(rib.x, 2000.0) is None


def test_the_unsymmetrical_hull_differs_by_some_millimetres() -> None:
    hull = demo("vee18")
    assert not hull.symmetrical
    x = np.linspace(0.0, hull.span[1], 200)
    difference = np.abs(hull.line("gunwale", x)[:, 1] + hull.line("gunwale", x, "starboard")[:, 1])
    assert 5.0 < difference.max() < 12.0
    assert demo("lake16").symmetrical


def test_a_vee_faces_along_its_deadrise() -> None:
    d = math.radians(15.0)
    hull = vee(5000.0, d, 250.0)
    assert hull.normal_at(2000.0, 300.0) == pytest.approx([0.0, math.sin(d), -math.cos(d)])
    assert hull.normal_at(2000.0, -300.0) == pytest.approx([0.0, -math.sin(d), -math.cos(d)])
