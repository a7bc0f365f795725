"""Where the pictures are seen from: orthographic views and their scale on paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import UP, Array, Vector, unit, vector

MARGIN = 48.0
"""Clear border around the boat in a picture, px."""
HEAD = 84.0
"""Band above the boat for the title, px."""
FOOT = 72.0
"""Band below the boat for the scale bar and the bow arrow, px."""


@dataclass(frozen=True, eq=False, slots=True)
class View:
    """A direction to look from; `right` and `up` are unit `(3,) float` of the picture, in the boat."""

    name: str
    title: str
    right: Array
    up: Array

    @classmethod
    def looking(cls, name: str, title: str, eye: Vector, up: Vector = (0.0, 0.0, 1.0)) -> View:
        """The view of somebody standing in direction `eye` from the boat, with `up` upward on paper."""
        toward = unit(eye)
        right = unit(np.cross(vector(up), toward))
        return cls(name, title, right, np.cross(toward, right))

    @property
    def axes(self) -> Array:
        """Rows right, up, toward the viewer: `points @ axes.T` is in view coordinates; `(3, 3) float`."""
        return np.stack([self.right, self.up, np.cross(self.right, self.up)])


PLAN = View.looking("plan", "Plan", eye=(0.0, 0.0, 1.0), up=(0.0, 1.0, 0.0))
PROFILE = View.looking("profile", "Profile from starboard", eye=(0.0, -1.0, 0.0))
QUARTER = View.looking("quarter", "From the starboard quarter", eye=(-0.62, -0.95, 0.78), up=UP)
VIEWS = (PLAN, PROFILE, QUARTER)


@dataclass(frozen=True, eq=False, slots=True)
class Camera:
    """A view at a scale: view coordinates (right, up, toward) in mm against pixels (right, down).

    `left` and `top` are the view coordinates of the picture's upper left corner, mm; `scale` is px per mm.
    """

    view: View
    left: float
    top: float
    scale: float
    width: int
    height: int

    @classmethod
    def fit(cls, view: View, points: Array, width: int = 1600, bands: bool = True) -> Camera:
        """The camera whose picture, `width` px wide, just holds the `(n, 3)` boat points and its margins.

        Args:
            view: the direction.
            points: what must be seen, mm; shape `(n, 3)`.
            width: picture width, px.
            bands: keep room above and below for lettering.

        Raises:
            ValueError: no points, or no room left beside the margins.
        """
        if not len(points) or width <= 4 * MARGIN:
            raise ValueError(f"a picture needs points and more than {4 * MARGIN:g} px of width")
        flat = points @ view.axes[:2].T
        low, high = flat.min(axis=0), flat.max(axis=0)
        scale = (width - 2 * MARGIN) / max(float(high[0] - low[0]), 1.0)
        head, foot = (HEAD, FOOT) if bands else (MARGIN, MARGIN)
        height = int(np.ceil((high[1] - low[1]) * scale + head + foot))
        return cls(view, float(low[0]) - MARGIN / scale, float(high[1]) + head / scale, scale, width, height)

    def to_view(self, points: Array) -> Array:
        """Boat points `(..., 3)` as (right, up, toward) in mm, measured from the picture's corner."""
        found: Array = points @ self.view.axes.T - np.array([self.left, self.top, 0.0])
        return found

    def to_paper(self, seen: Array) -> Array:
        """View coordinates `(..., 3)` as pixels (right, down), `(..., 2) float`."""
        found: Array = seen[..., :2] * np.array([self.scale, -self.scale])
        return found
