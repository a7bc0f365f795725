"""The nests of a boat: pieces, stock and settings to a checked plan."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from cutlists.nests.bounds import needs_of
from cutlists.nests.check import faults_of
from cutlists.nests.choosing import Chooser
from cutlists.nests.filling import RULES, Packing, Work
from cutlists.nests.forms import Form, form_of
from cutlists.nests.ground import TOUCH, Ground, Plot
from cutlists.nests.pieces import nest_pieces, stock_for, too_large
from cutlists.nests.records import MaterialNest, NestPiece, NestPlan, SheetNest, Stock
from cutlists.nests.rest import largest_rest
from cutlists.nests.settings import NestSettings
from parts.faults import Fault, FaultList, Place

if TYPE_CHECKING:
    from model.boat import Boat
    from model.panel import Panel
    from model.strip import Strip

Tell = Callable[[str], None]
_CELLS = 30_000
"""Of the raster of the largest sheet."""


def nest_plan(boat: Boat, settings: NestSettings | None = None, tell: Tell = lambda _: None) -> NestPlan:
    """The nests of everything in a boat that is cut from sheet.

    Args:
        boat: the finished boat.
        settings: the shop's; the usual ones unless given.
        tell: hears how the search goes.

    Raises:
        BadInput: pieces that no sheet holds, all at once.
    """
    settings = settings or NestSettings()
    pieces, stock, places = _asked(boat, settings)
    return plan_nests(pieces, stock, settings, tell, places, boat.units)


def none_holds(boat: Boat, settings: NestSettings) -> Iterator[tuple[str, Fault]]:
    """The pieces of a boat that no sheet of theirs holds, by name with the fault; nothing is nested."""
    pieces, stock, places = _asked(boat, settings)
    yield from _without_room(_tables(pieces, stock, settings), settings, places, boat.units)


def _asked(
    boat: Boat, settings: NestSettings
) -> tuple[list[NestPiece], dict[str, Sequence[Stock]], dict[str, Place]]:
    """What a boat has cut, from what that may be, and where its file tells of it."""
    panels: list[Panel | Strip] = [*boat.panels, *boat.strips]
    sheets = {panel.sheet.name: panel.sheet for panel in panels}
    stock: dict[str, Sequence[Stock]] = {
        name: stock_for(sheet, settings, boat.units) for name, sheet in sheets.items()
    }
    pieces = list(nest_pieces(panels, boat.marks, settings))
    return pieces, stock, {piece.name: boat.place(piece.name) or settings.place for piece in pieces}


def plan_nests(
    pieces: Sequence[NestPiece],
    stock: Mapping[str, Sequence[Stock]],
    settings: NestSettings,
    tell: Tell = lambda _: None,
    places: Mapping[str, Place] | None = None,
    units: str = "mm",
) -> NestPlan:
    """The nests of pieces, checked by geometry of its own before it is handed out.

    Args:
        pieces: what to cut; names differ.
        stock: for each sheet that pieces name, the sizes to buy and the offcuts on hand.
        settings: spacing, margin, how long to search.
        tell: hears how the search goes.
        places: where the file tells of each piece, by its name, for faults.
        units: of lengths in faults.

    Raises:
        BadInput: pieces that no sheet holds, all at once.
    """
    tables = _tables(pieces, stock, settings)
    faults = FaultList()
    faults.extend(fault for _, fault in _without_room(tables, settings, places or {}, units))
    faults.raise_if_any()
    found = _searched(tables, settings, tell)
    for _, left, _ in found:
        for piece in left:
            faults.extend([_crowded_out(piece, (places or {}).get(piece.name, settings.place))])
    faults.raise_if_any()
    materials, works = [material for material, _, _ in found], [work for _, _, work in found]
    plan = NestPlan(
        tuple(materials),
        settings.spacing,
        settings.margin,
        settings.seed,
        any(work.cut_short for work in works) or not settings.repeatable,
        tuple(dict.fromkeys(note for work in works for note in work.notes)),
    )
    wrong = faults_of(plan, pieces)
    if wrong:
        raise AssertionError("a nest came out wrong: " + "; ".join(wrong[:3]))
    return plan


def _tables(
    pieces: Sequence[NestPiece], stock: Mapping[str, Sequence[Stock]], settings: NestSettings
) -> dict[str, _Table]:
    groups: dict[str, list[NestPiece]] = {}
    for piece in pieces:
        groups.setdefault(piece.sheet, []).append(piece)
    return {name: _Table(group, stock[name], settings) for name, group in groups.items()}


def _without_room(
    tables: Mapping[str, _Table], settings: NestSettings, places: Mapping[str, Place], units: str
) -> Iterator[tuple[str, Fault]]:
    for table in tables.values():
        for piece in table.without_room():
            place = places.get(piece.name, settings.place)
            for fault in too_large(piece, table.stock, settings.margin, place, units):
                yield piece.name, fault


def _searched(
    tables: Mapping[str, _Table], settings: NestSettings, tell: Tell
) -> list[tuple[MaterialNest, list[NestPiece], Work]]:
    """Each material's nest with pieces that found no room; effort and time shared by numbers of pieces."""
    deadline = time.monotonic() + settings.seconds
    to_come = total = sum(len(table.pieces) for table in tables.values())
    found = []
    for name, table in tables.items():
        now, number = time.monotonic(), len(table.pieces)
        work = Work(
            settings.effort * number / total,
            now + max(0.0, deadline - now) * number / to_come,
            settings.repeatable,
            partial(_tell_of, name, tell),
        )
        found.append((*table.nest(name, settings, work), work))
        to_come -= number
    return found


