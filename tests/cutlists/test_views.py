"""Pictures: what is seen held against shapely's areas and hits; the files read back."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from trimesh.triangles import points_to_barycentric

from cutlists.hull_lines import hull_lines
from cutlists.pictures import picture_files
from cutlists.scene import COLOURS, DECK, FIXTURE, FRAME, HULL, Colour, Scene, ScenePiece, scene_of
from cutlists.sharp_corners import sharp_loop
from cutlists.view_camera import PLAN, PROFILE, QUARTER, VIEWS, Camera, View
from cutlists.view_lines import Edges, chains, feature_edges, visible_spans
from cutlists.view_picture import picture
from cutlists.view_png import png_bytes
from cutlists.view_render import pixel_places
from cutlists.view_shapes import Shapes
from cutlists.view_svg import svg_text
from model.boat import Boat, load_boat
from model.geometry import Frame
from model.prism import Prism
from parts.outline import Loop

SVG = "{http://www.w3.org/2000/svg}"


def box(
    name: str, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float], colour: Colour = FRAME
) -> ScenePiece:
    middle = ((x[0] + x[1]) / 2, (y[0] + y[1]) / 2)
    loop = Loop.rectangle(x[1] - x[0], y[1] - y[0], centre=middle)
    return ScenePiece(name, ("members",), colour, Prism(Frame.level(0.0), loop, (), *z).mesh())


def crowd(count: int = 30) -> list[ScenePiece]:
    """Boxes thrown about, some inside others."""
    draw = np.random.default_rng(3)
    found = []
    for k in range(count):
        low = draw.uniform([0, -800, 0], [3800, 500, 500])
        high = low + draw.uniform(20, 400, 3)
        found.append(box(f"box.{k}", *zip(low, high, strict=True)))
    return found


def shapes(pieces: list[ScenePiece], view: View) -> tuple[Shapes, Camera]:
    camera = Camera.fit(view, np.concatenate([piece.mesh.vertices for piece in pieces]))
    return Shapes.seen(pieces, camera), camera


def lengths(spans: Edges) -> float:
    return float(np.linalg.norm((spans.q - spans.p)[:, :2], axis=1).sum())


def test_plan_shows_of_each_piece_what_shapely_leaves_of_it() -> None:
    pieces = [
        box("low", (0, 2000), (-500, 500), (0, 50)),
        box("middle", (300, 900), (-300, 800), (100, 150)),
        box("high", (600, 1500), (0, 300), (200, 220)),
    ]
    seen, camera = shapes(pieces, PLAN)
    ids = seen.first_hits(pixel_places(camera))
    counts = np.bincount(seen.piece[ids[ids >= 0]], minlength=3) / camera.scale**2
    low, middle, high = (shapely.box(*piece.mesh.box[:, :2].ravel()) for piece in pieces)
    wanted = [low - middle - high, middle - high, high]
    for area, left in zip(counts, wanted, strict=True):
        # A pixel is in or out by its centre: at most half a pixel along the outline.
        assert area == pytest.approx(left.area, abs=left.length / camera.scale / 2)


def metal_over(seen: Shapes, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For each meeting of a `(k, 3)` point's line of sight with a triangle: which point, and the depth there.

    Shapely finds the triangles, trimesh the place on them.
    """
    corners = seen.vertices[seen.faces]
    broad = np.abs(seen.normals[:, 2]) > 1e-9
    flat = corners[broad].copy()
    flat[..., 2] = 0.0
    rows, places = shapely.STRtree(shapely.polygons(flat[..., :2])).query(
        shapely.points(points[:, :2]), predicate="intersects"
    )
    ground = np.column_stack([points[rows, :2], np.zeros(len(rows))])
    shares = points_to_barycentric(flat[places], ground)
    return rows, (shares * corners[broad][places, :, 2]).sum(axis=1)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_first_hits_and_depth_agree_with_shapely(view: View) -> None:
    seen, camera = shapes(crowd(), view)
    draw = np.random.default_rng(5)
    flat = draw.uniform([0, -camera.height / camera.scale], [camera.width / camera.scale, 0], (1500, 2))
    ids = seen.first_hits(flat)
    top = np.full(len(flat), -np.inf)
    np.maximum.at(top, *metal_over(seen, np.column_stack([flat, np.zeros(len(flat))])))
    hit = ids >= 0
    assert np.array_equal(hit, np.isfinite(top))
    assert 100 < hit.sum() < 1500
    assert seen.depth(flat[hit], ids[hit]) == pytest.approx(top[hit], abs=0.05)
    far = seen.first_hits(flat, from_behind=True)
    low = np.full(len(flat), np.inf)
    np.minimum.at(low, *metal_over(seen, np.column_stack([flat, np.zeros(len(flat))])))
    assert seen.depth(flat[hit], far[hit]) == pytest.approx(low[hit], abs=0.05)


