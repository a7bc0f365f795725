"""Pictures as PNG: the shaded picture with the visible lines and the lettering drawn over it."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np

from cutlists.view_picture import INK, Picture
from cutlists.view_render import shaded
from model.geometry import Array

if TYPE_CHECKING:
    from PIL.Image import Image

FINE = 4
"""Lines are drawn at this many times the picture's size and averaged down."""
SOFT = {"crease": 0.72, "outline": 1.0, "ghost": 0.8, "hull": 1.0}
"""Cover of the lines by kind: creases between shaded faces need little."""


def png_bytes(picture: Picture) -> bytes:
    """The picture as the bytes of an 8-bit RGB PNG; the same picture always gives the same bytes."""
    from PIL import Image

    field = shaded(picture.solid, picture.ghost, picture.camera)
    for kind in ("ghost", "hull", "crease", "outline"):
        strokes = [stroke for stroke in picture.strokes if stroke.kind == kind]
        if strokes:
            lines = [line for stroke in strokes for line in stroke.lines]
            cover = _cover(lines, strokes[0].weight, picture) * SOFT[kind]
            field += (_ink(strokes[0].ink) - field) * cover[..., None]
    cover = _cover(list(picture.notes), 1.4, picture)
    field += (_ink(INK) - field) * cover[..., None]
    image = Image.fromarray((np.clip(field, 0.0, 1.0) * 255.0 + 0.5).astype(np.uint8), "RGB")
    _letter(image, picture)
    out = io.BytesIO()
    image.save(out, "PNG", optimize=False, compress_level=7)
    return out.getvalue()


def _ink(text: str) -> Array:
    return np.array([int(text[k : k + 2], 16) for k in (1, 3, 5)]) / 255.0


def _cover(lines: list[Array], weight: float, picture: Picture) -> Array:
    """How much of each pixel the polylines cover, `(height, width) float` of 0 to 1."""
    from PIL import Image, ImageDraw

    camera = picture.camera
    mask = Image.new("L", (camera.width * FINE, camera.height * FINE))
    draw = ImageDraw.Draw(mask)
    for line in lines:
        draw.line((line * FINE).ravel().tolist(), fill=255, width=max(1, round(weight * FINE)), joint="curve")
    return np.asarray(mask.reduce(FINE), dtype=np.float64) / 255.0


def _letter(image: Image, picture: Picture) -> None:
    from PIL import ImageDraw, ImageFont

    draw = ImageDraw.Draw(image)
    for label in picture.labels:
        font = ImageFont.load_default(label.size)
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[label.anchor]
        draw.text(
            (label.x, label.y),
            label.text,
            fill=INK,
            font=font,
            anchor=anchor,
            stroke_width=0.4 if label.bold else 0.0,
            stroke_fill=INK,
        )
