"""The catalogue: every part that can be named in a boat, the starter's and one's own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path as FilePath
from typing import Any, TypeAlias

from parts import entries as read
from parts.alloy import Alloy
from parts.bending import Bending
from parts.catalogue_schema import CatalogueEntries
from parts.checked import Path, checked
from parts.faults import FaultList, Place, did_you_mean
from parts.fittings import Battery, Box, Fitting, Lid, Pedestal, Seat, Tank, Tray
from parts.plumbing import Drain, Hose, Pump, ThroughHull, Valve
from parts.section import Section
from parts.sheet import Sheet
from parts.shelf import Shelf
from parts.yamlfile import read_yaml

__all__ = ["Catalogue", "UnknownPart", "starter"]

Part: TypeAlias = Alloy | Section | Sheet | Fitting | Hose

DATA = FilePath(__file__).parent / "data"
FITTINGS = (
    "lids", "trays", "seats", "pedestals", "tanks", "batteries", "pumps", "valves", "drains", "boxes",
    "through_hulls",
)  # fmt: skip
"""The kinds that are fittings; a name is used once among them all, so that a boat can say it alone."""

_MAKERS: dict[str, Callable[[str, Any, Path, read.EntryReader], Part | None]] = {
    "sections": read.section_of,
    "sheets": read.sheet_of,
    "lids": read.lid_of,
    "trays": read.tray_of,
    "seats": read.seat_of,
    "pedestals": read.pedestal_of,
    "tanks": read.tank_of,
    "batteries": read.battery_of,
    "pumps": read.pump_of,
    "valves": read.valve_of,
    "drains": read.drain_of,
    "boxes": read.box_of,
    "through_hulls": read.through_hull_of,
    "hoses": read.hose_of,
}


SHELVES = {
    "alloy": "alloys",
    "section": "sections",
    "sheet": "sheets",
    "lid": "lids",
    "tray": "trays",
    "seat": "seats",
    "pedestal": "pedestals",
    "tank": "tanks",
    "battery": "batteries",
    "pump": "pumps",
    "valve": "valves",
    "drain": "drains",
    "box": "boxes",
    "through-hull": "through_hulls",
    "hose": "hoses",
}
"""The kind of one part, and the key under which parts of that kind stand."""


class UnknownPart(KeyError):  # noqa: N818  (it names what was asked for)
    """A part that the catalogue does not have; `wrong` and `right` (its `args[0]`) make a fault of it."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(right)
        self.wrong, self.right = wrong, right

    def __str__(self) -> str:
        """The one line for the user."""
        return f"{self.wrong}; {self.right}"


