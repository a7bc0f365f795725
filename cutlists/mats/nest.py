"""Pieces of mat laid out on sheets: the way of the grooves and, on grooved sheets, their place kept.

Big pieces first, each as near the low end of a sheet as it fits; what lies in another's hole on the boat, a
lid in its deck, is laid there again where it can be, so that one cut serves both. Every place is found on a
grid and then checked, and moved closer, by exact outlines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import affinity

from cutlists.mats.grid import Grid
from cutlists.mats.turned import Laid, allowed_turns, groove_shift, keeps_phase, quarter_turn
from model.mat.build import Matting
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings, MatSheet

CELL = 8.0
"""Greatest size of a grid cell, mm."""
_EXACT = 1e-6


@dataclass(frozen=True, eq=False)
class SheetNest:
    """A sheet of mat and the pieces that are cut from it."""

    sheet: MatSheet
    laid: tuple[Laid, ...]

    @property
    def used(self) -> float:
        """Area of the pieces, mm2."""
        return sum(one.piece.area for one in self.laid)

    @property
    def rest(self) -> float:
        """Length left at the high end of the sheet over its full width, mm."""
        return self.sheet.length - max((one.polygon.bounds[2] for one in self.laid), default=0.0)


@dataclass(frozen=True, eq=False)
class MatNest:
    """All sheets, and the pieces that fit none, by name with the reason."""

    sheets: tuple[SheetNest, ...]
    left_over: dict[str, str]
    loose_phase: tuple[str, ...]

    @property
    def bought(self) -> float:
        """Area of all sheets, mm2."""
        return sum(nest.sheet.length * nest.sheet.width for nest in self.sheets)

    @property
    def cost(self) -> float:
        """What the sheets cost; their area in m2 where a price is not known."""
        if all(nest.sheet.price is not None for nest in self.sheets):
            return sum(nest.sheet.price or 0.0 for nest in self.sheets)
        return self.bought * 1e-6


@dataclass(eq=False)
class _Open:
    """A sheet being filled."""

    sheet: MatSheet
    settings: MatSettings
    grid: Grid
    laid: list[Laid] = field(default_factory=list)
    shapes: list[shapely.Polygon] = field(default_factory=list)

    @classmethod
    def empty(cls, sheet: MatSheet, settings: MatSettings) -> _Open:
        """A bare sheet; on a grooved one the grid's rows are a whole number to the pitch, from a groove."""
        cy, low = CELL, 0.0
        if sheet.grooved:
            cy = settings.pitch / np.ceil(settings.pitch / CELL)
            low = sheet.first - settings.pitch * np.ceil(sheet.first / settings.pitch)
        border = int(np.ceil(settings.spacing / min(CELL, cy))) + 2
        return cls(sheet, settings, Grid(sheet.length, low, sheet.width, CELL, float(cy), border))

    def add(self, laid: Laid) -> None:
        shape = laid.polygon
        self.laid.append(laid)
        self.shapes.append(shape)
        self.grid.take(shape.buffer(self.settings.spacing / 2, quad_segs=2))

    def holds(self, shape: shapely.Polygon) -> bool:
        """Whether a shape lies within the margins and keeps the spacing from all others."""
        x0, y0, x1, y1 = shape.bounds
        m = self.settings.margin - _EXACT
        if x0 < m or y0 < m or x1 > self.sheet.length - m or y1 > self.sheet.width - m:
            return False
        spacing = self.settings.spacing - _EXACT
        return not self.shapes or bool((shapely.distance(np.array(self.shapes), shape) >= spacing).all())


def nest_mats(matting: Matting, tell: Callable[[str], None] | None = None) -> MatNest:
    """The mat's pieces on the sheets of its settings: the cheapest, then the fewest, then the emptiest last.

    Several orders of the pieces and every choice of the main sheet size are tried. Without prices the area
    of the sheets counts.
    """
    say = tell or (lambda _: None)
    best: MatNest | None = None
    for key in ("area", "length", "width"):
        for main in matting.settings.sheets:
            say(f"nesting mat: by {key}, on {main.name}")
            found = _fill(matting, _ordered(matting.pieces, key), main)
            if best is None or _rank(found) < _rank(best):
                best = found
    assert best is not None
    return best


def _rank(nest: MatNest) -> tuple[int, float, int, float]:
    rest = max((one.rest for one in nest.sheets), default=0.0)
    return len(nest.left_over), round(nest.cost, 6), len(nest.sheets), -rest


def _ordered(pieces: Sequence[MatPiece], key: str) -> list[MatPiece]:
    def size(piece: MatPiece) -> float:
        along, across = piece.extents
        return {"area": along * across, "length": max(along, across), "width": across}[key]

    return sorted(pieces, key=lambda piece: (-round(size(piece), 3), piece.name))


def _fill(matting: Matting, pieces: Sequence[MatPiece], main: MatSheet) -> MatNest:
    settings, marks = matting.settings, matting.marks
    opened: list[_Open] = []
    done: set[str] = set()
    left: dict[str, str] = {}
    for piece in pieces:
        if piece.name in done:
            continue
        target = _place(piece, marks, opened, main, settings)
        if target is None:
            left[piece.name] = _why_not(piece, settings)
            continue
        done.add(piece.name)
        for inner in _within(target, pieces, marks, done):
            target.add(inner)
            done.add(inner.piece.name)
    sheets = [_smaller(one, settings) for one in opened]
    loose = tuple(
        one.piece.name
        for nest in sheets
        for one in nest.laid
        if nest.sheet.grooved and one.piece.lines and not keeps_phase(one.piece, nest.sheet, settings.pitch)
    )
    return MatNest(tuple(sheets), left, loose)


