"""Panels whose sections are bowed between two lines: from a few measured points to a smooth surface."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator, make_interp_spline

from model.geometry import Array
from model.skin import Cubics

DIVISIONS = 24
"""Strips across a bowed panel: a parabolic bow is missed by at most 1/576 of its depth."""


@dataclass(frozen=True, eq=False, slots=True)
class Bow:
    """What was measured between two lines.

    Attributes:
        points: by station, `(k, 3) float` going up: x, half-breadth, height; mm.
        ends: by station, the x of the lower and of the upper line there, where that is not the station.
    """

    points: Mapping[float, Array]
    ends: Mapping[float, tuple[float, float]]


@dataclass(frozen=True, eq=False, slots=True)
class BowedSection:
    """A measured section between two lines.

    Attributes:
        x: `(k + 2,) float`, of the points, those of the two lines at the ends.
        fractions: `(k + 2,) float` along the chord, 0 and 1 at the ends.
        ratios: `(k + 2,) float`, distance from the chord over its length, positive inboard; zero at the ends.
    """

    x: Array
    fractions: Array
    ratios: Array

    def ratio(self, fractions: Array) -> Array:
        """The smooth curve through the measured points: a not-a-knot cubic, or a single one's parabola."""
        curve = make_interp_spline(self.fractions, self.ratios, k=min(3, len(self.fractions) - 1))
        found: Array = curve(fractions)
        return found

    def station(self, fractions: Array) -> Array:
        """The x of the section at chord fractions."""
        found: Array = np.interp(fractions, self.fractions, self.x)
        return found


def section(low: Cubics, high: Cubics, bow: Bow, station: float) -> BowedSection:
    """What was measured at a station against the chord between the two lines.

    Raises:
        ValueError: the points do not follow one another up the chord.
    """
    points, ends = bow.points[station], bow.ends.get(station, (station, station))
    x = points[:, 0]
    foot, chord = low.at(x)[:, 0], high.at(x)[:, 0] - low.at(x)[:, 0]
    length = np.maximum(np.einsum("ij,ij->i", chord, chord), 1e-12)
    arm = points[:, 1:] - foot
    t = np.einsum("ij,ij->i", arm, chord) / length
    r = (chord[:, 0] * arm[:, 1] - chord[:, 1] * arm[:, 0]) / length
    fractions = np.concatenate([[0.0], t, [1.0]])
    if np.any(np.diff(fractions) < 1e-4):
        raise ValueError("points between two lines follow one another up the chord between these")
    return BowedSection(np.concatenate([ends[:1], x, ends[1:]]), fractions, np.concatenate([[0.0], r, [0.0]]))


def divide(measured: Sequence[float]) -> Array:
    """Where a bowed panel is divided: at every measured fraction, else evenly; rising, without the ends."""
    found = sorted(measured)
    exact = [t for i, t in enumerate(found) if i == 0 or t - found[i - 1] > 1e-9]
    even = [i / DIVISIONS for i in range(1, DIVISIONS)]
    near = 0.25 / DIVISIONS
    return np.array(sorted(exact + [t for t in even if all(abs(t - e) > near for e in exact)]))


def bowed(
    low: Cubics,
    high: Cubics,
    bow: Bow | None,
    fractions: Array,
    stations: Sequence[float],
    straight: bool,
) -> list[Cubics]:
    """For each chord fraction the offset (dy, dz) from the chord as a curve of x.

    A station without points in the panel takes its bow, as a ratio of its chord, from those that have some:
    between them by a monotone curve, beyond them as at the nearest.
    """
    if bow is None:
        return [Cubics.through(np.asarray(stations), np.zeros((len(stations), 2)))] * len(fractions)
    measured = {s: section(low, high, bow, s) for s in sorted(bow.points)}
    ratios = _spread(measured, stations, fractions, straight)
    x = np.empty((len(stations), len(fractions)))
    for row, station in enumerate(stations):
        ends = bow.ends.get(station, (station, station))
        known = measured.get(station)
        x[row] = np.interp(fractions, [0.0, 1.0], ends) if known is None else known.station(fractions)
    chord = high.at(x)[..., 0, :] - low.at(x)[..., 0, :]
    offset = ratios[..., None] * np.stack([-chord[..., 1], chord[..., 0]], axis=-1)
    if straight:
        return [Cubics.through(x[:, j], offset[:, j], straight) for j in range(len(fractions))]
    return Cubics.fair(x.T, offset.transpose(1, 0, 2))


def _spread(
    measured: Mapping[float, BowedSection], stations: Sequence[float], fractions: Array, straight: bool
) -> Array:
    """The bow ratio at every station and fraction, `(stations, fractions) float`."""
    at = np.array(list(measured))
    known = np.array([known.ratio(fractions) for known in measured.values()])
    where = np.clip(np.asarray(stations, dtype=np.float64), at[0], at[-1])
    if len(at) == 1:
        return np.repeat(known, len(stations), axis=0)
    if straight:
        return np.stack([np.interp(where, at, column) for column in known.T], axis=-1)
    found: Array = PchipInterpolator(at, known)(where)
    return found
