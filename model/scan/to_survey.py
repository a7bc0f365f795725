"""Fitted lines as the survey that a tape would give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from model.geometry import Array
from model.scan.fit_skin import Fit
from model.scan.lines import Lines
from model.scan.skin_model import Skin, bow_slopes
from model.survey import Survey, SurveyPoint
from parts.faults import Place

Which = Literal["port", "starboard", "both"]
DRAWN = 6.0
"""Millimetres by which noise may let a height fall or a side draw in where the hull does not."""


@dataclass(frozen=True, eq=False, slots=True)
class Surveyed:
    """A line at a station: half-breadth and height, the standard error of each, points near, mm."""

    station: float
    side: Which
    line: str
    half_breadth: float
    height: float
    half_breadth_error: float
    height_error: float
    points: float


@dataclass(frozen=True, eq=False)
class Shape:
    """Sections of a side as surveyed: the skin, moved in by `inset` where its outside was scanned."""

    fit: Fit
    inset: float

    @property
    def skin(self) -> Skin:
        """The fitted skin."""
        return self.fit.skin

    def corners(self, x: Array) -> Array:
        """Half-breadth and height of every line at x `(n,)`, `(n, lines, 2) float`, mm."""
        found, bows = self.skin.at(x)
        if self.inset <= 0.0:
            return found
        step = 2.0
        ahead, behind = self.skin.at(x + step)[0], self.skin.at(x - step)[0]
        return _inset(found, bows, (ahead - behind) / (2.0 * step), self.inset)

    def between(self, x: Array, panel: int, share: float) -> Array:
        """Half-breadth and height at a share of a panel's chord at x `(n,)`, `(n, 2) float`."""
        corners = self.corners(x)
        bows = self.skin.at(x)[1][:, panel]
        low, chord = corners[:, panel], corners[:, panel + 1] - corners[:, panel]
        normal = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / np.hypot(*chord.T)[:, None]
        hump, skew = 4.0 * share * (1.0 - share), 2.0 * share - 1.0
        off = hump * (bows[:, 0] + bows[:, 1] * skew + bows[:, 2] * skew**2)
        found: Array = low + share * chord + off[:, None] * normal
        return found


def _inset(corners: Array, bows: Array, slopes: Array, inset: float) -> Array:
    """Corners moved in so that both panels beside each lie `inset` square to them from where they were."""
    chord = np.diff(corners, axis=1)
    way = chord / np.linalg.norm(chord, axis=2, keepdims=True)
    normal = np.stack([-way[..., 1], way[..., 0]], axis=2)
    length = np.linalg.norm(chord, axis=2)
    found = corners.copy()
    for line in range(corners.shape[1]):
        rows, rights = [], []
        for panel, share in ((line - 1, 1.0), (line, 0.0)):
            if not 0 <= panel < chord.shape[1]:
                continue
            turn = np.einsum("nk,k->n", bows[:, panel], bow_slopes(np.array([share]))[0]) / length[:, panel]
            square = normal[:, panel] - turn[:, None] * way[:, panel]
            square /= np.linalg.norm(square, axis=1, keepdims=True)
            climb = np.einsum("nk,nk->n", slopes[:, line], square)
            rows.append(square)
            rights.append(inset * np.hypot(1.0, climb))
        if line == 0:
            # On the centreline the other side meets it: straight up.
            rows.append(np.tile([1.0, 0.0], (len(corners), 1)))
            rights.append(np.zeros(len(corners)))
        matrix, right = np.stack(rows, axis=1), np.stack(rights, axis=1)
        found[:, line] += (np.linalg.pinv(matrix, rcond=0.05) @ right[..., None])[..., 0]
    return found


def shapes(lines: Lines, inset: float) -> dict[Which, Shape]:
    """The sides that are surveyed: one for both where they are alike."""
    if not lines.sides:
        return {"both": Shape(lines.both, inset)}
    return {"port": Shape(lines.sides["port"], inset), "starboard": Shape(lines.sides["starboard"], inset)}


def bowed_shares(fit: Fit) -> dict[int, tuple[float, ...]]:
    """Where along its chord each bowed panel is surveyed: once in the middle, or thrice."""
    found = {1: (0.5,), 3: (0.25, 0.5, 0.75)}
    return {panel: found[free] for panel, free in enumerate(fit.bends) if free}


