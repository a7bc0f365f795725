"""Which measured point is not fair, and what value would be.

A hull's lines are smooth, neighbouring lines and the two sides run alike, and the tape is true to about a
millimetre. Said as a Gaussian process: each line is a parabola plus twice-integrated random changes of
curvature, correlated from line to line, plus noise. A point is then judged against the curve that all others
give: its offset from that curve, and how large this is for a place that the others pin down so well or badly
(the studentised deleted residual). With M the inverse covariance less what the parabolas take up, the offset
of point i is (M y)_i / M_ii and its score |(M y)_i| / sqrt(M_ii). An error in one point of a fair hull adds a
multiple of a column of M, and as M is positive no other point's score can exceed its own (Cauchy-Schwarz); a
plain residual has no such bound and smears an error on to its neighbours.

The method is standard least squares (generalised, deleted residuals); its constants were chosen by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.geometry import Array
from model.hull import Hull
from model.survey import SAME, SIDES, Side, Survey, SurveyPoint

NOISE = 1.0
"""Millimetres that a tape measure strays without anybody's fault."""
BEND = 5.6
"""Random change of curvature, over the greatest half-breadth / length^2.5."""
ALIKE_LINES = 0.9
"""Correlation of the bends of one line and the next."""
ALIKE_SIDES = 0.99
END_WEIGHT = 0.8
"""Scores at the ends, which have neighbours on one side only, count less: whether the fault is theirs or
that of the point next to them the measurements alone can hardly tell."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A measured point against the curve through the others.

    Attributes:
        point: as measured, with its place in the file.
        line: its line, or `chine>gunwale` and `chine>gunwale 2` for runs of points between two lines.
        side: `port` or `starboard`; points for both sides are judged once, as `port`.
        fair_half_breadth: mm, where the others would have it.
        fair_height: mm, likewise.
        score: how unfair, in units of what is to be expected; above about 3 look again.
    """

    point: SurveyPoint
    line: str
    side: Side
    fair_half_breadth: float
    fair_height: float
    score: float

    @property
    def off(self) -> float:
        """Distance from the measured to the fair point, mm."""
        return float(
            np.hypot(self.point.half_breadth - self.fair_half_breadth, self.point.height - self.fair_height)
        )


@dataclass(frozen=True, eq=False, slots=True)
class _Run:
    """A line's points on one side: `order` counts lines from the keel up, halves between them."""

    line: str
    side: Side
    order: float
    points: tuple[SurveyPoint, ...]
    places: Array


def fairness(hull: Hull) -> tuple[Judged, ...]:
    """Every measured point of a hull against the curve through the others, the most unfair first.

    Raises:
        ValueError: the hull was not lofted from a survey.
    """
    if hull.survey is None:
        raise ValueError("this hull has no survey")
    return judge(hull.survey, hull.leans)


def judge(survey: Survey, leans: Mapping[float, float]) -> tuple[Judged, ...]:
    """Every point of a survey against the curve through the others, the most unfair first.

    `leans` as in `Survey.located`.
    """
    runs = _runs(survey, leans)
    out = _judged_axis([run for run in runs if not _on_centre(run)], 1, survey)
    up = _judged_axis(runs, 2, survey)
    ends = (survey.stations[0], survey.stations[-1])
    found = []
    for run in runs:
        for point in run.points:
            key = (run.line, run.side, point.station)
            # A line on the centreline has no business elsewhere: its fair half-breadth is zero.
            dy, sy = out.get(key, (point.half_breadth, abs(point.half_breadth) / NOISE))
            dz, sz = up[key]
            weight = END_WEIGHT if point.station in ends else 1.0
            fair = (point.half_breadth - dy, point.height - dz)
            found.append(Judged(point, run.line, run.side, *fair, weight * float(np.hypot(sy, sz))))
    return tuple(sorted(found, key=lambda judged: -judged.score))


