"""The lines of a scan that lies straight: sections, the skin of both sides on one another, then each side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from model.geometry import Array
from model.scan.align import Aligned
from model.scan.cloud import Bools, picked
from model.scan.clutter import cleaned
from model.scan.edge import edge_shift, with_edge
from model.scan.fit_skin import CELL, SHARES, Cells, Fit, fitted_skin, gathered, started_skin
from model.scan.pose import NoPose
from model.scan.skin_model import Skin, lay
from model.scan.slices import sections, sharpened, tracked

STEP = 200.0
"""Millimetres between the knots of a line."""
EVERY = 75.0
"""Millimetres between sections."""
FEW = 40_000
"""Points that the first fits are made with."""
FIRST = (60.0, 45.0, 30.0, 20.0, 0.0, 0.0)
AGAIN = (25.0, 0.0, 0.0)
LAST = (0.0, 0.0)
CLEAR = 12.0
"""Millimetres from the flat ends within which points may be theirs."""
FLAT_BOW, SKEW = 1.5, 1.5
"""Millimetres of bow below which a panel is straight; no tape tells them."""
SHARPEN = 3
STRONG = 0.3
"""Rad by which a section turns at corners that need no second look."""
LEAVES = 1.5
"""Millimetres off a straight line at which the keel begins to rise."""
STILL = 0.7
TAPER, TAIL = 100.0, 30.0
ROOM = 7
UNEVEN = 1.2
"""Millimetres by which the sides differ, in the mean of squares, where they are kept apart."""


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of a scanned hull.

    Attributes:
        aligned: the scan, the keel's foot at the transom at the origin.
        names: of the lines, from the keel up.
        both: the skin with starboard laid on port.
        sides: `port` and `starboard` where they are kept apart; empty where they are alike.
        cells: what was seen of the skin, both sides together.
        span: x of the first and the last section that reaches from keel to gunwale, mm.
        unevenness: root mean square and greatest distance between the sides square to the skin, mm, and x of
            the greatest.
        told: points within the hull that were laid against the skin.
    """

    aligned: Aligned
    names: tuple[str, ...]
    both: Fit
    sides: dict[str, Fit]
    cells: Cells
    span: tuple[float, float]
    unevenness: tuple[float, float, float]
    told: int

    @property
    def skin(self) -> Skin:
        """The skin of both sides."""
        return self.both.skin

    def fit(self, side: str) -> Fit:
        """The fit that tells of a side."""
        return self.sides.get(side, self.both)


def found_lines(laid: Aligned, names: tuple[str, ...], level: bool, tell: Callable[[str], None]) -> Lines:
    """The lines of a scan.

    Args:
        laid: the scan laid straight.
        names: of the lines, from the keel up to the gunwale.
        level: turn it so that the after half of the keel is level.
        tell: told of each step.

    Raises:
        NoPose: too little of the hull was seen.
    """
    tell("cutting sections")
    skin_points = between_ends(laid)
    thin = cleaned(laid.points[skin_points], 15.0)
    start, end = _ends(laid, thin)
    cut = sections(thin, np.arange(60.0, end - 20.0, EVERY))
    if len(cut) < 8:
        raise NoPose(
            f"only {len(cut)} sections could be cut", "scan the hull more closely, or crop the scan to it"
        )
    corners = len(names) - 2
    x = np.array([section.x for section in cut])
    skin = started_skin(x, tracked(cut, corners), (start - 30.0, end + 30.0), STEP)
    tell("fitting the skin")
    bends = (3,) * (len(names) - 1)
    few = picked(_folded(laid.points[skin_points]), FEW)
    fit = fitted_skin(skin, few, FIRST, bends, 4.0)
    fit = _sharpened(fit, few, corners, (start - 30.0, end + 30.0)) if corners else fit
    if level:
        laid, fit = _levelled(laid, fit)
    return _closed_in(laid, names, fit, level, tell)


def _sharpened(fit: Fit, points: Array, corners: int, span: tuple[float, float]) -> Fit:
    """The fit begun anew from the corners that its cells show, until none of them is slight."""
    for _ in range(SHARPEN):
        cells, _, _ = gathered(fit.skin, points, 4.7 * fit.noise, fit.noise)
        x, lines = sharpened(fit.skin, cells, corners, fit.noise)
        if len(x) < 6:
            break
        fit = fitted_skin(started_skin(x, lines, span, STEP), points, AGAIN, fit.bends, fit.noise)
        if np.median(fit.skin.turns(x), axis=0).min() > STRONG:
            break
    return fit


