"""Circular arcs over chords: the lens between an arc and its chord, and points along the arc.

An arc is given by its two ends and its bulge, tan(arc angle / 4), positive when the arc turns
left on its way (the convention of DXF polylines). All functions take arrays of edges.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.float64]

# Below this half angle (rad) the closed forms cancel and their power series are exact to rounding.
_FLAT_HALF_ANGLE = 0.02


def lens_properties(half_angle: Array) -> tuple[Array, Array, Array, Array]:
    """Area and moments of the lens between an arc and its chord, for a chord of length 2.

    Args:
        half_angle: `(k,)` half of the arc angle, rad, 0 < half_angle < pi.

    Returns:
        Area, first moment about the chord, second moment about the chord, and second moment
        about the line square to the chord through its middle; each `(k,)`.

    The closed forms are those of the circular segment about the centre of its circle, moved to
    the chord; derived here, checked in tests against quadrature.
    """
    flat = half_angle < _FLAT_HALF_ANGLE
    a = np.where(flat, 1.0, half_angle)
    s, k = np.sin(a), np.cos(a)
    area = (a - s * k) / s**2
    first = 2 / 3 - k / s * area
    about_chord = (a - s * k + 2 * s**3 * k) / (4 * s**4) - 4 / 3 * k / s + (k / s) ** 2 * area
    across = (3 * a - 3 * s * k - 2 * s**3 * k) / (12 * s**4)
    if flat.any():
        a, q = half_angle, half_angle**2
        area = np.where(flat, a * (2 / 3 + q * (4 / 45 + q * 4 / 315)), area)
        first = np.where(flat, q * (2 / 15 + q * (2 / 63 + q * 4 / 675)), first)
        about_chord = np.where(flat, a * q * (4 / 105 + q * (4 / 315 + q * 152 / 51975)), about_chord)
        across = np.where(flat, a * (2 / 15 + q * (8 / 315 + q * 8 / 1575)), across)
    return area, first, about_chord, across


def outward(vectors: Array, bulges: Array) -> Array:
    """Unit vectors `(k, 2)` from the chords towards their arcs, for edge vectors `(k, 2)`."""
    side = np.sign(bulges) / np.hypot(vectors[:, 0], vectors[:, 1])
    found = np.empty(vectors.shape)
    found[:, 0], found[:, 1] = vectors[:, 1] * side, vectors[:, 0] * -side
    return found


def radii(vectors: Array, bulges: Array) -> Array:
    """Radius of each arc, mm, for edge vectors `(k, 2)` and bulges `(k,)` that are not zero."""
    size = np.abs(bulges)
    found: Array = np.hypot(vectors[:, 0], vectors[:, 1]) * (1 + size**2) / (4 * size)
    return found


def apexes(starts: Array, vectors: Array, bulges: Array) -> Array:
    """The middle point `(k, 2)` of each arc; of a straight edge, its middle."""
    half = 0.5 * bulges
    found: Array = starts + 0.5 * vectors
    found[:, 0] += half * vectors[:, 1]
    found[:, 1] -= half * vectors[:, 0]
    return found


def step_counts(vectors: Array, bulges: Array, chord: float) -> npt.NDArray[np.intp]:
    """Steps `(k,)` that keep each arc within `chord` mm of its chords; never more than 90 degrees a step."""
    radius = radii(vectors, bulges)
    most = 2 * np.arcsin(np.sqrt(np.minimum(chord / (2 * radius), 0.5)))
    # The small allowance keeps an arc of exactly n greatest steps from gaining one by rounding.
    found = np.ceil(4 * np.arctan(np.abs(bulges)) / np.minimum(2 * most, np.pi / 2) - 1e-9)
    counts: npt.NDArray[np.intp] = np.maximum(found, 1).astype(np.intp)
    return counts


def arc_points(starts: Array, vectors: Array, bulges: Array, fractions: Array) -> Array:
    """The points `(k, 2)` at `fractions` `(k,)` of each arc's angle, on the circle to rounding."""
    half = 2 * np.arctan(np.abs(bulges))
    phi = (2 * fractions - 1) * half
    radius = radii(vectors, bulges)
    along = radius * (np.sin(phi) + np.sin(half))
    # Height over the chord as a product: cos(phi) - cos(half) would cancel on nearly straight arcs.
    over = 2 * radius * np.sin((half + phi) / 2) * np.sin((half - phi) / 2)
    direction = vectors / np.hypot(vectors[:, 0], vectors[:, 1])[:, None]
    found: Array = starts + along[:, None] * direction + over[:, None] * outward(vectors, bulges)
    return found
