"""Strips laid flat against published and textbook patterns; their solids against trimesh."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from model.develop import Flattening, flatten
from model.geometry import Array
from model.rulings import developable_rulings
from model.strip import Strip
from parts.alloy import Alloy, Strength
from parts.sheet import Sheet

NONE = Strength(0.0, "not used here")
SHEET = Sheet("3 mm", 3.0, Alloy("plain", "sheet", 2700.0, 7e4, 2.7e4, NONE, NONE, (), {}), ((1219, 2438),))


def ring(radius: float, height: float, turn: Array) -> Array:
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), np.full_like(turn, height)], axis=1)


def circle_through(points: Array) -> tuple[Array, float]:
    """Centre and radius of the circle fitted to `(n, 2)` points by linear least squares."""
    left = np.column_stack([2 * points, np.ones(len(points))])
    x, y, rest = np.linalg.lstsq(left, (points**2).sum(axis=1), rcond=None)[0]
    return np.array([x, y]), float(np.sqrt(rest + x**2 + y**2))


def sector_angle(points: Array) -> float:
    """Angle walked by points on a circle, degrees."""
    centre, _ = circle_through(points)
    turn = np.unwrap(np.arctan2(*(points - centre).T[::-1]))
    return abs(float(np.degrees(turn[-1] - turn[0])))


def frustum(lower: float, upper: float, height: float, steps: int = 720) -> tuple[Array, Array]:
    turn = np.linspace(0, 2 * np.pi, steps + 1)
    return ring(lower, 0.0, turn), ring(upper, height, turn)


def test_frustum_of_diameters_5_and_8_height_4() -> None:
    """ceemrr.com/Geometry2/DrawingsNets/DrawingsNets6.html, the net of a frustum: 7.12, 11.39, 126.4 deg."""
    flat = flatten(*frustum(4.0, 2.5, 4.0))
    assert circle_through(flat.a)[1] == pytest.approx(11.3920, abs=2e-4)
    assert circle_through(flat.b)[1] == pytest.approx(7.1200, abs=2e-4)
    assert sector_angle(flat.a) == pytest.approx(126.4044, abs=1e-3)
    assert flat.error < 1e-9


def test_frustum_of_the_sheet_metal_drafting_problem() -> None:
    """Book "Sheet Metal Drafting" p. 128: diameters 3 and 6 in, height 3; closed form area pi (r + R) s."""
    lower, upper = frustum(3 * 25.4, 1.5 * 25.4, 3 * 25.4)
    strip = Strip("cone", lower, upper, SHEET)
    assert circle_through(strip.flattening.a)[1] / 25.4 == pytest.approx(6.708204, rel=2e-5)
    assert circle_through(strip.flattening.b)[1] / 25.4 == pytest.approx(3.354102, rel=2e-5)
    assert sector_angle(strip.flattening.a) == pytest.approx(160.997, abs=2e-3)
    assert strip.area / 25.4**2 == pytest.approx(47.4175, rel=2e-5)


def test_full_cone_of_base_5_and_slant_12() -> None:
    """Same book p. 82: area 94.248 in2, base diameter 5 in, slant 12 in; sector 75 deg."""
    turn = np.linspace(0, 2 * np.pi, 721)
    height = np.sqrt(12**2 - 2.5**2)
    base, tip = ring(2.5, 0, turn) * 25.4, np.tile([0, 0, height * 25.4], (721, 1))
    strip = Strip("cone", base, tip, SHEET)
    assert strip.area / 25.4**2 == pytest.approx(94.248, rel=2e-5)
    assert sector_angle(strip.flattening.a) == pytest.approx(75.0, abs=1e-3)
    assert np.ptp(strip.flattening.b, axis=0).max() < 1e-9


def test_right_angled_cone() -> None:
    """A 90 deg point opens to 254.6 deg: www.anvilfire.com/21centbs/math/cones1.htm."""
    turn = np.linspace(0, 2 * np.pi, 721)
    assert sector_angle(flatten(ring(100, 0, turn), np.tile([0, 0, 100.0], (721, 1))).a) == pytest.approx(
        254.6, abs=0.05
    )


@pytest.mark.parametrize("tilt", [20.0, 45.0])
def test_obliquely_cut_cylinder(tilt: float) -> None:
    """Apostol and Mnatsakanian, "Unwrapping curves from cylinders and cones": r tan(b) sin(x / r).

    At 45 deg and r = 1 the edge is as long as the ellipse 1 by sqrt 2: 7.640396.
    """
    turn = np.linspace(0, 2 * np.pi, 1441)
    foot = ring(1.0, -3.0, turn)
    cut = foot.copy()
    cut[:, 2] = np.tan(np.radians(tilt)) * np.sin(turn)
    flat = flatten(foot, cut)
    x, y = (flat.b - flat.a[0]).T
    assert np.abs(y - 3.0 - np.tan(np.radians(tilt)) * np.sin(x)).max() < 2e-5
    assert flat.error < 1e-11
    if tilt == 45.0:
        assert np.hypot(*np.diff(flat.b, axis=0).T).sum() == pytest.approx(7.640396, abs=1e-5)


def test_tangent_surface_of_a_helix() -> None:
    """The flat edge of regression has radius (a^2 + c^2) / a: 125 for a 100, c 50.

    Differential geometry, from memory. By t along its tangents the flat edge lies at sqrt(125^2 + t^2)
    from the same centre; on the edge of regression itself the quads have no height to measure by.
    """
    turn = np.linspace(0, 2.5, 1001)
    helix = np.stack([100 * np.cos(turn), 100 * np.sin(turn), 50 * turn], axis=1)
    along = np.stack([-100 * np.sin(turn), 100 * np.cos(turn), np.full_like(turn, 50)], axis=1)
    along /= np.sqrt(100**2 + 50**2)
    flat = flatten(helix + 40 * along, helix + 160 * along)
    centre, near = circle_through(flat.a)
    assert near == pytest.approx(np.hypot(125, 40), abs=1e-3)
    assert np.hypot(*(flat.b - centre).T) == pytest.approx(np.hypot(125, 160), abs=2e-3)
    assert np.sqrt(near**2 - 40**2) == pytest.approx(125.0, abs=1e-3)


def isometry_errors(a: Array, b: Array, flat: Flattening) -> float:
    """Greatest change of a chord, ruling or area between the surface and its flat pattern."""
    chords = [np.linalg.norm(np.diff(e, axis=0), axis=1) for e in (a, b, flat.a, flat.b)]
    found = max(
        np.abs(chords[0] - chords[2]).max(),
        np.abs(chords[1] - chords[3]).max(),
        np.abs(np.linalg.norm(a - b, axis=1) - np.linalg.norm(flat.a - flat.b, axis=1)).max(),
    )
    return float(found)


def test_lengths_are_kept_by_any_cone() -> None:
    """What any development keeps: both edges and every ruling; here over an uneven oblique cone."""
    turn = np.sort(np.random.default_rng(3).uniform(0, 3.0, 80))
    a = np.stack([900 * np.cos(turn), 500 * np.sin(turn), 80 * turn], axis=1)
    tip = np.array([200.0, -100.0, 1500.0])
    b = tip + (a - tip) * (0.4 + 0.1 * np.sin(2 * turn))[:, None]
    flat = flatten(a, b)
    assert isometry_errors(a, b, flat) < 1e-9
    assert flat.error < 1e-9


def test_twist_is_the_gap_of_the_diagonals() -> None:
    """A square lifted at one corner by h: folded on one diagonal the other grows as by Pythagoras."""
    h = 20.0
    a, b = np.array([[0, 0, 0], [100, 0, 0.0]]), np.array([[0, 100, 0], [100, 100, h]])
    flat = flatten(a, b)
    side, rise = np.hypot(100, h), np.sqrt(2e4 + h**2)
    half = np.sqrt(2e4) / 2  # folded over the diagonal that stays 141.42 long
    spread = np.sqrt(100**2 - half**2) + np.sqrt(side**2 - half**2)
    assert spread - rise > 0.1
    assert flat.twist >= spread - rise - 1e-9
    assert flat.twist < 2 * (spread - rise)


def test_bend_is_the_angle_rolled() -> None:
    """A quarter of a cylinder seen from outside turns 90 deg, less the half steps at its two ends."""
    turn = np.linspace(0, np.pi / 2, 91)
    strip = Strip("quarter", ring(300, 0, turn), ring(300, 200, turn), SHEET)
    assert np.degrees(strip.bend) == pytest.approx(89.0)
    assert np.degrees(strip.turned_over().bend) == pytest.approx(-89.0)


def test_strip_running_to_a_point_at_both_ends() -> None:
    x = np.linspace(0, 1000, 41)
    bulge = 120 * np.sin(np.pi * x / 1000)
    a = np.stack([x, -bulge, 0 * x], axis=1)
    b = np.stack([x, bulge, 0 * x], axis=1)
    strip = Strip("leaf", a, b, SHEET)
    found = judged(strip)
    assert strip.flattening.error < 1e-6
    assert strip.area == pytest.approx(2 * np.trapezoid(bulge, x), rel=1e-3)
    assert found.volume == pytest.approx(3 * 2 * np.trapezoid(bulge, x), rel=1e-9)


def judged(strip: Strip) -> trimesh.Trimesh:
    mesh = strip.mesh()
    found = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert found.is_watertight
    assert found.is_winding_consistent
    return found


@pytest.mark.parametrize("kind", ["frustum", "cone", "twisted", "flat"])
def test_solids_are_closed_and_weigh_about_area_times_thickness(kind: str) -> None:
    """Judge: trimesh. A sheet bent to radius R outside has volume A t (1 - t / 2R)."""
    turn = np.linspace(0, 2.0, 81)
    x = np.linspace(0, 2000, 60)
    edges = {
        "frustum": (ring(800, 0, turn), ring(500, 400, turn)),
        "cone": (ring(800, 0, turn), np.tile([0, 0, 900.0], (81, 1))),
        "twisted": (
            np.stack([x, 500 - 1e-4 * x**2, 0 * x], axis=1),
            np.stack([x, 700 - 1.4e-4 * x**2, 300 + 0.02 * x], axis=1),
        ),
        "flat": (np.stack([x, 0 * x, 0 * x], axis=1), np.stack([x, 0 * x + 200, 0 * x], axis=1)),
    }
    strip = Strip(kind, *edges[kind], SHEET)
    found = judged(strip)
    assert found.volume == pytest.approx(strip.volume, rel=4e-3)
    assert strip.mass == pytest.approx(strip.area * 3 * 2.7e-6)
    assert np.allclose(found.center_mass, strip.centre, atol=1e-6)
    if kind == "frustum":  # outside face: the metal lies on the inside, so less than area times thickness
        slant = np.hypot(300, 400)
        lean = 400 / slant
        assert found.volume / strip.volume == pytest.approx(1 - 1.5 * lean / 650, abs=2e-4)
        inside = judged(strip.turned_over())
        assert inside.volume / strip.volume == pytest.approx(1 + 1.5 * lean / 650, abs=2e-4)


def test_rulings_of_a_cone_found_from_its_edges_alone() -> None:
    """Every ruling of a cone runs to its tip; edges by share of length miss it, the search does not."""
    turn = np.linspace(0.2, 2.4, 301)
    a = np.stack([900 * np.cos(turn), 500 * np.sin(turn), 0 * turn], axis=1)
    tip = np.array([100.0, -50.0, 1600.0])
    b = tip + (a - tip) * (0.45 + 0.25 * np.sin(2 * turn))[:, None]

    def even(edge: Array) -> Array:
        share = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(edge, axis=0), axis=1))])
        return np.stack([np.interp(np.linspace(0, share[-1], 61), share, c) for c in edge.T], axis=1)

    def miss(p: Array, q: Array) -> float:
        along = (q - p) / np.linalg.norm(q - p, axis=1)[:, None]
        return float(np.linalg.norm(np.cross(tip - p, along), axis=1).max())

    blind = (even(a), even(b))
    found = developable_rulings(a, b, 61)
    assert miss(*blind) > 100
    assert miss(*found) < 10
    assert flatten(*found).twist < flatten(*blind).twist / 20


def test_rulings_run_forward_and_join_the_ends() -> None:
    x = np.linspace(0, 3000, 120)
    a = np.stack([x, 500 - 3e-5 * x**2, 1e-5 * x**2], axis=1)
    b = np.stack([x, 800 - 6e-5 * x**2, 350 + 3e-5 * x**2], axis=1)
    p, q = developable_rulings(a, b, 80)
    for edge, found in ((a, p), (b, q)):
        assert np.allclose(found[[0, -1]], edge[[0, -1]])
        assert (np.diff(found[:, 0]) > -1e-9).all()


def test_bad_edges_are_refused() -> None:
    line = np.zeros((4, 3))
    line[:, 0] = np.arange(4)
    with pytest.raises(ValueError, match="two edges"):
        Strip("s", line, line[:3], SHEET)
    with pytest.raises(ValueError, match="meet"):
        Strip("s", line, line + np.array([[1], [0], [1], [1]]) * (0, 5, 0), SHEET)