def _ends(laid: Aligned, thin: Array) -> tuple[float, float]:
    """Least and greatest x of the skin, roughly: where points `thin`, spread evenly, thin out forward."""
    start = min(0.0, laid.transom.lean * laid.beam * 0.4)
    if laid.bow is not None:
        return start, laid.bow.x + max(0.0, laid.bow.lean) * laid.beam * 0.4
    edges = np.arange(0.5 * laid.length, 1.2 * laid.length, 20.0)
    count, _ = np.histogram(thin[np.abs(thin[:, 1]) < 0.5 * laid.beam, 0], edges)
    few = count < 2
    gone = few[:-2] & few[1:-1] & few[2:]
    return start, float(edges[np.argmax(gone)] if gone.any() else edges[-1])


def between_ends(laid: Aligned) -> Bools:
    """Points ahead of the transom and abaft the bow plate, clear of both."""
    near = max(CLEAR, 4.0 * laid.transom.spread)
    inside: Bools = laid.transom.height(laid.points) > near
    if laid.bow is not None:
        inside &= laid.bow.height(laid.points) < -near
    return inside


def _folded(points: Array) -> Array:
    """Starboard laid on port."""
    found = points.copy()
    found[:, 1] = np.abs(found[:, 1])
    return found


def _levelled(laid: Aligned, fit: Fit) -> tuple[Aligned, Fit]:
    """The straight run of the keel made level."""
    slope, _ = keel_run(fit, laid.length)
    return laid.turned(slope), replace(fit, skin=fit.skin.tilted(-slope))


def keel_run(fit: Fit, length: float) -> tuple[float, float]:
    """Slope of the straight run of the keel, and its height at x = 0.

    The run goes from the transom to where the keel leaves a straight line.
    """
    x = np.arange(0.02, 0.95, 0.01) * length
    z = fit.skin.at(x)[0][:, 0, 1]
    trust = 1.0 / np.hypot(fit.errors(x)[:, 0, 1], 1.0)
    slope, base, run, least = 0.0, 0.0, len(x) // 5, len(x) // 5
    for _ in range(8):
        slope, base = (float(value) for value in np.polyfit(x[:run], z[:run], 1, w=trust[:run]))
        off = np.abs(z - slope * x - base) > LEAVES
        off[:least] = False
        longer = int(np.argmax(off)) if off.any() else len(x)
        if longer == run:
            break
        run = longer
    if run < len(x):
        # It leaves the line well before it has left it by so much.
        run = max(least, int(STILL * run))
        slope, base = (float(value) for value in np.polyfit(x[:run], z[:run], 1, w=trust[:run]))
    return slope, base


def _closed_in(
    laid: Aligned, names: tuple[str, ...], fit: Fit, level: bool, tell: Callable[[str], None]
) -> Lines:
    """Edges found, bows told, then all points laid against the skin, both sides and each."""
    bends = (3,) * (len(names) - 1)
    inner = between_ends(laid)
    every = laid.points[inner]
    folded = _folded(every)
    few = picked(folded, FEW)
    tell("finding the gunwale")
    for _ in range(2):
        fit = _edged(fit, folded, few, bends)
    bends = _bends(fit, laid)
    tell("laying all points against the skin")
    fit = _edged(fit, folded, folded, bends)
    cells, _, _ = gathered(fit.skin, folded, 4.7 * fit.noise, fit.noise)
    span = (0.0, _forward_end(laid, cells, fit, folded))
    port, starboard = (every[every[:, 1] > 0.0], _folded(every[every[:, 1] < 0.0]))
    unevenness = _unevenness(fit, port, starboard, span)
    sides: dict[str, Fit] = {}
    if unevenness[0] > UNEVEN and laid.pairs > 0:
        tell("telling port from starboard")
        for side, own in (("port", port), ("starboard", starboard)):
            one = fitted_skin(fit.skin, own, LAST, bends, fit.noise)
            sides[side] = _edged(_edged(one, own, own, bends), own, own, bends)
    lines = Lines(laid, names, fit, sides, cells, span, unevenness, len(every))
    return _from_foot(_relevelled(lines) if level else lines, level)


def _relevelled(lines: Lines) -> Lines:
    """What the last fits still left of a pitch taken out, a few hundredths of a degree."""
    slope, _ = keel_run(lines.both, lines.span[1])
    both = replace(lines.both, skin=lines.skin.tilted(-slope))
    sides = {side: replace(fit, skin=fit.skin.tilted(-slope)) for side, fit in lines.sides.items()}
    return replace(lines, aligned=lines.aligned.turned(slope), both=both, sides=sides)


def _edged(fit: Fit, every: Array, used: Array, bends: tuple[int, ...]) -> Fit:
    """The fit with its edge where the points end, and fitted to `used` anew."""
    x, shift = edge_shift(fit.skin, every, fit.noise)
    if len(x) < 6:
        return fitted_skin(fit.skin, used, LAST, bends, fit.noise)
    skin, error = with_edge(fit.skin, x, shift)
    return replace(fitted_skin(skin, used, LAST, bends, fit.noise), edge=error)


