"""Pictures of mat to cut: each piece with its grooves and sizes, and each sheet with what lies on it."""

from __future__ import annotations

import numpy as np

from cutlists.mats.draw import INK, drawn_piece, line_path, page, text
from cutlists.mats.mat_dxf import sheet_grooves
from cutlists.mats.nest import SheetNest
from model.geometry import Array
from model.mat.build import Matting
from model.mat.piece import MatPiece
from parts.lengths import format_fraction

_WIDE = 900.0  # px of a drawing's longer side
_EDGE = 36.0
_HEAD = 64.0


def piece_picture(piece: MatPiece, mark: str, count: int, groove_width: float) -> str:
    """The piece from above, grooves across the page, with its overall size and the place of a groove."""
    x0, y0, x1, y1 = piece.outline.bounds
    scale = min(_WIDE / max(x1 - x0, y1 - y0), 2.0)
    wide, tall = (x1 - x0) * scale, (y1 - y0) * scale

    def to_paper(points: Array) -> Array:
        found: Array = (points - [x0, y1]) * [scale, -scale] + [_EDGE, _HEAD]
        return found

    size = f"{_both(x1 - x0)} along the grooves, {_both(y1 - y0)} across"
    first = piece.first_groove
    groove = "plain" if first is None else f"first groove {_both(first)} above the low edge"
    foot = _HEAD + tall
    body = [
        text(np.array([_EDGE, 28.0]), f"{mark} × {count}", 20, "head"),
        text(np.array([_EDGE, 48.0]), f"{piece.thickness:g} mm mat seen from above; {groove}", 12, "note"),
        drawn_piece(piece, mark, to_paper, scale, groove_width),
        text(np.array([_EDGE, foot + 22]), size, 13),
    ]
    return page(max(wide + 2 * _EDGE, 560.0), foot + 40, mark, body)


def sheet_picture(nest: SheetNest, number: int, count: int, matting: Matting) -> str:
    """A sheet with its pieces, grooves across the page."""
    sheet, settings = nest.sheet, matting.settings
    scale = 1.4 * _WIDE / max(sheet.length, sheet.width)

    def to_paper(points: Array) -> Array:
        found: Array = (points - [0.0, sheet.width]) * [scale, -scale] + [_EDGE, _HEAD]
        return found

    wide, tall = sheet.length * scale, sheet.width * scale
    share = 100.0 * nest.used / (sheet.length * sheet.width)
    come = f"comes grooved, first groove {sheet.first:.1f} mm up" if sheet.grooved else "comes plain"
    name = f"{sheet.name}, {nest.label}" if nest.label else sheet.name
    body = [
        text(np.array([_EDGE, 28.0]), f"Sheet {number} of {count}: {name}", 20, "head"),
        text(
            np.array([_EDGE, 48.0]),
            f"{_both(sheet.length)} by {_both(sheet.width)}; {come}; {share:.0f} % used, "
            f"{max(nest.rest, 0.0):.0f} mm left at the right end",
            12,
            "note",
        ),
        f'<path fill="#f6f3ea" stroke="{INK}" d="M{_EDGE} {_HEAD}h{wide:.2f}v{tall:.2f}h{-wide:.2f}Z"/>',
    ]
    own = "".join(line_path(to_paper(line)) for line in sheet_grooves(nest, settings.pitch))
    if own:
        body.append(f'<path fill="none" stroke="#c9bfa5" stroke-width="1" d="{own}"/>')
    for laid in nest.laid:

        def of_piece(points: Array, laid: object = laid) -> Array:
            found: Array = to_paper(laid.points(points))  # type: ignore[attr-defined]
            return found

        body.append(drawn_piece(laid.piece, laid.mark, of_piece, scale, settings.groove_width))
    return page(wide + 2 * _EDGE, _HEAD + tall + _EDGE, f"sheet {number}", body)


def _both(mm: float) -> str:
    return f"{format_fraction(mm)} ({mm:.1f} mm)"