def test_a_line_is_cut_where_a_box_in_front_begins_and_ends() -> None:
    pieces = [box("bar", (0, 2000), (-10, 10), (0, 20)), box("cover", (700, 1100), (-100, 100), (300, 320))]
    seen, camera = shapes(pieces, PLAN)
    spans = visible_spans(feature_edges(seen), seen, camera)
    ends = np.concatenate([spans.p, spans.q])[np.tile(spans.piece == 0, 2)]
    stations = np.unique(np.round(ends[:, 0] + camera.left, 0))
    near = 1.0 / 8 / camera.scale  # the bisection stops at 1/16 px
    assert stations == pytest.approx([0, 700, 1100, 2000], abs=near + 0.5)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_visible_spans_are_all_that_shapely_finds_clear(view: View) -> None:
    seen, camera = shapes(crowd(18), view)
    edges = feature_edges(seen)
    spans = visible_spans(edges, seen, camera)
    # Points along every edge, each just beside it on a face toward the viewer: seen if no metal is before it.
    rows = np.repeat(np.arange(len(edges.p)), 40)
    t = np.tile((np.arange(40) + 0.5) / 40, len(edges.p))[:, None]
    size = np.linalg.norm((edges.q - edges.p)[:, :2], axis=1)
    clear = np.zeros(len(rows), dtype=bool)
    for side in (0, 1):
        asked = np.flatnonzero(edges.beside[rows, side].any(axis=1))
        step = edges.beside[rows[asked], side]
        points = edges.p[rows[asked]] + t[asked] * (edges.q - edges.p)[rows[asked]] + step
        which, depth = metal_over(seen, points)
        blocked = np.zeros(len(points), dtype=bool)
        blocked[which[depth > points[which, 2] + 0.3]] = True
        clear[asked[~blocked]] = True
    wanted = float((clear * size[rows] / 40).sum())
    assert 0.2 * size.sum() < wanted < 0.97 * size.sum()
    # A piece of an edge counts whole or not at all in `wanted`, so each end errs by half a piece at most.
    assert lengths(spans) == pytest.approx(wanted, rel=0.01)


def test_edges_of_a_box_and_of_a_round_bar() -> None:
    seen, _ = shapes([box("box", (0, 300), (0, 200), (0, 100))], QUARTER)
    edges = feature_edges(seen)
    assert len(edges.p) == 9  # twelve, three of them behind
    assert edges.outline.sum() == 6
    assert len(feature_edges(shapes([box("box", (0, 300), (0, 200), (0, 100))], PLAN)[0]).p) == 4
    bar = ScenePiece(
        "bar", ("members",), FRAME, Prism(Frame.level(0.0), Loop.circle(60.0), (), 0, 500).mesh()
    )
    seen, camera = shapes([bar], PROFILE)
    upright = feature_edges(seen)
    upright = upright.chosen(np.abs(upright.p - upright.q)[:, 1] > 100)
    assert len(upright.p) == 2  # the two sides of its outline and no line between facets
    assert sorted(upright.p[:, 0] + camera.left) == pytest.approx([-30, 30], abs=0.06)


def test_flush_neighbours_hide_what_lies_under_them() -> None:
    post = box("post", (100, 125), (0, 25), (0, 300))
    beam = box("beam", (100, 125), (-300, 300), (300, 340))
    seen, camera = shapes([post, beam], PLAN)
    spans = visible_spans(feature_edges(seen), seen, camera)
    assert set(spans.piece.tolist()) == {1}


def test_chains_join_segments_and_draw_each_once() -> None:
    corners = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [0.0, 5.0]])
    p, q = corners, np.roll(corners, -1, axis=0)
    rings = chains(np.concatenate([p, q]), np.concatenate([q, p]))
    assert len(rings) == 1
    assert len(rings[0]) == 5
    assert shapely.LinearRing(rings[0]).length == pytest.approx(30.0)


def test_sharp_loop_is_the_square_round_a_rounded_one() -> None:
    loop = sharp_loop(Loop.rectangle(50.0, 25.0, 3.0))
    assert loop.area == pytest.approx(50.0 * 25.0)
    assert len(loop.points) == 4
    circle = Loop.circle(20.0)
    assert sharp_loop(circle) is circle


def small_scene() -> Scene:
    pieces = [
        ScenePiece("hull", ("hull",), HULL, box("", (0, 3000), (-700, 700), (0, 500)).mesh),
        box("deck.front/beam.<1>", (500, 525), (-600, 600), (300, 350)),
        box("deck.front/beam.2", (1500, 1525), (-600, 600), (300, 350)),
        box("seat", (2000, 2400), (-200, 200), (300, 500), FIXTURE),
    ]
    return Scene("Trial & error", tuple(pieces))


