"""The shop file: what the shop marks and cuts with, and parts of its own; it stands beside the boat file."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from cutlists.bending_file import bending_of
from cutlists.boxes.coverage import USUAL, Coating, coatings_of
from cutlists.electrics.spool_file import WireStock, wire_stock
from cutlists.nests.settings import NestSettings
from cutlists.nests.settings_reader import nest_settings
from cutlists.price.settings import QuoteSettings
from cutlists.price.settings_reader import quote_settings
from cutlists.saw_list import ShopSaw
from cutlists.shop_schema import MatShopEntry, ShopFile, WeldingEntry
from cutlists.sticks.settings import StickSettings
from cutlists.sticks.settings_reader import stick_settings
from cutlists.welds import WeldRates
from cutlists.work.records import KINDS
from cutlists.work.settings import WorkSettings, work_settings
from model.access.settings_file import access_settings
from model.checks.asked import Asked
from model.clearance.settings_file import fit_settings
from model.end_cut import SawLimits
from model.mat.settings import MatSheet
from model.water.settings import LIMBER
from parts.catalogue import Catalogue, starter
from parts.checked import checked
from parts.faults import FaultList, Place
from parts.lengths import parse_angle, parse_length
from parts.yamlfile import Document, read_yaml


@dataclass(frozen=True)
class Shop:
    """A shop's settings as numbers.

    Attributes:
        saw: what it marks with, and what its saw reaches.
        outline_units: drawing unit of the DXF outlines.
        catalogue: the starter's with the shop's own parts, and how the shop bends sheet.
        units: of bare numbers, and of lengths shown to people.
        limber: size of limber holes, mm.
        sticks: tube to buy, and how it is sawn.
        nests: sheets to buy, and how pieces lie on them.
        keep: sheet offcuts narrower than this are scrap, mm.
        mats: sheets of mat that can be bought; empty where the shop file names none.
        wire: spools of wire that can be bought.
        prices: of lids, seats and other parts by name.
        part_numbers: of the same, as an owner orders them again.
        stock: the file of what is on hand, there or not; None where there is no shop file.
        asked: what the checks of a boat are held to.
        welding: its rates of welding.
        work: its hands, hours and rates of other work.
        paper: that the packet is printed on; by the boat's units where it is None.
        coatings: paint and glue that it knows, by name.
        quote: how boats are priced; None where the shop file does not say.
    """

    saw: ShopSaw = field(default_factory=ShopSaw)
    outline_units: Literal["mm", "in"] = "mm"
    catalogue: Catalogue = field(default_factory=starter)
    units: str = "in"
    limber: float = LIMBER
    sticks: StickSettings = field(default_factory=StickSettings)
    nests: NestSettings = field(default_factory=NestSettings)
    keep: float = 203.2
    mats: tuple[MatSheet, ...] = ()
    wire: WireStock = field(default_factory=WireStock)
    prices: Mapping[str, float] = field(default_factory=dict)
    part_numbers: Mapping[str, str] = field(default_factory=dict)
    stock: Path | None = None
    asked: Asked = field(default_factory=Asked)
    welding: WeldRates = field(default_factory=WeldRates)
    work: WorkSettings = field(default_factory=WorkSettings)
    paper: Literal["letter", "A4"] | None = None
    coatings: Mapping[str, Coating] = field(default_factory=lambda: dict(USUAL))
    quote: QuoteSettings | None = None

    def searching(self, seconds: float) -> Shop:
        """The same shop with another time for the search: so long for the sticks, so long for the nests."""
        nests = replace(self.nests, seconds=seconds, effort=0.75 * seconds)
        return replace(self, sticks=replace(self.sticks, seconds=seconds), nests=nests)


def shop_beside(boat_file: Path) -> Shop:
    """The shop of the file `shop.yaml` beside a boat file, or the usual settings where there is none.

    Raises:
        BadInput: the file's faults, all at once.
    """
    path = boat_file.parent / "shop.yaml"
    return read_shop(path) if path.exists() else Shop()


def read_shop(path: Path) -> Shop:
    """The shop of a file.

    Raises:
        BadInput: the file's faults, all at once.
    """
    document, faults = read_yaml(path), FaultList()
    entry = checked(ShopFile, document.data, document.place, faults)
    faults.raise_if_any()
    assert entry is not None
    limits = _saw(entry, document, faults)
    catalogue = starter()
    if entry.catalogue is not None:
        catalogue = catalogue.with_entries(
            entry.catalogue, lambda keys: document.place(("catalogue", *keys)), entry.units, faults
        )
    bending = bending_of(
        entry.bending,
        entry.units,
        lambda keys: document.place(("bending", *keys)),
        faults,
        tuple(catalogue.sheets.values()),
    )
    catalogue = replace(catalogue, bending=bending)
    sticks = stick_settings(
        entry.sticks, entry.units, lambda keys: document.place(("sticks", *keys)), faults, catalogue.sections
    )
    nests = nest_settings(
        entry.nests,
        entry.units,
        lambda keys: document.place(("nests", *keys)),
        faults,
        catalogue.sheets,
        catalogue.sections,
    )
    limber = _length(entry.limber, entry.units, document.place(("limber",)), faults)
    keep = _length(entry.nests.keep, entry.units, document.place(("nests", "keep")), faults)
    mats = _mats(entry.mat, entry.units, document, faults)
    wire = wire_stock(entry.wire, entry.units, lambda keys: document.place(("wire", *keys)), faults)
    prices = _prices(entry.prices, document, faults)
    welding = _welding(entry.welding, entry.units, document, faults)
    work = work_settings(entry.work, lambda keys: document.place(("work", *keys)), faults)
    asked = _asked(entry, document, catalogue, faults)
    quote = _quote(entry, document, faults)
    coatings = coatings_of(entry.coverage, lambda keys: document.place(("coverage", *keys)), faults)
    faults.raise_if_any()
    return Shop(
        saw=ShopSaw(entry.fraction, limits),
        outline_units=entry.outline_units,
        catalogue=catalogue,
        units=entry.units,
        limber=limber,
        sticks=sticks,
        nests=nests,
        keep=keep,
        mats=mats,
        wire=wire,
        prices=prices,
        part_numbers=entry.part_numbers,
        stock=path.parent / entry.stock,
        asked=asked,
        welding=welding,
        work=work,
        paper=entry.paper,
        coatings=coatings,
        quote=quote,
    )


def shop_schema() -> dict[str, Any]:
    """The JSON Schema of a shop file."""
    return {
        **ShopFile.model_json_schema(),
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Athwart shop file",
    }


def _saw(entry: ShopFile, document: Document, faults: FaultList) -> SawLimits:
    saw = entry.saw

    def read(key: str, parse: Callable[[Any], float], most: float, bound: str) -> float:
        value = getattr(saw, key)
        if value is None:
            return math.inf
        place = document.place(("saw", key))
        try:
            found = parse(value)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            faults.add(place, wrong, right)
            return math.inf
        if not 0.0 <= found <= most:
            faults.add(place, f"{value} is out of bounds", bound)
        return found

    def length(value: Any) -> float:
        return parse_length(value, entry.units)

    quarter = math.radians(90.0)
    return SawLimits(
        saw.name,
        read("mitre", parse_angle, quarter, "give 0 to 90 degrees"),
        read("bevel", parse_angle, quarter, "give 0 to 90 degrees"),
        read("width", length, 1e6, "give a length above zero"),
        read("height", length, 1e6, "give a length above zero"),
    )


def _asked(entry: ShopFile, document: Document, catalogue: Catalogue, faults: FaultList) -> Asked:
    """What the checks of a boat are held to; a check with settings of its own adds them here."""
    kinds = {part.kind for part in catalogue.fittings.values()}
    fit = fit_settings(
        entry.clearances, entry.units, lambda keys: document.place(("clearances", *keys)), kinds, faults
    )
    access = access_settings(
        entry.access, entry.units, lambda keys: document.place(("access", *keys)), faults
    )
    return Asked(fit=fit, access=access)


def _length(value: Any, units: str, place: Place, faults: FaultList) -> float:
    """A length above zero, mm; 1 once a fault is noted."""
    try:
        found = parse_length(value, units)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        faults.add(place, wrong, right)
        return 1.0
    if found <= 0:
        faults.add(place, f"{value} is not above zero", "give a length above zero")
        return 1.0
    return found


def _welding(entry: WeldingEntry, units: str, document: Document, faults: FaultList) -> WeldRates:
    def read(key: str, value: Any) -> float:
        return _length(value, units, document.place(("welding", key)), faults)

    leg = None if entry.leg is None else read("leg", entry.leg)
    travel = read("travel", entry.travel)
    return WeldRates(leg, travel, float(entry.arc_share), float(entry.gas), float(entry.loss))


def _quote(entry: ShopFile, document: Document, faults: FaultList) -> QuoteSettings | None:
    if entry.quote is None:
        return None
    return quote_settings(entry.quote, lambda keys: document.place(("quote", *keys)), faults, tuple(KINDS))


def _mats(entry: MatShopEntry, units: str, document: Document, faults: FaultList) -> tuple[MatSheet, ...]:
    found = []
    for name, sheet in entry.sheets.items():

        def read(key: str, value: Any, name: str = name) -> float:
            return _length(value, units, document.place(("mat", "sheets", name, key)), faults)

        first = read("first", sheet.first) if sheet.first else 0.0
        turns = "half" if sheet.grooved and sheet.turns == "quarter" else sheet.turns
        sides = read("length", sheet.length), read("width", sheet.width)
        found.append(MatSheet(name, *sides, sheet.grooved, first, turns, sheet.price))
    return tuple(found)


def _prices(given: Mapping[str, float], document: Document, faults: FaultList) -> dict[str, float]:
    for name, price in given.items():
        if not (math.isfinite(price) and price >= 0):
            faults.add(document.place(("prices", name)), f"{price:g} is no price", "give a number from 0")
    return {name: float(price) for name, price in given.items()}
