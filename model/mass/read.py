"""The `weights:` entry of a boat file to masses at places; every fault is noted at its line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from model.boatfile.numbers import Key
from model.boatfile.weights_schema import (
    AboardEntry,
    ItemEntry,
    LoadEntry,
    WeighedHullEntry,
    WeightsEntry,
)
from model.geometry import Array
from model.layout.context import Context
from model.layout.records import Layout
from model.layout.surfaces import Surfaces
from model.mass.lump import Lump
from model.mass.plan import Item, WeighedHull, WeightPlan
from model.mass.scales import BadScalesError, weighed
from parts.amounts import parse_mass

STANDING, SITTING = 970.0, 250.0
"""Centre of a person above the deck stood on or the cushion sat on, mm (from memory: 0.55 of the stature of
a man of 1.76 m; about 10 in above a seat)."""


def read_weights(entry: WeightsEntry, ctx: Context, layout: Layout) -> WeightPlan:
    """The weights of a boat file; what cannot be read is left out, its fault noted in the context."""
    reader = Reader(ctx, layout)
    hull = _hull(entry.hull, reader) if entry.hull is not None else None
    removed = [
        item.lump for name, own in entry.removed.items() if (item := reader.item(own, "removed", name))
    ]
    if hull is not None and sum(lump.mass for lump in removed) >= hull.mass:
        ctx.fault(
            ("weights", "removed"),
            "what is taken out weighs as much as the hull or more",
            "weigh again; the hull is weighed before anything is taken out",
        )
    aboard = [item for name, own in entry.aboard.items() if (item := reader.item(own, "aboard", name))]
    loads = [item for name, own in entry.loads.items() if (item := reader.item(own, "loads", name))]
    return WeightPlan(hull, tuple(removed), tuple(aboard), tuple(loads))


def _hull(entry: WeighedHullEntry, reader: Reader) -> WeighedHull | None:
    path: tuple[Key, ...] = ("weights", "hull")
    ctx = reader.ctx
    place = ctx.numbers.document.place(path)
    height = None if entry.height is None else ctx.numbers.length(entry.height, *path, "height")
    if entry.scales:
        if entry.mass is not None:
            ctx.fault((*path, "mass"), "the hull has both a mass and scales", "leave one of them out")
        return _on_scales(entry, height, reader)
    if entry.mass is None:
        ctx.fault(path, "the hull has no mass", "give `mass`, or the readings of two `scales`")
        return None
    mass = reader.mass(entry.mass, *path, "mass")
    if entry.centre is None:
        return None if mass is None else WeighedHull(mass, None, None, height, "weighed whole", place)
    x, y, z = ctx.numbers.point(entry.centre, *path, "centre").tolist()
    return None if mass is None else WeighedHull(mass, x, y, z, "weighed, centre as given", place)


def _on_scales(entry: WeighedHullEntry, height: float | None, reader: Reader) -> WeighedHull | None:
    path: tuple[Key, ...] = ("weights", "hull", "scales")
    places, reads, empty = [], [], []
    for i, scale in enumerate(entry.scales):
        at = scale.at if isinstance(scale.at, list) else [scale.at, 0]
        places.append(reader.ctx.numbers.point(at, *path, i, "at"))
        reads.append(reader.mass(scale.reads, *path, i, "reads"))
        empty.append(reader.mass(scale.trailer, *path, i, "trailer") if scale.trailer is not None else 0.0)
    if None in reads or None in empty or not np.isfinite(places).all():
        return None
    try:
        mass, (x, y) = weighed(np.array(places), [r or 0.0 for r in reads], [e or 0.0 for e in empty])
    except BadScalesError as error:
        reader.ctx.fault(path, error.wrong, error.right)
        return None
    # scales in one line along the boat do not tell where the centre is athwart
    athwart = float(y) if np.ptp(np.array(places)[:, 1]) > 0.0 else None
    how = f"weighed on {len(reads)} scales"
    return WeighedHull(mass, float(x), athwart, height, how, reader.ctx.numbers.document.place(path))


class Reader:
    """Reads masses and places of one boat file."""

    def __init__(self, ctx: Context, layout: Layout) -> None:
        """A reader that finds what things stand on in `layout`."""
        self.ctx = ctx
        self.surfaces = Surfaces(ctx, layout.decks, layout.lockers)

    def mass(self, text: str | int | float, *path: Key) -> float | None:
        """A mass, kg; None, with the fault noted, where it is none or not above zero."""
        try:
            return parse_mass(text)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self.ctx.fault(path, wrong, right)
            return None

    def item(self, entry: ItemEntry, group: str, name: str) -> Item | None:
        """A thing of the file at its place; None, with the fault noted."""
        path = ("weights", group, name)
        mass = self.mass(entry.mass, *path, "mass")
        usual = 0.0
        if isinstance(entry, LoadEntry) and entry.person is not None:
            usual = STANDING if entry.person == "standing" else SITTING
        centre = self.spot(entry.at, entry.on, entry.above, path, usual)
        if mass is None or centre is None:
            return None
        counts = "gear"
        if isinstance(entry, AboardEntry):
            counts = entry.counts
        elif isinstance(entry, LoadEntry) and entry.person is not None:
            counts = "person"
        place = self.ctx.numbers.document.place(path)
        before = isinstance(entry, AboardEntry) and entry.before
        overhangs = isinstance(entry, AboardEntry)
        return Item(Lump(name, group, mass, centre), counts, before, place, overhangs, usual)

    def spot(
        self,
        at: Sequence[str | int | float],
        on: str | None,
        above: str | int | float | None,
        path: tuple[Key, ...],
        usual: float = 0.0,
        height: float | None = None,
    ) -> Array | None:
        """A centre of mass, `(3,) float`, mm; None, with the fault noted.

        Args:
            at: [x, y, z], or [x, y] with what it is on.
            on: name of what it is on.
            above: how far above that its centre is; `usual` unless given, mm.
            path: where it stands in the file.
            usual: see `above`.
            height: of the centre where neither `on` nor z is given, mm.
        """
        point = self.ctx.numbers.point(at, *path, "at")
        lift = self.ctx.numbers.length_or(above, usual, *path, "above")
        if len(point) == 3:
            if on is not None:
                self.ctx.fault((*path, "on"), "it has a height of its own", "leave out z, or `on`")
            return point if np.isfinite(point).all() else None
        if on is None and height is None:
            self.ctx.fault((*path, "at"), "it has no height", "give z as well, or `on` what it stands")
            return None
        base = height if on is None else self._height(on, point, path)
        found = np.array([*point, np.nan if base is None else base + (lift if on is not None else 0.0)])
        return found if np.isfinite(found).all() else None

    def _height(self, on: str, point: Array, path: tuple[Key, ...]) -> float | None:
        """Height of what is called `on` at a plan point, mm."""
        hand = "port" if point[1] >= 0.0 else "starboard"
        opening = self.surfaces.opening(on, hand)
        if opening is not None:
            deck, hole = opening
            return deck.height_at(float(point[0])) + (hole.lid.top if hole.lid else 0.0)
        locker = self.surfaces.locker(on, hand)
        if locker is not None and locker.floor is not None:
            return locker.floor
        if locker is not None or on == "hull":
            height = float(self.ctx.hull.bottom(point[0], point[1]))
            if not np.isfinite(height):
                self.ctx.fault((*path, "at"), "it does not lie within the hull", "move it inward")
            return height
        found = self.surfaces.deck_called(on, hand)
        if found is None:
            self.surfaces.unknown(on, (*path, "on"))
            return None
        return found.height_at(float(point[0]))