@dataclass(frozen=True)
class Catalogue:
    """Parts by kind and name; read-only, so that one can be shared. `starter()` is where to begin.

    `bending` is how the shop bends sheet.

    Example:
        >>> starter().sections["rect-2x1x0.125"].width
        50.8
    """

    alloys: Shelf[Alloy] = field(default_factory=Shelf)
    sections: Shelf[Section] = field(default_factory=Shelf)
    sheets: Shelf[Sheet] = field(default_factory=Shelf)
    lids: Shelf[Lid] = field(default_factory=Shelf)
    trays: Shelf[Tray] = field(default_factory=Shelf)
    seats: Shelf[Seat] = field(default_factory=Shelf)
    pedestals: Shelf[Pedestal] = field(default_factory=Shelf)
    tanks: Shelf[Tank] = field(default_factory=Shelf)
    batteries: Shelf[Battery] = field(default_factory=Shelf)
    pumps: Shelf[Pump] = field(default_factory=Shelf)
    valves: Shelf[Valve] = field(default_factory=Shelf)
    drains: Shelf[Drain] = field(default_factory=Shelf)
    boxes: Shelf[Box] = field(default_factory=Shelf)
    through_hulls: Shelf[ThroughHull] = field(default_factory=Shelf)
    hoses: Shelf[Hose] = field(default_factory=Shelf)
    bending: Bending = field(default_factory=Bending)

    def get(self, kind: str, name: str) -> Any:
        """The part called `name` of a kind (a key of `SHELVES`, such as `lid`).

        Raises:
            UnknownPart: there is no such kind or name; it tells the nearest.
        """
        if kind not in SHELVES:
            raise UnknownPart(f"the catalogue has no kind '{kind}'", did_you_mean(kind, SHELVES))
        shelf: Shelf[Part] = getattr(self, SHELVES[kind])
        if name not in shelf:
            raise UnknownPart(f"the catalogue has no {kind} '{name}'", did_you_mean(name, shelf))
        return shelf[name]

    def hint(self, kinds: Iterable[str], name: str) -> str:
        """What would be right for an unknown name among several kinds: `did you mean ...?`."""
        known = [part for kind in kinds if kind in SHELVES for part in getattr(self, SHELVES[kind])]
        return did_you_mean(name, known)

    def section(self, name: str) -> Section:
        """The section called `name`; raises `UnknownPart`."""
        found: Section = self.get("section", name)
        return found

    def sheet(self, name: str) -> Sheet:
        """The sheet called `name`; raises `UnknownPart`."""
        found: Sheet = self.get("sheet", name)
        return found

    def lid(self, name: str) -> Lid:
        """The lid called `name`; raises `UnknownPart`."""
        found: Lid = self.get("lid", name)
        return found

    def fitting(self, name: str) -> Fitting:
        """The fitting of any kind called `name`; raises `UnknownPart`."""
        known = self.fittings
        if name not in known:
            raise UnknownPart(f"the catalogue has no fitting '{name}'", did_you_mean(name, known))
        return known[name]

    @property
    def fittings(self) -> Shelf[Fitting]:
        """All fittings by name."""
        found: Shelf[Fitting] = Shelf()
        for kind in FITTINGS:
            found = found.beside(getattr(self, kind))
        return found

    def with_entries(
        self,
        told: CatalogueEntries | Mapping[str, Any],
        place: Callable[[Path], Place],
        units: str = "in",
        faults: FaultList | None = None,
    ) -> Catalogue:
        """This catalogue with parts of one's own; a name that is known already is replaced.

        Args:
            told: the entries, checked already or as read.
            place: where a path of keys, such as `("lids", "mine", "length")`, stands in the file.
            units: unit of bare numbers.
            faults: gathers what is wrong; entries at fault are then left out.

        Raises:
            BadInput: something is wrong and no `faults` was given.
        """
        gathered = FaultList() if faults is None else faults
        checks = (
            told if isinstance(told, CatalogueEntries) else checked(CatalogueEntries, told, place, gathered)
        )
        found = self if checks is None else self._grown(checks, place, units, gathered)
        if faults is None:
            gathered.raise_if_any()
        return found

    def _grown(
        self, told: CatalogueEntries, place: Callable[[Path], Place], units: str, faults: FaultList
    ) -> Catalogue:
        reader = self._reader(told, place, units, faults)
        grown: dict[str, Any] = {"alloys": reader.alloys}
        for kind, make in _MAKERS.items():
            made = {
                name: make(name, entry, (kind, name), reader) for name, entry in getattr(told, kind).items()
            }
            sound = {name: part for name, part in made.items() if part is not None}
            grown[kind] = getattr(self, kind).beside(Shelf.of(sound))
        found = replace(self, **grown)
        found._refuse_shared_names(told, reader)
        found._refuse_unknown_stock(told, reader)
        return found

    def _grown_later(self, told: CatalogueEntries, place: Callable[[Path], Place]) -> Catalogue:
        """This catalogue with entries known to be sound, each made when first asked for."""
        reader = self._reader(told, place, "in", FaultList())

        def maker(kind: str, name: str, entry: Any) -> Callable[[], Any]:
            def make() -> Any:
                part = _MAKERS[kind](name, entry, (kind, name), reader)
                reader.faults.raise_if_any()
                return part

            return make

        grown: dict[str, Any] = {"alloys": reader.alloys}
        for kind in _MAKERS:
            makers = {name: maker(kind, name, entry) for name, entry in getattr(told, kind).items()}
            grown[kind] = getattr(self, kind).and_made_later(makers)
        return replace(self, **grown)

    def _reader(
        self, told: CatalogueEntries, place: Callable[[Path], Place], units: str, faults: FaultList
    ) -> read.EntryReader:
        own = {name: read.alloy_of(name, entry) for name, entry in told.alloys.items()}
        return read.EntryReader(place, units, faults, self.alloys.beside(Shelf.of(own)))

    def _refuse_shared_names(self, told: CatalogueEntries, reader: read.EntryReader) -> None:
        for kind in FITTINGS:
            for name in getattr(told, kind):
                others = [other for other in FITTINGS if other != kind and name in getattr(self, other)]
                if others:
                    wrong = f"'{name}' is a name among the {others[0]} already"
                    reader.fault((kind, name), wrong, "give this one another name")

    def _refuse_unknown_stock(self, told: CatalogueEntries, reader: read.EntryReader) -> None:
        for name, entry in told.sections.items():
            if entry.stock is not None and entry.stock not in self.sections:
                right = did_you_mean(entry.stock, self.sections)
                reader.fault(("sections", name, "stock"), f"no section is called '{entry.stock}'", right)
            elif entry.stock is not None and name in self.sections:
                own, other = self.sections[name], self.sections[entry.stock]
                if _sizes(own) != _sizes(other):
                    right = f"give its `stock` a section of the same {own.kind}, or leave it out"
                    reader.fault(("sections", name, "stock"), f"'{entry.stock}' is another tube", right)


def _sizes(section: Section) -> tuple[str, str, tuple[float, ...], float, float]:
    """What two sections must have in common to be the same metal, whichever way each lies, mm."""
    sides = tuple(sorted(round(side, 3) for side in (section.width, section.height)))
    return section.kind, section.alloy.name, sides, round(section.wall, 3), round(section.radius, 3)


@cache
def starter() -> Catalogue:
    """The starter catalogue: generic sections, sheet and fittings, without makers' names.

    Its entries are checked when it is read; the parts themselves are made when first asked for.

    Raises:
        BadInput: a file of the catalogue was damaged.
    """
    found = Catalogue()
    for name in ("alloys", "sections", "sheets", "drop_ins", "seating", "equipment", "plumbing", "electrics"):
        document = read_yaml(DATA / f"{name}.yaml")
        faults = FaultList()
        told = checked(CatalogueEntries, document.data, document.place, faults)
        faults.raise_if_any()
        if told is not None:
            found = found._grown_later(told, document.place)
    return found