def _runs(survey: Survey, leans: Mapping[float, float]) -> list[_Run]:
    """Each line of each side; what holds for both sides stands on the port side alone."""
    runs: list[_Run] = []
    for side in SIDES[:1] if survey.symmetrical else SIDES:
        for line, points in survey.sequences(side):
            own = tuple(p for p in points if side == "port" or p.side != "both")
            if own:
                places = np.array([survey.located(p, side, leans) for p in own])
                runs.append(_Run(line, side, survey.lines.index(own[0].line), own, places))
    return _ordered(runs)


def _ordered(runs: Sequence[_Run]) -> list[_Run]:
    """Runs between two lines spread evenly over the space between these."""
    found = []
    for run in runs:
        base = run.points[0].name
        between = run.points[0].upper is not None
        kin = [r.line for r in runs if r.side == run.side and r.points[0].name == base] if between else []
        share = (kin.index(run.line) + 1) / (len(kin) + 1) if between else 0.0
        found.append(replace(run, order=run.order + share))
    return found


def _on_centre(run: _Run) -> bool:
    return float(np.median(run.places[:, 1])) <= SAME


def _judged_axis(
    runs: Sequence[_Run], axis: int, survey: Survey
) -> dict[tuple[str, Side, float], tuple[float, float]]:
    """Offset from the fair value (mm) and score of one coordinate of every point."""
    if not runs:
        return {}
    size = max(point.half_breadth for point in survey.points)
    inverse = _inverse(runs, np.asarray(survey.stations), size)
    pull = inverse @ np.concatenate([run.places[:, axis] for run in runs])
    held = np.diag(inverse)
    # Where the parabolas take up a point wholly, as with three points on a line, it cannot be judged.
    known = held > 1e-6 / NOISE**2
    safe = np.where(known, held, 1.0)
    off, score = np.where(known, pull / safe, 0.0), np.where(known, np.abs(pull) / np.sqrt(safe), 0.0)
    keys = [(run.line, run.side, point.station) for run in runs for point in run.points]
    return {key: (float(a), float(b)) for key, a, b in zip(keys, off, score, strict=True)}


def _inverse(runs: Sequence[_Run], stations: Array, size: float) -> Array:
    """Inverse covariance of all points less what a parabola through each line takes up, `(n, n) float`."""
    line = np.concatenate([np.full(len(run.points), i) for i, run in enumerate(runs)])
    x = np.concatenate([run.places[:, 0] for run in runs])
    order = np.array([run.order for run in runs])
    side = np.array([run.side for run in runs])
    alike = ALIKE_LINES ** np.abs(order[:, None] - order) * np.where(side[:, None] == side, 1.0, ALIKE_SIDES)
    covariance = _bends(x, stations, size) * alike[line][:, line] + NOISE**2 * np.eye(len(x))
    scaled = (x - stations[0]) / (stations[-1] - stations[0])
    parabolas = np.stack([scaled**k * (line == i) for i in range(len(runs)) for k in range(3)], axis=1)
    inverse = np.linalg.inv(covariance)
    weighted = inverse @ parabolas
    found: Array = inverse - weighted @ np.linalg.pinv(parabolas.T @ weighted, hermitian=True) @ weighted.T
    return found


def _bends(x: Array, stations: Array, size: float) -> Array:
    """Covariance at x of the twice-integrated random change of curvature, `(n, n) float`.

    Stations are set closer where a hull bends more, so between stations at distance h the change is taken as
    larger by mean(h) / h. Three Gauss points are exact for two parabolas' product, between stations.
    """
    length = stations[-1] - stations[0]
    strength = BEND * size / length**2.5
    edges = stations.astype(np.float64).copy()
    edges[0], edges[-1] = min(edges[0], x.min()), max(edges[-1], x.max())
    spaces = np.diff(stations)
    at, weight = np.polynomial.legendre.leggauss(3)
    found = np.zeros((len(x), len(x)))
    for a, b, space in zip(edges[:-1], edges[1:], spaces, strict=True):
        u = a + (b - a) * (at + 1.0) / 2.0
        arm = np.maximum(x[:, None] - u, 0.0) ** 2 / 2.0
        # The part of an interval beyond x counts for nothing; its share is left to the kink of `arm`.
        found += (arm * (weight * (b - a) / 2.0 * (strength * spaces.mean() / space) ** 2)) @ arm.T
    return found
