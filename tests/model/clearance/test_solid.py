"""Gaps and overlaps of solids held against closed forms and against the CAD kernel."""

from __future__ import annotations

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from scipy.spatial.transform import Rotation

from model.clearance.nearest import between_edges, nearest_points, on_triangles
from model.clearance.solid import Solid, least_width
from model.geometry import Frame
from model.mesh import Mesh
from model.prism import Prism
from model.prism_solid import prism_solid
from parts.outline import Loop
from tests.model import kernel_measure

LIKE_KERNEL = 0.05
"""Agreement asked between a gap here and the kernel's, mm."""


def box_at(low: tuple[float, float, float], size: tuple[float, float, float], turn: float = 0.0) -> Prism:
    """A box from its low corner, turned about the boat's upright through the origin."""
    c, s = np.cos(turn), np.sin(turn)
    turned = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    frame = Frame(turned @ np.array(low), turned[:, 0], turned[:, 1], turned[:, 2])
    outline = Loop.rectangle(size[0], size[1], centre=(size[0] / 2, size[1] / 2))
    return Prism(frame, outline, (), 0.0, size[2])


def solid_of(prism: Prism) -> Solid:
    return Solid.of_mesh(prism.mesh(0.02))


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1])
@pytest.mark.parametrize(
    ("low", "gap"),
    [
        ((103.0, 0.0, 0.0), 3.0),  # face to face
        ((103.0, 54.0, 0.0), 5.0),  # edge to edge: 3-4-5
        ((102.0, 53.0, 36.0), 7.0),  # corner to corner: 2-3-6-7
        ((100.0, 0.0, 0.0), 0.0),  # touching
        ((99.0, 10.0, 10.0), 0.0),  # overlapping
    ],
)
def test_gap_of_two_boxes_is_the_closed_form(low: tuple, gap: float, turn: float) -> None:
    first = solid_of(box_at((0, 0, 0), (100.0, 50.0, 30.0), turn))
    second = solid_of(box_at(low, (40.0, 50.0, 30.0), turn))
    assert first.gap(second, 50.0) == pytest.approx(gap, abs=2e-3)
    assert second.gap(first, 50.0) == pytest.approx(gap, abs=2e-3)


@pytest.mark.parametrize("turn", [0.0, 0.3])
def test_touching_faces_share_no_metal(turn: float) -> None:
    first = solid_of(box_at((0, 0, 0), (100.0, 50.0, 30.0), turn))
    for low in (
        (100.0, 0.0, 0.0),
        (100.0, 20.0, 5.0),
        (0.0, 50.0, 0.0),
        (0.0, 0.0, 30.0),
        (20.0, 10.0, -30.0),
    ):
        assert first.shared_with(solid_of(box_at(low, (60.0, 30.0, 30.0), turn))) is None


@pytest.mark.parametrize("turn", [0.0, 0.3])
def test_overlap_of_two_boxes_is_the_closed_form(turn: float) -> None:
    first = solid_of(box_at((0, 0, 0), (100.0, 50.0, 30.0), turn))
    shared = first.shared_with(solid_of(box_at((96.0, 40.0, 25.0), (60.0, 60.0, 60.0), turn)))
    assert shared is not None
    assert shared.volume == pytest.approx(4.0 * 10.0 * 5.0, rel=1e-6)
    assert shared.depth == pytest.approx(4.0, abs=1e-6)
    assert abs(shared.way @ [np.cos(turn), np.sin(turn), 0.0]) == pytest.approx(1.0)


def test_a_post_through_a_sheet_shares_the_thickness_of_the_sheet() -> None:
    sheet = solid_of(box_at((0, 0, 0), (800.0, 600.0, 2.286)))
    post = solid_of(box_at((300.0, 300.0, -200.0), (25.4, 50.8, 400.0)))
    shared = sheet.shared_with(post)
    assert shared is not None
    assert shared.depth == pytest.approx(2.286, abs=1e-6)
    assert shared.volume == pytest.approx(2.286 * 25.4 * 50.8)


def test_a_piece_inside_another_is_an_overlap() -> None:
    shared = solid_of(box_at((0, 0, 0), (100.0, 100.0, 100.0))).shared_with(
        solid_of(box_at((40.0, 40.0, 40.0), (5.0, 10.0, 20.0)))
    )
    assert shared is not None
    assert shared.depth == pytest.approx(5.0)


