"""The whole deck from above with every groove, and the upright faces unfolded below it at the same scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutlists.hull_lines import hull_lines
from cutlists.mats.draw import METAL, NOTE, area_path, drawn_piece, line_path, page, text
from model.geometry import UP, Array
from model.mat.build import Matting
from model.mat.piece import MatPiece
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

WIDTH = 1600.0
_MARGIN = 40.0
_HEAD = 74.0
_GAP = 34.0  # between drawings of upright faces, px
_FLAT = 0.3  # sine of the steepest slope that is still drawn in plan


def deck_picture(boat: Boat, matting: Matting) -> str:
    """The SVG document: bow to the right, port up; upright faces as seen from before them."""
    lines = [line.points for line in hull_lines(boat.hull) if not line.name.startswith("section")]
    low, high = (getattr(np.vstack(lines), way)(axis=0) for way in ("min", "max"))
    scale = (WIDTH - 2 * _MARGIN) / float(high[0] - low[0])
    corner = np.array([low[0], high[1]])

    def plan(points: Array) -> Array:
        """Boat points on the page."""
        found: Array = (points[:, :2] - corner) * [scale, -scale] + [_MARGIN, _HEAD + 16]
        return found

    body = _heading(boat, matting)
    body += [f'<path fill="none" stroke="#b8c4c9" stroke-width="1" d="{line_path(plan(p))}"/>' for p in lines]
    body += _decks(boat, scale, plan)
    level = [piece for piece in matting.pieces if piece.frame.z[2] > _FLAT]
    for piece in sorted(level, key=lambda piece: float(piece.prism.box[1, 2])):
        body.append(_in_plan(piece, matting, scale, plan))
    foot = _HEAD + 16 + float(high[1] - low[1]) * scale + 30
    upright = [piece for piece in matting.pieces if piece.frame.z[2] <= _FLAT]
    rows, end = _uprights(upright, matting, scale, foot)
    return page(WIDTH, end + 24, f"{boat.title}: mat", [*body, *rows])


def _heading(boat: Boat, matting: Matting) -> list[str]:
    s = matting.settings
    way = {"fore_aft": "fore and aft", "athwart": "athwart", "none": "nowhere"}[s.direction]
    pitch = format_length(s.pitch, boat.units)
    start = "the centreline" if s.direction == "fore_aft" else "the inside of the transom"
    grooves = f"grooves {way}, {pitch} apart, counted from {start}" if s.direction != "none" else "no grooves"
    total = f"{len(matting.pieces)} pieces, {matting.area * 1e-6:.2f} m² to glue"
    return [
        text(np.array([_MARGIN, 34.0]), f"{boat.title}: mat", 22, "head"),
        text(np.array([_MARGIN, 58.0]), f"{total}; {grooves}. Bow to the right.", 14, "note"),
    ]


def _decks(boat: Boat, scale: float, plan: object) -> list[str]:
    """The metal of the decks, lowest first."""
    assert callable(plan)
    found = []
    for deck in sorted(boat.layout.decks.values(), key=lambda d: float(d.frame.origin[2])):
        path = area_path(deck.area, lambda p, own=deck.frame: plan(own.to_boat(p)))  # type: ignore[misc]
        found.append(f'<path fill="{METAL}" stroke="{NOTE}" stroke-width="{0.8 * scale:.2f}" d="{path}"/>')
        holes = "".join(
            area_path(o.polygon, lambda p, own=deck.frame: plan(own.to_boat(p)))  # type: ignore[misc]
            for o in deck.openings
            if o.lid is None
        )
        if holes:
            found.append(f'<path fill="#9fb0b7" stroke="{NOTE}" stroke-width="{scale:.2f}" d="{holes}"/>')
    return found


def _in_plan(piece: MatPiece, matting: Matting, scale: float, plan: object) -> str:
    assert callable(plan)

    def to_paper(points: Array) -> Array:
        found: Array = plan(piece.frame.to_boat(points))
        return found

    return drawn_piece(piece, matting.marks[piece.name], to_paper, scale, matting.settings.groove_width)


def _uprights(pieces: list[MatPiece], matting: Matting, scale: float, top: float) -> tuple[list[str], float]:
    """Upright faces in rows, and where the last row ends."""
    body: list[str] = []
    x, row = _MARGIN, 0.0
    if pieces:
        top += 10
        body.append(text(np.array([x, top]), "Upright faces, each as seen from before it", 15))
        top += 16
    for piece in pieces:
        right = np.cross(UP, piece.frame.z)
        flat = np.stack([right, np.cross(piece.frame.z, right)])
        seen = piece.frame.to_boat(piece.outline.polyline(0.5)) @ flat.T
        low, high = seen.min(axis=0), seen.max(axis=0)
        wide, tall = (high - low) * scale
        if x + wide > WIDTH - _MARGIN and x > _MARGIN:
            x, top, row = _MARGIN, top + row + _GAP + 14, 0.0
        at, corner = np.array([x, top]), np.array([low[0], high[1]])

        def to_paper(
            points: Array, piece: MatPiece = piece, flat: Array = flat, at: Array = at, corner: Array = corner
        ) -> Array:
            found: Array = (piece.frame.to_boat(points) @ flat.T - corner) * [scale, -scale] + at
            return found

        body.append(
            drawn_piece(piece, matting.marks[piece.name], to_paper, scale, matting.settings.groove_width)
        )
        body.append(text(np.array([x, top + tall + 13]), piece.surface, 10.5, "note"))
        x, row = x + max(wide, 6.2 * len(piece.surface)) + _GAP, max(row, tall)
    return body, top + row + 20
