"""Reads the settings of sheet nests, with every fault told at its place in the file."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from cutlists.nests.records import Stock
from cutlists.nests.settings import (
    MOST_SECONDS,
    Material,
    MaterialEntry,
    NestEntry,
    NestFile,
    NestSettings,
    OffcutEntry,
    SizeEntry,
    size_label,
)
from cutlists.reading import Reading
from model.flat_arcs import polygon_of
from parts.checked import Path as Keys
from parts.checked import checked
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import format_length
from parts.outline import Array, Loop
from parts.yamlfile import read_yaml

_RING = "list the corners once, in order round the edge"


def read_nest_settings(path: Path, known: Iterable[str] = ()) -> NestSettings:
    """The settings of a YAML file of their own.

    Args:
        path: the file.
        known: names of sheets that can be meant; any are taken where none are given.

    Raises:
        BadInput: the file's faults, all at once.
    """
    document, faults = read_yaml(path), FaultList()
    entry = checked(NestFile, document.data, document.place, faults)
    faults.raise_if_any()
    assert entry is not None
    found = nest_settings(entry, entry.units, document.place, faults, known)
    faults.raise_if_any()
    return found


def nest_settings(
    entry: NestEntry,
    units: str,
    place: Callable[[Keys], Place],
    faults: FaultList,
    known: Iterable[str] = (),
    tubes: Iterable[str] = (),
) -> NestSettings:
    """Settings as numbers; what is wrong with them is noted in `faults`.

    Args:
        entry: as read.
        units: of bare numbers.
        place: where a path of keys, from the entry's own, stands in the file.
        faults: gathers what is wrong; what is returned then is not to be used.
        known: names of sheets that can be meant; any are taken where none are given.
        tubes: names of sections, which are no sheets.
    """
    read = _Reader(units, place, faults, frozenset(known), frozenset(tubes))
    seconds = read.number(("seconds",), entry.seconds, 0.1, MOST_SECONDS)
    effort = (
        0.75 * seconds if entry.effort is None else read.number(("effort",), entry.effort, 0.01, MOST_SECONDS)
    )
    return NestSettings(
        spacing=read.length(("spacing",), entry.spacing, above=True, right="the cutter takes its width"),
        margin=read.length(("margin",), entry.margin),
        seconds=seconds,
        effort=effort,
        seed=int(read.number(("seed",), entry.seed, 0, 2**31 - 1)),
        repeatable=entry.repeatable,
        materials={name: read.material(name, given) for name, given in entry.sheets.items()},
        offcuts=read.offcuts(entry.offcuts),
        place=place(()),
    )


@dataclass(frozen=True)
class _Reader(Reading):
    known: frozenset[str]
    tubes: frozenset[str]

    def sheet_name(self, keys: Keys, name: str) -> None:
        """Notes a name that the catalogue does not have, or has for something else."""
        if name in self.tubes:
            wrong = f"'{name}' is bought in sticks: it has no grain and is not nested"
            self.fault(keys, wrong, "put it under `sticks: sections:`")
        elif self.known and name not in self.known:
            self.faults.add(self.place(keys), f"there is no sheet '{name}'", did_you_mean(name, self.known))

    def material(self, name: str, given: MaterialEntry) -> Material:
        """Sizes, grain and faces of one sheet."""
        self.sheet_name(("sheets", name), name)
        keys: Keys = ("sheets", name, "sizes")
        sizes = [self._size((*keys, i), size) for i, size in enumerate(given.sizes or ())]
        labels, prices = [size.label for size in sizes], [size.price for size in sizes]
        self.all_priced(keys, labels, prices, "sizes", "area")
        if given.runs and not given.grain:
            self.faults.add(
                self.place(("sheets", name, "runs")), "this sheet has no grain", "add `grain: true`"
            )
        flip = given.flip if isinstance(given.flip, bool) else frozenset(given.flip)
        return Material(tuple(sizes), given.grain, dict(given.runs), flip)

    def _size(self, keys: Keys, given: SizeEntry) -> Stock:
        width = self.length((*keys, "width"), given.width, above=True)
        length = self.length((*keys, "length"), given.length, above=True)
        self.price((*keys, "price"), given.price)
        return Stock.sheet(size_label(width, length, self.units), width, length, given.price)

    def offcuts(self, given: list[OffcutEntry]) -> dict[str, tuple[Stock, ...]]:
        """Offcuts on hand, by the sheet they are of."""
        found: dict[str, tuple[Stock, ...]] = {}
        names: list[str] = []
        for i, entry in enumerate(given):
            keys: Keys = ("offcuts", i)
            self.sheet_name((*keys, "sheet"), entry.sheet)
            self.own_name(keys, entry.name, names)
            names.append(entry.name)
            if entry.quantity < 1:
                self.number((*keys, "quantity"), entry.quantity, 1, 1000)
            stock = self._offcut(keys, entry)
            if stock is not None:
                found[entry.sheet] = (*found.get(entry.sheet, ()), stock)
        return found

    def _offcut(self, keys: Keys, entry: OffcutEntry) -> Stock | None:
        before = len(self.faults)
        given = [side is not None for side in (entry.width, entry.length)]
        if (entry.outline is None and not all(given)) or (entry.outline is not None and any(given)):
            right = "give a width and a length, or an outline alone"
            self.faults.add(self.place(keys), "the offcut has no clear shape", right)
            return None
        if entry.outline is None:
            width = self.length((*keys, "width"), entry.width, above=True)
            length = self.length((*keys, "length"), entry.length, above=True)
            corners = np.array([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])
        else:
            corners = self._ring((*keys, "outline"), entry.outline)
        holes = [self._ring((*keys, "holes", i), ring) for i, ring in enumerate(entry.holes)]
        if len(self.faults) > before:
            return None
        corner = corners.min(axis=0)
        loops = [Loop.polygon(ring - corner).ccw() for ring in (corners, *holes)]
        whole = polygon_of(loops[0], loops[1:])
        if not whole.is_valid:
            self.faults.add(
                self.place((*keys, "holes")),
                "a hole crosses another or leaves the outline",
                "redraw the holes",
            )
            return None
        return Stock(entry.name, loops[0], tuple(loops[1:]), 0.0, entry.quantity)

    def _ring(self, keys: Keys, given: list[list[Any]]) -> Array:
        """Corners `(n, 2)`, mm, of a ring that does not cross itself."""
        before = len(self.faults)
        points = np.array([[self.ordinate(keys, value) for value in point] for point in given])
        if len(self.faults) > before:
            return points
        if len(points) > 3 and (points[0] == points[-1]).all():
            points = points[:-1]
        ring = shapely.Polygon(points)
        if not ring.is_valid:
            where = re.findall(r"-?[0-9.]+(?:e[-+]?[0-9]+)?", shapely.is_valid_reason(ring))
            at = ", ".join(format_length(float(value), self.units) for value in where)
            self.faults.add(self.place(keys), f"the outline crosses or touches itself at {at}", _RING)
        elif ring.area < 1.0:
            self.faults.add(self.place(keys), "the outline encloses no area", _RING)
        return points