def test_a_piece_in_a_hole_keeps_its_distance_from_the_rim() -> None:
    plate = Prism(Frame.level(0.0), Loop.rectangle(200.0, 200.0), (Loop.circle(80.0),), 0.0, 5.0)
    rod = Prism(Frame.level(-50.0, x=10.0), Loop.circle(40.0), (), 0.0, 100.0)
    assert solid_of(plate).gap(solid_of(rod), 50.0) == pytest.approx(40.0 - 10.0 - 20.0, abs=LIKE_KERNEL)


def test_least_width_of_known_bodies() -> None:
    tetrahedron = np.array([[1.0, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]])
    edge = np.sqrt(8.0)  # widths of a regular tetrahedron: its least is edge / sqrt 2, between opposite edges
    assert least_width(tetrahedron)[0] == pytest.approx(edge / np.sqrt(2.0))
    octahedron = np.vstack([np.eye(3), -np.eye(3)])
    assert least_width(octahedron)[0] == pytest.approx(2.0 / np.sqrt(3.0))  # between opposite faces
    flat = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]])
    assert least_width(flat)[0] == 0.0


def test_an_open_mesh_is_refused() -> None:
    whole = box_at((0, 0, 0), (1.0, 1.0, 1.0)).mesh()
    with pytest.raises(ValueError, match="bounds no solid"):
        Solid.of_mesh(Mesh(whole.vertices, whole.faces[:-1]))
    with pytest.raises(ValueError, match="empty"):
        Solid.of_mesh(Mesh.empty())


def random_prism(rng: np.random.Generator) -> Prism:
    """A convex prism of 3 to 9 corners, flat or long, turned any way."""
    angles = np.sort(rng.uniform(0.0, 2 * np.pi, rng.integers(3, 10)))
    while np.ptp(angles) < np.pi or np.diff(angles).min() < 0.1:
        angles = np.sort(rng.uniform(0.0, 2 * np.pi, rng.integers(3, 10)))
    radius = rng.choice([15.0, 60.0, 250.0])
    turned = Rotation.random(random_state=rng).as_matrix()
    frame = Frame(rng.uniform(-150.0, 150.0, 3) + 2000.0, turned[:, 0], turned[:, 1], turned[:, 2])
    outline = Loop.polygon(radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    return Prism(frame, outline, (), 0.0, float(rng.choice([2.3, 25.4, 400.0])))


def test_random_prisms_against_the_kernel() -> None:
    """BRepExtrema's distance and, where they overlap, the kernel's common solid, on 60 pairs."""
    rng = np.random.default_rng(7)
    apart = overlaps = 0
    for _ in range(60):
        one, other = random_prism(rng), random_prism(rng)
        shapes = [prism_solid(p) for p in (one, other)]
        judge = BRepExtrema_DistShapeShape(*shapes)
        first, second = solid_of(one), solid_of(other)
        gap = first.gap(second, 1e4)
        assert gap == pytest.approx(judge.Value(), abs=LIKE_KERNEL)
        shared = first.shared_with(second) if gap < 1e-3 else None
        if shared is None:
            apart += 1
            points = nearest_points(first.mesh, second.mesh, gap)
            assert np.linalg.norm(points[1] - points[0]) == pytest.approx(gap, abs=1e-6)
        else:
            overlaps += 1
            common = BRepAlgoAPI_Common(*shapes).Shape()
            volume, _ = kernel_measure.volume_and_centre(common)
            assert shared.volume == pytest.approx(volume, rel=1e-6)
    assert apart > 20
    assert overlaps > 10


def test_nearest_points_of_skew_edges() -> None:
    one = np.array([[0.0, 0, 0], [10.0, 0, 0]])
    other = np.array([[5.0, -5, 3.0], [5.0, 5, 3.0]])
    p, q = between_edges(one, other)
    np.testing.assert_allclose(p, [5, 0, 0])
    np.testing.assert_allclose(q, [5, 0, 3])
    beyond = np.array([[14.0, 3, 0], [20.0, 3, 0]])  # parallel, past the end: 4-3-5
    p, q = between_edges(one, beyond)
    assert np.linalg.norm(p - q) == pytest.approx(5.0)


def test_foot_on_a_triangle() -> None:
    triangle = np.array([[0.0, 0, 0], [10.0, 0, 0], [0.0, 10, 0]])
    points = np.array([[2.0, 2, 5], [5.0, -3, 4], [-3.0, -4, 0], [10.0, 10, 0]])
    feet = on_triangles(points, triangle[None])
    np.testing.assert_allclose(feet, [[2, 2, 0], [5, 0, 0], [0, 0, 0], [5, 5, 0]])
