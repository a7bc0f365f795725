"""Pieces of mat laid out on sheets: the way of the grooves and, on grooved sheets, their place kept.

Big pieces first, each as near the low end of a sheet as it fits; what lies in another's hole on the boat, a
lid in its deck, is laid there again where it can be: what a hole leaves over would be waste.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely import affinity

from cutlists.mats.places import OpenSheet, Stencils, best_place
from cutlists.mats.turned import Laid, keeps_phase, quarter_turn
from model.mat.build import Matting
from model.mat.piece import MatPiece
from model.mat.settings import MatSettings, MatSheet

_EXACT = 1e-6


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A sheet of mat on hand, or what is left of one: what it is called, and itself."""

    label: str
    sheet: MatSheet


@dataclass(frozen=True, eq=False)
class SheetNest:
    """A sheet of mat and the pieces that are cut from it; `label` is what it is called if it is on hand."""

    sheet: MatSheet
    laid: tuple[Laid, ...]
    label: str = ""

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
    """All sheets; what fits none, and why; grooved pieces that miss the sheet's grooves, by name."""

    sheets: tuple[SheetNest, ...]
    left_over: dict[str, str]
    loose_phase: tuple[str, ...]

    @property
    def bought(self) -> float:
        """Area of the sheets to buy, mm2."""
        return sum(nest.sheet.length * nest.sheet.width for nest in self.sheets if not nest.label)

    @property
    def cost(self) -> float:
        """What the sheets to buy cost; their area in m2 where a price is not known."""
        new = [nest.sheet for nest in self.sheets if not nest.label]
        if all(sheet.price is not None for sheet in new):
            return sum(sheet.price or 0.0 for sheet in new)
        return self.bought * 1e-6


def nest_mats(
    matting: Matting, tell: Callable[[str], None] | None = None, held: Sequence[OnShelf] = ()
) -> MatNest:
    """The mat's pieces on the sheets of its settings: the cheapest, then the fewest, then the emptiest last.

    What is on hand is filled first. Several orders of the pieces and every choice of the main sheet size are
    tried. Without prices the area of the sheets counts.

    Args:
        matting: pieces and settings.
        tell: hears how it goes.
        held: sheets on hand, of the kinds that the settings name.
    """
    say = tell or (lambda _: None)
    shelf = sorted(held, key=lambda one: one.sheet.length * one.sheet.width)
    best: MatNest | None = None
    stencils: Stencils = {}
    for key in ("area", "length", "width"):
        for main in matting.settings.sheets:
            say(f"nesting mat: by {key}, on {main.name}")
            found = _fill(matting, _ordered(matting.pieces, key), main, stencils, shelf)
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


def _fill(
    matting: Matting,
    pieces: Sequence[MatPiece],
    main: MatSheet,
    stencils: Stencils,
    held: Sequence[OnShelf],
) -> MatNest:
    settings, marks = matting.settings, matting.marks
    opened = [OpenSheet.empty(one.sheet, settings, stencils) for one in held]
    done: set[str] = set()
    left: dict[str, str] = {}
    for piece in pieces:
        if piece.name in done:
            continue
        target = _place(piece, marks, opened, (main, *settings.sheets), settings, stencils)
        if target is None:
            left[piece.name] = _why_not(piece, settings)
            continue
        done.add(piece.name)
        for inner in _within(target, pieces, marks, done):
            target.add(inner)
            done.add(inner.piece.name)
    pairs = zip(held, opened, strict=False)
    sheets = [SheetNest(one.sheet, tuple(one.laid), shelf.label) for shelf, one in pairs if one.laid]
    sheets += [_smaller(one, settings) for one in opened[len(held) :]]
    loose = tuple(
        one.piece.name
        for nest in sheets
        for one in nest.laid
        if nest.sheet.grooved and one.piece.lines and not keeps_phase(one.piece, nest.sheet, settings.pitch)
    )
    return MatNest(tuple(sheets), left, loose)


def _place(
    piece: MatPiece,
    marks: Mapping[str, str],
    opened: list[OpenSheet],
    sheets: Sequence[MatSheet],
    settings: MatSettings,
    stencils: Stencils,
) -> OpenSheet | None:
    """Lays a piece on the first open sheet it fits, else on a new one, the first of `sheets` it fits."""
    for one in opened:
        if not _may_hold(one, piece):
            continue
        laid = best_place(piece, marks[piece.name], one)
        if laid is not None:
            one.add(laid)
            return one
    for sheet in sheets:
        fresh = OpenSheet.empty(sheet, settings, stencils)
        laid = best_place(piece, marks[piece.name], fresh)
        if laid is not None:
            fresh.add(laid)
            opened.append(fresh)
            return fresh
    return None


def _may_hold(one: OpenSheet, piece: MatPiece) -> bool:
    """Whether the piece is no larger than the sheet, whichever way it is turned."""
    sides = sorted(piece.extents)
    room = sorted(side - 2.0 * one.settings.margin + _EXACT for side in (one.sheet.length, one.sheet.width))
    return sides[0] <= room[0] and sides[1] <= room[1]


def _within(
    target: OpenSheet, pieces: Sequence[MatPiece], marks: Mapping[str, str], done: set[str]
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


def _smaller(one: OpenSheet, settings: MatSettings) -> SheetNest:
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
