"""The edges of solid pieces as seen from one side, hidden lines left out, set onto a drawing at its scale."""

from __future__ import annotations

import numpy as np

from cutlists.drawing.drawing import EDGE, FAINT, OUTLINE, Drawing
from cutlists.drawing.onto import Onto
from cutlists.scene import Scene
from cutlists.view_camera import View
from cutlists.view_picture import picture
from model.geometry import Array

FINE = 3000
"""Width of the picture that finds what is hidden, px: a quarter of a millimetre on a boat of 16 ft."""


def draw_seen(drawing: Drawing, scene: Scene, view: View, onto: Onto, shift: Array | None = None) -> None:
    """Draws a scene from a side.

    Args:
        drawing: drawn on.
        scene: what is seen; pieces that are seen through hide nothing and are drawn faint.
        view: from where; its right and up are the axes of the plane that is drawn.
        onto: of that plane onto paper.
        shift: the plane's origin in view coordinates `(2,)`, where it is not the boat's.
    """
    if not scene.pieces:
        return
    shown = picture(scene, view, "", width=FINE)
    camera = shown.camera
    corner = np.array([camera.left, camera.top]) - (np.zeros(2) if shift is None else shift)
    for stroke in shown.strokes:
        lines = [onto.points(corner + line * (1.0, -1.0) / camera.scale) for line in stroke.lines]
        pen = {"outline": OUTLINE, "crease": EDGE}.get(stroke.kind, FAINT)
        drawing.lines(lines, pen, stroke.name)