def _crowded_out(piece: NestPiece, place: Place) -> Fault:
    wrong = (
        f"{piece.mark} {piece.name} fits none of the sheets of {piece.sheet} to buy, and the offcuts are full"
    )
    return Fault(place, wrong, "add a larger size, or an offcut that holds it")


def _tell_of(name: str, tell: Tell, said: str) -> None:
    tell(f"{name}: {said}")


class _Table:
    """The pieces of one material, with the plots they may go on."""

    def __init__(self, pieces: Sequence[NestPiece], stock: Sequence[Stock], settings: NestSettings) -> None:
        self.pieces, self.stock = pieces, stock
        cell = math.sqrt(max((kind.area for kind in stock), default=1.0) / _CELLS)
        plots = [Plot(kind, settings.spacing, settings.margin, cell) for kind in stock]
        self.plots = [plot for plot in plots if not plot.is_empty]
        self.forms = [form_of(piece, cell) for piece in pieces]
        shape = (len(self.forms), len(self.plots))
        may = [_may_fit(form, plot) for form in self.forms for plot in self.plots]
        self.may_fit: npt.NDArray[np.bool_] = np.array(may, dtype=np.bool_).reshape(shape)
        self.fits = self.may_fit.copy()
        for i, k in np.argwhere(self.may_fit):
            if not self.plots[k].is_box:
                self.fits[i, k] = Ground(self.plots[k]).find(self.forms[i], RULES[0]) is not None

    def without_room(self) -> list[NestPiece]:
        """Pieces that fit no sheet by themselves."""
        return [piece for piece, row in zip(self.pieces, self.fits, strict=True) if not row.any()]

    def nest(self, name: str, settings: NestSettings, work: Work) -> tuple[MaterialNest, list[NestPiece]]:
        """The material's sheets, and pieces that fit offcuts only and found those taken."""
        needs = needs_of(self.forms, self.plots, self.may_fit)
        chooser = Chooser(self.forms, self.plots, self.fits, needs, settings.seed, work)
        packing = chooser.run()
        priced = any(kind.price is not None for kind in self.stock if not kind.is_offcut)
        sheets = _sheet_nests(packing, settings.spacing)
        left = [form.piece for form in packing.left]
        return MaterialNest(name, sheets, needs.bound, needs.why, priced), left


def _may_fit(form: Form, plot: Plot) -> bool:
    """Whether a form fits the box of an empty plot; for a rectangle that tells all."""
    return (
        any(bool(np.less_equal(pose.size, np.add(plot.size, TOUCH)).all()) for pose in form.poses)
        and form.polygon.area <= plot.area + 1.0
    )


def _sheet_nests(packing: Packing, spacing: float) -> tuple[SheetNest, ...]:
    found = []
    for ground in packing.grounds:
        if ground.laid:
            placements = tuple(ground.placements())
            rest = largest_rest(ground.plot.stock, placements, spacing)
            found.append(SheetNest(ground.plot.stock, placements, rest))
    return tuple(found)
