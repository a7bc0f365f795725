"""One picture of a boat before it is written: strokes and lettering on paper, in pixels, down positive."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutlists.scene import Scene
from cutlists.view_camera import FOOT, MARGIN, Camera, View
from cutlists.view_lines import Edges, chains, feature_edges, visible_spans
from cutlists.view_shapes import Shapes
from model.geometry import FORWARD, Array

INK = "#1d2429"
"""Colour of solid pieces' lines and of the lettering."""
FAINT = "#7b8f9b"
"""Colour of the lines of what is seen through."""
WEIGHTS = {"outline": 1.5, "crease": 0.9, "ghost": 0.9, "hull": 1.3}
"""Line widths by kind of stroke, px."""


@dataclass(frozen=True, eq=False, slots=True)
class Stroke:
    """The visible lines of one piece: its name, their kind (see `WEIGHTS`), polylines `(n, 2)` in px."""

    name: str
    kind: str
    lines: tuple[Array, ...]

    @property
    def ink(self) -> str:
        """Its colour as `#rrggbb`."""
        return FAINT if self.kind in ("ghost", "hull") else INK

    @property
    def weight(self) -> float:
        """Its width, px."""
        return WEIGHTS[self.kind]


@dataclass(frozen=True, slots=True)
class Label:
    """A line of lettering: its baseline starts, is centred or ends (`anchor`) at x, y px; `size` in px."""

    text: str
    x: float
    y: float
    size: float = 15.0
    anchor: str = "start"
    bold: bool = False


@dataclass(frozen=True, eq=False)
class Picture:
    """Everything on one sheet: the camera, the shapes behind the shading, strokes, notes, lettering."""

    title: str
    camera: Camera
    solid: Shapes
    ghost: Shapes
    strokes: tuple[Stroke, ...]
    notes: tuple[Array, ...]
    labels: tuple[Label, ...]


def picture(scene: Scene, view: View, title: str, units: str = "mm", width: int = 1600) -> Picture:
    """The picture of `scene` from `view` with hidden lines removed.

    Args:
        scene: what to show; pieces with an opacity under 1 hide nothing.
        view: where from.
        title: lettering at the head.
        units: of the scale bar: "mm", "cm" or "m" for metres, "in" or "ft" for feet.
        width: px.

    Raises:
        ValueError: the scene is empty.
    """
    camera = Camera.fit(view, scene.points, width)
    solid = Shapes.seen([piece for piece in scene.pieces if not piece.is_ghost], camera)
    ghost = Shapes.seen([piece for piece in scene.pieces if piece.is_ghost], camera)
    notes, labels = _scale_bar(camera, units)
    arrow, bow = _bow_arrow(camera)
    head = (Label(title, MARGIN, 44.0, 24.0, bold=True), Label(view.title, MARGIN, 68.0, 15.0))
    return Picture(
        title,
        camera,
        solid,
        ghost,
        tuple(_strokes(scene, solid, ghost, camera)),
        (*notes, *arrow),
        (*head, *labels, *bow),
    )


def _strokes(scene: Scene, solid: Shapes, ghost: Shapes, camera: Camera) -> Iterator[Stroke]:
    """Strokes piece by piece, see-through pieces first so that the solid ones are drawn over them."""
    if ghost.pieces:
        if scene.lines:
            seen = [camera.to_view(line.points) for line in scene.lines]
            named = Edges.polylines(seen, list(range(len(seen))))
            names = [line.name for line in scene.lines]
            yield from _of_pieces(visible_spans(named, solid, camera), camera, names, "hull")
        else:
            names = [piece.name for piece in ghost.pieces]
            yield from _of_pieces(visible_spans(feature_edges(ghost), solid, camera), camera, names, "ghost")
    spans = visible_spans(feature_edges(solid), solid, camera)
    names = [piece.name for piece in solid.pieces]
    yield from _of_pieces(spans.chosen(~spans.outline), camera, names, "crease")
    yield from _of_pieces(spans.chosen(spans.outline), camera, names, "outline")


def _of_pieces(spans: Edges, camera: Camera, names: list[str], kind: str) -> Iterator[Stroke]:
    p, q = camera.to_paper(spans.p), camera.to_paper(spans.q)
    for number in np.unique(spans.piece):
        own = spans.piece == number
        lines = chains(p[own], q[own])
        if lines:
            yield Stroke(names[number], kind, tuple(lines))


def _scale_bar(camera: Camera, units: str) -> tuple[list[Array], list[Label]]:
    """A bar in the lower left corner with its length lettered above."""
    step, text = (304.8, "1 ft") if units in ("in", "ft") else (500.0, "0.5 m")
    if units in ("in", "ft") and step * camera.scale < 120:
        step, text = 914.4, "3 ft"
    elif step * camera.scale < 120:
        step, text = 1000.0, "1 m"
    length, y = step * camera.scale, camera.height - FOOT / 2
    bar = [np.array([[MARGIN, y], [MARGIN + length, y]])]
    bar += [np.array([[x, y - 6], [x, y + 6]]) for x in (MARGIN, MARGIN + length / 2, MARGIN + length)]
    return bar, [Label(text, MARGIN + length + 10, y + 5)]


def _bow_arrow(camera: Camera) -> tuple[list[Array], list[Label]]:
    """An arrow in the lower right corner along the boat's x, lettered."""
    way = (camera.view.axes @ FORWARD)[:2] * np.array([1.0, -1.0])
    size = float(np.linalg.norm(way))
    if size < 0.2:
        return [], []
    way /= size
    across = np.array([-way[1], way[0]])
    middle = np.array([camera.width - MARGIN - 36.0, camera.height - FOOT / 2])
    tip, tail = middle + 34.0 * way, middle - 34.0 * way
    barbs = [np.stack([tip, tip - 11.0 * way + side * 5.0 * across]) for side in (-1.0, 1.0)]
    x = middle[0] - 48.0
    return [np.stack([tail, tip]), *barbs], [Label("bow", x, camera.height - FOOT / 2 + 5, anchor="end")]