def numbers(paths: Iterable[ElementTree.Element]) -> np.ndarray:
    text = " ".join(path.attrib["d"] for path in paths)
    for letter in "MLZ":
        text = text.replace(letter, " ")
    return np.array([float(part) for part in text.split()]).reshape(-1, 2)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_svg_names_every_piece_and_keeps_its_scale(view: View) -> None:
    scene = small_scene()
    root = ElementTree.fromstring(svg_text(picture(scene, view, "Frame")))
    assert root.tag == f"{SVG}svg"
    assert float(root.attrib["width"]) == 1600
    groups = [group for group in root.iter(f"{SVG}g") if "data-name" in group.attrib]
    titles = {group.find(f"{SVG}title").text for group in groups}  # type: ignore[union-attr]
    assert titles == {piece.name for piece in scene.pieces}
    drawn = numbers(path for group in groups for path in group.iter(f"{SVG}path"))
    flat = scene.points @ view.axes[:2].T
    size = np.ptp(drawn, axis=0) / float(root.attrib["data-px-per-mm"])
    assert size == pytest.approx(np.ptp(flat, axis=0), abs=0.2)
    letters = {text.text for text in root.iter(f"{SVG}text")}
    assert {"Frame", view.title, "bow"} <= letters


def test_ghosts_hide_nothing_and_solids_hide_ghosts() -> None:
    scene = small_scene()
    shown = picture(scene, PROFILE, "Frame")
    assert {stroke.name for stroke in shown.strokes} >= {"seat", "deck.front/beam.2"}
    solid = Scene(scene.title, tuple(ScenePiece(p.name, p.path, DECK, p.mesh) for p in scene.pieces))
    hidden = picture(solid, PROFILE, "Frame")
    assert {stroke.name for stroke in hidden.strokes} == {"hull"}


def test_png_reads_back_and_repeats_itself() -> None:
    shown = picture(small_scene(), QUARTER, "Frame", width=800)
    data = png_bytes(shown)
    assert png_bytes(shown) == data
    image = Image.open(io.BytesIO(data))
    assert image.size == (800, shown.camera.height)
    field = np.asarray(image.convert("RGB")).astype(int)
    assert (field[0] == 255).all()
    flat = shown.camera.to_paper(shown.camera.to_view(np.array([2200.0, 0.0, 500.0])))
    red, green, blue = field[int(flat[1]), int(flat[0])]
    assert red < 0.7 * green  # the top of the seat is in its own colour, under a see-through hull
    assert abs(int(green) - int(blue)) < 30


def test_neighbouring_groups_differ_in_grey() -> None:
    # Rec. 709 luma of the coded shares, as a grey printer or copier weighs them.
    grey = sorted(float(colour.rgb @ [0.2126, 0.7152, 0.0722]) for colour in COLOURS if colour is not HULL)
    assert min(np.diff(grey)) > 0.05


def test_an_empty_scene_is_refused() -> None:
    with pytest.raises(ValueError, match="points"):
        picture(Scene("Nothing", ()), PLAN, "Nothing")


@pytest.fixture(scope="module")
def boat() -> Boat:
    return load_boat(Path(__file__).parents[2] / "configs" / "lake16.yaml")


def test_the_hulls_lines_lie_on_its_skin_inside_its_ends(boat: Boat) -> None:
    lines = list(hull_lines(boat.hull))
    names = [line.name for line in lines]
    assert len(set(names)) == len(names)
    assert {"keel", "chine.port", "chine.starboard", "gunwale.port", "transom"} <= set(names)
    for line in lines:
        for end in boat.hull.ends:
            assert end.height(line.points).max() < 1e-6
        if line.name not in ("transom", "bow"):
            # Between the points that lines are drawn through the skin may bow by a little.
            assert np.abs(boat.hull.gap(line.points)).max() < 0.5


def test_the_set_of_pictures(boat: Boat) -> None:
    files = dict(picture_files(scene_of(boat), boat, width=400))
    parts, kinds = ("frame", "finished"), ("svg", "png")
    assert set(files) == {f"{part}-{view.name}.{kind}" for part in parts for view in VIEWS for kind in kinds}
    for name, data in files.items():
        if name.endswith(".png"):
            assert np.asarray(Image.open(io.BytesIO(data))).std() > 5
    groups = ElementTree.fromstring(files["frame-plan.svg"]).iter(f"{SVG}g")
    drawn = {group.attrib["data-name"] for group in groups if "data-name" in group.attrib}
    members = {member.name for member in boat.members}
    tops = {name for name in members if ("ledger" in name or "rim" in name) and "/post." not in name}
    # Nothing but the frame and the hull, and of the frame all that lies on top of it.
    assert drawn <= members | {line.name for line in hull_lines(boat.hull)}
    assert len(tops & drawn) > 0.9 * len(tops)
    assert "deck.front" not in drawn