def _bends(fit: Fit, laid: Aligned) -> tuple[int, ...]:
    """How each panel bows, as far as that is larger than a tape tells, and than its own error."""
    sizes = fit.bow_sizes(np.linspace(0.05, 0.9, 40) * laid.length)
    return tuple(3 if max(bow[1:]) > SKEW else 1 if bow[0] > FLAT_BOW else 0 for bow in sizes.tolist())


def _forward_end(laid: Aligned, cells: Cells, fit: Fit, points: Array) -> float:
    """The greatest x to which all panels reach; of a bow plate its foot.

    Points lie as densely up to the end as abaft it: it lies as far ahead of a place short of it as the points
    ahead of that place take at that density, whatever the noise.
    """
    skin = fit.skin
    if laid.bow is not None:
        x = laid.bow.x
        for _ in range(20):
            x = laid.bow.x + laid.bow.lean * float(skin.at(np.array([x]))[0][0, 0, 1])
        return x
    # A panel may close before the others do; what one alone shows may be no skin.
    reach = sorted(float(cells.seen(panel).max(initial=0.0)) for panel in range(skin.count - 1))
    rough = reach[-2:][0]
    near = points[np.abs(points[:, 0] - rough) < TAPER + TAIL + 100.0]
    if len(near) < 50:
        return rough
    at = lay(skin, near)
    x = near[(np.abs(at.off) < 4.0 * fit.noise) & (at.share > 0.0) & (at.share < 1.0), 0]
    density = np.sum((x > rough - TAPER - TAIL) & (x < rough - TAIL)) / TAPER
    ahead = np.sum((x >= rough - TAIL) & (x < rough + 2.0 * TAIL))
    return float(np.clip(rough - TAIL + ahead / max(density, 1e-9), rough - TAIL, rough + TAIL))


def _unevenness(
    fit: Fit, port: Array, starboard: Array, span: tuple[float, float]
) -> tuple[float, float, float]:
    """Root mean square and greatest distance between the sides, noise taken out, and where it is greatest."""
    if min(len(port), len(starboard)) < 1_000:
        return 0.0, 0.0, 0.0
    reach = max(4.7 * fit.noise, 25.0)
    tables = [_table(fit.skin, own, reach, fit.noise) for own in (port, starboard)]
    (a, na), (b, nb) = tables
    good = (na > 8.0) & (nb > 8.0)
    if not good.any():
        return 0.0, 0.0, 0.0
    away = np.where(good, a - b, 0.0)
    noise = np.where(good, fit.noise**2 * (1.0 / np.maximum(na, 1.0) + 1.0 / np.maximum(nb, 1.0)), 0.0)
    weight = np.where(good, np.minimum(na, nb), 0.0)
    square = float(np.sum(weight * (away**2 - noise)) / np.sum(weight))
    sure = np.where(np.abs(away) > 3.0 * np.sqrt(noise), np.abs(away), 0.0)
    row = int(np.unravel_index(np.argmax(sure), sure.shape)[0])
    at = float(np.clip(fit.skin.knots.start + (row + 0.5) * ROOM * CELL, *span))
    return float(np.sqrt(max(square, 0.0))), float(sure.max()), at


def _table(skin: Skin, points: Array, reach: float, noise: float) -> tuple[Array, Array]:
    """Mean distances off the skin in large cells, seven of `gathered` along, five across; their weights."""
    cells, _, _ = gathered(skin, points, reach, noise)
    row = ((cells.x - skin.knots.start) / (ROOM * CELL)).astype(np.int64)
    column = cells.panel * (SHARES // 5) + np.clip(cells.share * (SHARES // 5), 0, SHARES // 5 - 1).astype(
        np.int64
    )
    size = (int(skin.knots.spans * skin.knots.step / (ROOM * CELL)) + 2, (skin.count - 1) * (SHARES // 5))
    at = row * size[1] + column
    weight = np.bincount(at, cells.weight, size[0] * size[1])
    mean = np.bincount(at, cells.weight * cells.off, len(weight)) / np.maximum(weight, 1e-9)
    return np.asarray(mean.reshape(size)), np.asarray(weight.reshape(size), dtype=np.float64)


def _from_foot(lines: Lines, level: bool) -> Lines:
    """The origin moved to where the keel meets the transom; its height to that of the keel's straight run."""
    laid, skin = lines.aligned, lines.skin
    x = laid.transom.x
    for _ in range(4):
        z = float(skin.at(np.array([x]))[0][0, 0, 1])
        x = laid.transom.x + laid.transom.lean * z
    if level:
        # One point at the very end is known less well than the whole run.
        z = keel_run(lines.both, lines.span[1])[1]
    move = (-x, -z)
    moved = {side: replace(fit, skin=fit.skin.moved(*move)) for side, fit in lines.sides.items()}
    cells = replace(lines.cells, x=lines.cells.x - x)
    span = (0.0, lines.span[1] - x)
    both = replace(lines.both, skin=skin.moved(*move))
    return replace(lines, aligned=laid.moved(x, z), both=both, sides=moved, cells=cells, span=span)