def at_end(shape: Shape, start: float, lean: float, panel: int, share: float | None) -> tuple[Array, float]:
    """Where a line, or a share of a panel, meets an end that leans from its foot at `start`; and x there."""
    foot = float(shape.corners(np.array([start]))[0, 0, 1])
    x = np.array([start])
    for _ in range(12):
        point = shape.corners(x)[0, panel] if share is None else shape.between(x, panel, share)[0]
        x = np.array([start + lean * (float(point[1]) - foot)])
    return point, float(x[0])


def surveyed(
    lines: Lines,
    stations: tuple[float, ...],
    inset: float,
    keel_height: float,
    decimals: tuple[float, int],
    points_near: dict[tuple[float, int], float],
    without: dict[float, frozenset[int]],
) -> tuple[Survey, tuple[Surveyed, ...]]:
    """The survey at stations and what is known of each point's error.

    Args:
        lines: of the scan.
        stations: from the transom forward, mm; the first and the last lie in the ends.
        inset: thickness of the sheet where the outside was scanned.
        keel_height: of the keel at the transom above the baseline.
        decimals: mm of the unit written, and decimals of it, to which everything is rounded.
        points_near: by station and line.
        without: the lines left out, by station.
    """
    sides = shapes(lines, inset)
    laid = lines.aligned
    ahead = inset * float(np.hypot(1.0, laid.transom.lean))
    lean_bow = laid.bow.lean if laid.bow is not None else 0.0
    first = next(iter(sides.values()))
    foot = np.array([ahead])
    base = float(first.corners(foot)[0, 0, 1] - first.skin.at(foot)[0][0, 0, 1]) - keel_height
    points: list[SurveyPoint] = []
    told: list[Surveyed] = []
    shares = bowed_shares(lines.both)
    for station in stations:
        keel_done = False
        for side, shape in sides.items():
            leans = {stations[0]: laid.transom.lean, stations[-1]: lean_bow}
            section = _section(shape, lines, station + ahead, leans.get(station, 0.0), shares, base)
            section = _tidy(_kept(section, without[station]), decimals)
            for name, line, half_breadth, height, x in section:
                which: Which = side
                if name == lines.names[0]:
                    if keel_done:
                        continue
                    keel_done, which = True, "both"
                low, _, upper = name.partition(">")
                points.append(
                    SurveyPoint(
                        station,
                        which,
                        low,
                        upper or None,
                        half_breadth,
                        height,
                        None,
                        Place("scan", None, ""),
                    )
                )
                if line is not None:
                    error = shape.fit.errors(np.array([x]))[0, line]
                    near = points_near.get((station, line), 0.0)
                    told.append(
                        Surveyed(
                            station, which, name, half_breadth, height, float(error[0]), float(error[1]), near
                        )
                    )
    return Survey(lines.names, tuple(points)), tuple(told)


Row = tuple[str, "int | None", float, float, float]


def _section(
    shape: Shape, lines: Lines, x: float, lean: float, shares: dict[int, tuple[float, ...]], base: float
) -> list[Row]:
    """The points of a side at x, from the keel up: name, which line, half-breadth, height, own x."""
    found: list[Row] = []
    for line, name in enumerate(lines.names):
        point, at = at_end(shape, x, lean, line, None)
        found.append((name, line, float(point[0]), float(point[1]) - base, at))
        for share in shares.get(line, ()):
            point, at = at_end(shape, x, lean, line, share)
            upper = lines.names[line + 1]
            found.append((f"{name}>{upper}", None, float(point[0]), float(point[1]) - base, at))
    return found


def _kept(section: list[Row], without: frozenset[int]) -> list[Row]:
    """The section without some lines, and without points between these and their neighbours."""
    found, low = [], 0
    for row in section:
        low = low if row[1] is None else row[1]
        lost = {low} if row[1] is not None else {low, low + 1}
        if not lost & without:
            found.append(row)
    return found


def _tidy(section: list[Row], decimals: tuple[float, int]) -> list[Row]:
    """Rounded, and noise that would make heights fall or sides draw in and out taken away."""
    unit, places = decimals
    found: list[Row] = []
    out = up = -np.inf
    for name, line, half_breadth, height, x in section:
        b, z = max(0.0, half_breadth), height
        b = out if out - DRAWN < b < out else b
        z = up if up - DRAWN < z < up else z
        b, z = (float(round(value / unit, places) * unit) for value in (b, z))
        out, up = b, z
        found.append((name, line, b, z, x))
    return found