def _place(
    piece: MatPiece, marks: Mapping[str, str], opened: list[_Open], main: MatSheet, settings: MatSettings
) -> _Open | None:
    """Lays a piece on the first open sheet it fits, else on a new one: the main size, or what it needs."""
    for one in opened:
        laid = _best_place(piece, marks[piece.name], one)
        if laid is not None:
            one.add(laid)
            return one
    for sheet in (main, *settings.sheets):
        fresh = _Open.empty(sheet, settings)
        laid = _best_place(piece, marks[piece.name], fresh)
        if laid is not None:
            fresh.add(laid)
            opened.append(fresh)
            return fresh
    return None


def _best_place(piece: MatPiece, mark: str, target: _Open) -> Laid | None:
    """The place nearest the low end of the sheet, of all the ways the piece may be turned."""
    found = [
        laid
        for quarters in allowed_turns(piece, target.sheet)
        if (laid := _first_place(Laid(piece, mark, quarters, 0.0, 0.0), target)) is not None
    ]
    return min(found, key=lambda one: tuple(np.round(one.polygon.bounds[2::-2], 2)), default=None)


def _first_place(laid: Laid, target: _Open) -> Laid | None:
    """The first free place on the grid that holds by exact outlines, moved as close as it goes."""
    settings, grid = target.settings, target.grid
    grown = laid.polygon.buffer(settings.spacing / 2, quad_segs=2)
    x0, y0, x1, y1 = laid.polygon.bounds
    phased = keeps_phase(laid.piece, target.sheet, settings.pitch)
    base_x = settings.margin - x0
    base_y = grid.y0 - groove_shift(laid.piece, laid.quarters) if phased else settings.margin - y0
    mask, i, j = grid.touched(affinity.translate(grown, base_x, base_y))
    free = grid.free(mask)
    room_x = target.sheet.length - settings.margin - (x1 + base_x)
    low_y, high_y = settings.margin - (y0 + base_y), target.sheet.width - settings.margin - (y1 + base_y)
    moves = (np.argwhere(free) - grid.border - [i, j]) * [grid.cx, grid.cy]
    keep = (moves[:, 0] > -_EXACT) & (moves[:, 0] < room_x + _EXACT)
    keep &= (moves[:, 1] > low_y - _EXACT) & (moves[:, 1] < high_y + _EXACT)
    if phased:
        keep &= np.abs((moves[:, 1] + settings.pitch / 2) % settings.pitch - settings.pitch / 2) < _EXACT
    if not keep.any():
        return None
    # in order along the sheet, then across: the first is the nearest to its low end
    x, y = moves[keep][0]
    placed = replace(laid, dx=base_x + float(x), dy=base_y + float(y))
    return _closer(placed, target, phased) if target.holds(placed.polygon) else None


def _closer(laid: Laid, target: _Open, phased: bool) -> Laid:
    """The piece moved towards the low corner as far as it goes; along its grooves only if phased."""
    for way in ((-1.0, 0.0),) if phased else ((-1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)):
        step = 2 * CELL
        while step > 0.2:
            moved = replace(laid, dx=laid.dx + way[0] * step, dy=laid.dy + way[1] * step)
            if target.holds(moved.polygon):
                laid = moved
            else:
                step /= 2
    return laid


def _within(
    target: _Open, pieces: Sequence[MatPiece], marks: Mapping[str, str], done: set[str]
) -> Iterator[Laid]:
    """Pieces that lie in a hole of the piece laid last on the boat, laid in it again where they may be."""
    host = target.laid[-1]
    holes = [shapely.Polygon(ring) for ring in host.piece.polygon.interiors]
    for piece in pieces if holes else ():
        own, frame = piece.frame, host.piece.frame
        if piece.name in done or float(own.x @ frame.x) < 1 - 1e-9 or float(own.z @ frame.z) < 1 - 1e-9:
            continue
        step = frame.to_frame(own.origin)[:2]
        if not any(hole.contains(affinity.translate(piece.polygon, *step)) for hole in holes):
            continue
        dx, dy = quarter_turn(host.quarters) @ step + [host.dx, host.dy]
        laid = Laid(piece, marks[piece.name], host.quarters, float(dx), float(dy))
        if target.holds(laid.polygon):
            yield laid


def _smaller(one: _Open, settings: MatSettings) -> SheetNest:
    """The sheet, or the cheapest of its kind that holds its pieces as they lie."""

    def cost(sheet: MatSheet) -> float:
        known = all(s.price is not None for s in settings.sheets)
        return sheet.price or 0.0 if known else sheet.length * sheet.width

    _, _, x1, y1 = shapely.union_all(one.shapes).bounds
    like = [
        sheet
        for sheet in settings.sheets
        if (sheet.grooved, sheet.first, sheet.turns) == (one.sheet.grooved, one.sheet.first, one.sheet.turns)
        and x1 <= sheet.length - settings.margin + _EXACT
        and y1 <= sheet.width - settings.margin + _EXACT
    ]
    return SheetNest(min(like, key=cost, default=one.sheet), tuple(one.laid))


def _why_not(piece: MatPiece, settings: MatSettings) -> str:
    along, across = piece.extents
    large = max(settings.sheets, key=lambda sheet: sheet.length * sheet.width)
    return (
        f"it is {along:.0f} mm along its grooves and {across:.0f} mm across; the largest sheet has "
        f"{large.length - 2 * settings.margin:.0f} by {large.width - 2 * settings.margin:.0f} mm"
    )
