"""The grooves of the whole boat as one family of upright planes, and the lines it draws on any surface.

Grooves that run fore and aft lie in the planes y = offset + k pitch. Where such a plane meets a deck, the
lid in it and the riser below its edge, the three lines meet: nothing has to be lined up piece by piece. A
surface that faces along the planes is crossed by none of them, or too far apart to look like the same set.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from model.geometry import FORWARD, PORT, Array, Frame
from model.mat.settings import MatSettings

LEAST_SLOPE = 0.5
"""Least sine between a surface's normal and the planes': lines up to twice the pitch apart are drawn."""
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True)
class Lines:
    """Parallel lines along x of a piece's own frame: at y = phase + k spacing, mm; 0 <= phase < spacing."""

    spacing: float
    phase: float

    def between(self, low: float, high: float) -> Array:
        """The lines' y strictly between two bounds, `(k,) float`."""
        first = np.floor((low - self.phase) / self.spacing + _TOUCH) + 1
        last = np.ceil((high - self.phase) / self.spacing - _TOUCH) - 1
        found: Array = self.phase + self.spacing * np.arange(first, last + 1)
        return found

    def off(self, y: float) -> float:
        """Signed distance from the nearest line to `y`, mm."""
        return float((y - self.phase + self.spacing / 2) % self.spacing - self.spacing / 2)


def laid(frame: Frame, settings: MatSettings) -> tuple[Frame, Lines | None]:
    """A surface's frame turned about its z until grooves run along x, and the lines on it.

    The origin stays. Along x is forward, or up a face that looks aft and down one that looks forward, so
    that whoever walks the boat forward follows it over every step. Without lines the frame stays as it is.
    """
    for normal, offset in _families(settings):
        across = np.array([normal @ frame.x, normal @ frame.y])
        slope = float(np.hypot(*across))
        if slope < LEAST_SLOPE:
            continue
        y = (across[0] * frame.x + across[1] * frame.y) / slope
        x = np.cross(y, frame.z)
        if _backwards(x, frame):
            x, y = -x, -y
        turned = Frame(frame.origin, x, y, frame.z)
        spacing = settings.pitch / slope
        phase = (offset - float(normal @ frame.origin)) / float(normal @ y)
        return turned, Lines(spacing, _within(phase, spacing))
    return frame, None


def _within(phase: float, spacing: float) -> float:
    """The phase from 0 to below the spacing; what rounding leaves just below the spacing is 0."""
    found = phase % spacing
    return 0.0 if spacing - found < 1e-9 else found


def _families(settings: MatSettings) -> list[tuple[Array, float]]:
    """Normal and offset of the planes, the grooves' own first, then those that stand in on side faces."""
    if settings.direction == "none":
        return []
    own, other = (PORT, FORWARD) if settings.direction == "fore_aft" else (FORWARD, PORT)
    return [(own, settings.offset), *([(other, 0.0)] if settings.side_faces == "upright" else [])]


def _backwards(x: Array, frame: Frame) -> bool:
    """Whether a direction on a surface leads aft, or down where walking forward leads up."""
    if abs(x[0]) > 1e-6:
        return bool(x[0] < 0)
    if abs(x[2]) > 1e-6:
        return bool(x[2] * (1.0 if frame.z[0] <= 1e-6 else -1.0) < 0)
    return bool(x[1] < 0)
