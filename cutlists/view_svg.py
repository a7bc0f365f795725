"""Pictures as SVG line drawings: one group a piece, named by its title element."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

import shapely

from cutlists.view_picture import INK, WEIGHTS, Label, Picture, Stroke
from model.geometry import Array

TINT = "#e9eff3"
FONT = "DejaVu Sans, Arial, Helvetica, sans-serif"


def svg_text(picture: Picture) -> str:
    """The picture as an SVG document; pieces are groups whose `<title>` is the piece's name.

    Lengths on paper are px; the attribute `data-px-per-mm` of the root gives the scale.
    """
    camera = picture.camera
    size = f'width="{camera.width}" height="{camera.height}" viewBox="0 0 {camera.width} {camera.height}"'
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} data-px-per-mm="{camera.scale:.6f}">\n'
        f"<title>{escape(f'{picture.title}: {camera.view.title}')}</title>\n"
        '<rect width="100%" height="100%" fill="#ffffff"/>\n'
    )
    body = _tint(picture)
    body += "".join(_layer(kind, picture.strokes) for kind in ("ghost", "hull", "crease", "outline"))
    notes = (
        f'<path class="notes" fill="none" stroke="{INK}" stroke-width="1.4" d="{_path(picture.notes)}"/>\n'
    )
    labels = "".join(_label(label) for label in picture.labels)
    return f"{head}{body}{notes}{labels}</svg>\n"


def _tint(picture: Picture) -> str:
    """What is seen through, as one pale area."""
    if not len(picture.ghost.faces):
        return ""
    # Whatever covers paper does so with a face toward the viewer.
    facing = picture.ghost.faces[picture.ghost.normals[:, 2] > 1e-6]
    corners = picture.camera.to_paper(picture.ghost.vertices)[facing]
    triangles = [triangle for triangle in map(shapely.Polygon, corners) if triangle.area > 1e-3]
    area = shapely.union_all(triangles).simplify(0.1)
    rings = [ring for part in getattr(area, "geoms", [area]) for ring in (part.exterior, *part.interiors)]
    path = "".join(f"{_path([shapely.get_coordinates(ring)[:-1]])}Z" for ring in rings)
    return f'<path class="tint" fill="{TINT}" fill-rule="evenodd" d="{path}"/>\n'


def _layer(kind: str, strokes: Iterable[Stroke]) -> str:
    own = [stroke for stroke in strokes if stroke.kind == kind]
    if not own:
        return ""
    paths = "".join(
        f"<g data-name={quoteattr(stroke.name)}><title>{escape(stroke.name)}</title>"
        f'<path d="{_path(stroke.lines)}"/></g>\n'
        for stroke in own
    )
    style = f'fill="none" stroke="{own[0].ink}" stroke-width="{WEIGHTS[kind]:g}"'
    return f'<g class="{kind}" {style} stroke-linecap="round" stroke-linejoin="round">\n{paths}</g>\n'


def _path(lines: Iterable[Array]) -> str:
    return "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in line.tolist()) for line in lines)


def _label(label: Label) -> str:
    weight = ' font-weight="bold"' if label.bold else ""
    return (
        f'<text x="{label.x:.1f}" y="{label.y:.1f}" font-family="{FONT}" font-size="{label.size:g}"{weight} '
        f'text-anchor="{label.anchor}" fill="{INK}">{escape(label.text)}</text>\n'
    )
