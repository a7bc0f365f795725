"""The strokes and fills that pictures of findings are made of, as SVG in pixels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import manifold3d
import numpy as np

from cutlists.scene import Colour, ScenePiece
from cutlists.view_camera import Camera
from cutlists.view_lines import chains, feature_edges, visible_spans
from cutlists.view_shapes import Shapes
from cutlists.view_svg import FONT
from model.geometry import Array
from model.mesh import Mesh

INK = "#1d2429"
FADED = "#b4bec6"
COLOURS = {"first": "#c8323f", "second": "#1f6aa5", "other": "#7a5ea8", "shown": "#e08a2c"}
"""Of what a finding is about; the first darker than the second in a copy in black and white."""

PLAIN = Colour("plain", 0.8, 0.8, 0.8)


@dataclass(frozen=True)
class Panel:
    """A part of the sheet with a picture of its own: its upper left corner and size, px."""

    name: str
    left: float
    top: float
    width: int
    height: int

    def framed(self, body: str, caption: str) -> str:
        """The picture clipped to the panel, with a thin border and a caption above."""
        clip = f'<clipPath id="{self.name}"><rect width="{self.width}" height="{self.height}"/></clipPath>'
        border = f'<rect width="{self.width}" height="{self.height}" fill="none" stroke="{FADED}"/>'
        head = text(caption, 0.0, -8.0, 13.0)
        inner = f'<g clip-path="url(#{self.name})">\n{body}</g>'
        return f'<g transform="translate({self.left} {self.top})">\n{clip}{inner}{border}{head}</g>\n'


def text(words: str, x: float, y: float, size: float = 14.0, fill: str = INK, bold: bool = False) -> str:
    """A line of lettering that begins at x, y."""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-family="{FONT}" font-size="{size:g}"{weight} '
        f'fill="{fill}">{escape(words)}</text>\n'
    )


def strokes(meshes: Sequence[Mesh], camera: Camera, ink: str, weight: float) -> str:
    """The edges of solids that hide each other, as one path."""
    pieces = [ScenePiece(str(k), ("x",), PLAIN, mesh) for k, mesh in enumerate(meshes) if len(mesh.faces)]
    if not pieces:
        return ""
    shapes = Shapes.seen(pieces, camera)
    spans = visible_spans(feature_edges(shapes), shapes, camera)
    lines = chains(camera.to_paper(spans.p), camera.to_paper(spans.q))
    return path(lines, f'fill="none" stroke="{ink}" stroke-width="{weight:g}" stroke-linejoin="round"')


def path(lines: Iterable[Array], style: str, closed: bool = False) -> str:
    """Polylines `(n, 2)` px as one path; nothing where there are none."""
    end = "Z" if closed else ""
    d = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in line.tolist()) + end for line in lines)
    return f'<path d="{d}" {style}/>\n' if d else ""


def area(section: manifold3d.CrossSection, camera: Camera, style: str) -> str:
    """An area in view coordinates (right, up), mm, as a filled path."""
    corner = np.array([camera.left, camera.top])
    rings = [camera.to_paper(np.asarray(ring) - corner) for ring in section.to_polygons()]
    return path(rings, f'fill-rule="nonzero" {style}', closed=True)


def seen(body: manifold3d.Manifold, camera: Camera) -> manifold3d.Manifold:
    """A solid in view coordinates: right, up, toward the viewer, mm, from the boat's origin."""
    return body.transform(np.column_stack([camera.view.axes, np.zeros(3)]))


def mesh_of(body: manifold3d.Manifold) -> Mesh:
    """A solid as a mesh."""
    made = body.to_mesh64()
    vertices = np.asarray(made.vert_properties, dtype=np.float64)[:, :3]
    return Mesh(vertices, np.asarray(made.tri_verts).astype(np.int64))


def ring(centre: Array, radius: float = 15.0) -> str:
    """A ring about a place on paper."""
    x, y = (float(v) for v in centre)
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="none" stroke="#ffffff" stroke-width="5"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="none" stroke="{INK}" stroke-width="1.8"/>\n'
    )


def scale_bar(camera: Camera, units: str) -> str:
    """A bar of a round length in the lower left corner."""
    inch = units in ("in", "ft")
    steps = [(25.4 * n, f'{n}"' if n < 12 else f"{n // 12} ft") for n in (1, 2, 6, 12, 24, 36)] if inch else [
        (float(n), f"{n} mm") for n in (20, 50, 100, 200, 500, 1000)
    ]  # fmt: skip
    length, words = min(steps, key=lambda step: abs(step[0] * camera.scale - 110.0))
    x, y, size = 14.0, camera.height - 16.0, length * camera.scale
    bar = np.array([[x, y - 5.0], [x, y], [x + size, y], [x + size, y - 5.0]])
    return path([bar], f'fill="none" stroke="{INK}" stroke-width="1.4"') + text(
        words, x + size + 8.0, y + 4.0, 13.0
    )
