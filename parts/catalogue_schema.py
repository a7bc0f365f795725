"""The catalogue's YAML, key by key: the models that read, refuse and document its entries.

Entries stand by kind and name, the same in the starter catalogue, a shop file and the `catalogue:`
part of a boat file. Lengths and masses stay text here; `parts.catalogue` turns them to mm and kg.
Of a fitting, `length` is fore and aft and `width` athwart as it stands before it is turned.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

# Strict, so that `true` is not taken for a length of 1.
Length = Annotated[
    StrictStr | StrictInt | StrictFloat,
    Field(description="a length: 63-1/4 in, 5' 3-1/4\", 1606 mm, or a bare number in the file's units"),
]
Mass = Annotated[
    StrictStr | StrictInt | StrictFloat, Field(description="a mass: 5.4 kg, 12 lb, or a bare number of kg")
]
Volume = Annotated[
    StrictStr | StrictInt | StrictFloat,
    Field(description="a volume: 45 L, 12 gal (US), or a bare number of litres"),
]
SheetSize = Annotated[list[Length], Field(min_length=2, max_length=2, description="[width, length]")]


class PartEntry(BaseModel):
    """A mapping of the catalogue; keys it does not know are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    note: str | None = Field(default=None, description="said beside the part in lists")


class StrengthEntry(BaseModel):
    """A strength in N/mm2 and where it is from."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    value: float = Field(gt=0, description="N/mm2")
    source: str


class WeldedEntry(BaseModel):
    """Strengths beside a weld under one convention."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    ultimate: StrengthEntry
    yields: StrengthEntry


class AlloyEntry(PartEntry):
    """An alloy in one temper and product form."""

    product: str = Field(description="what the strengths are for: extrusion, sheet")
    density: float = Field(gt=0, description="kg/m3")
    e: float = Field(gt=0, description="Young's modulus, N/mm2")
    g: float = Field(gt=0, description="shear modulus, N/mm2")
    ultimate: StrengthEntry
    yields: StrengthEntry
    welded: dict[Literal["member design", "weld qualification"], WeldedEntry] = Field(default_factory=dict)
    sources: dict[str, str] = Field(default_factory=dict, description="where density, e and g are from")


class SectionEntry(PartEntry):
    """A section; which sizes it takes depends on its kind."""

    kind: Literal["rect", "square", "round", "angle", "flat", "hat"]
    width: Length | None = Field(default=None, description="rect, angle, flat, hat: across, as it lies")
    height: Length | None = Field(default=None, description="rect, angle, hat: upright, as it lies")
    side: Length | None = Field(default=None, description="square: outside size")
    diameter: Length | None = Field(default=None, description="round: outside size")
    wall: Length | None = Field(default=None, description="rect, square, round, angle, hat: metal thickness")
    thickness: Length | None = Field(default=None, description="flat: metal thickness")
    crown: Length | None = Field(default=None, description="hat: outside width of its top")
    radius: Length | None = Field(default=None, description="outside corner radius; sharp unless set")
    alloy: str = "6061-T6"
    stock: str | None = Field(
        default=None, description="the section it is bought as, where it only lies another way"
    )


class SheetEntry(PartEntry):
    """Flat sheet in the sizes it is bought."""

    thickness: Length
    alloy: str
    sizes: Annotated[list[SheetSize], Field(min_length=1)] | None = Field(
        default=None, description="stock sizes; 4x8, 4x10, 5x10 ft and 1250x2500 mm unless set"
    )


class ClearEntry(BaseModel):
    """Room to keep free beyond the sides of a fitting."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    above: Length = 0
    forward: Length = 0
    aft: Length = 0
    port: Length = 0
    starboard: Length = 0


ServicePoint = Annotated[
    list[Length],
    Field(
        min_length=3, max_length=3, description="[x, y, z] from the middle of its foot, before it is turned"
    ),
]


class ServicedEntry(PartEntry):
    """A part that a hand may have to get at."""

    service: dict[str, ServicePoint] = Field(
        default_factory=dict, description="points that a hand must get at, by name"
    )
    ports: dict[Literal["in", "out"], ServicePoint] = Field(
        default_factory=dict, description="where hoses are pushed on"
    )


class BoxEntry(ServicedEntry):
    """A box-shaped fitting that stands on its footprint."""

    length: Length
    width: Length
    height: Length
    radius: Length = Field(default=0, description="of its upright corners")
    mass: Mass
    clear: ClearEntry = Field(default_factory=ClearEntry, description="room for hands, lids, cables, air")


class BatteryEntry(BoxEntry):
    """A battery; its height is over the posts."""

    volts: float = Field(gt=0)
    amp_hours: float | None = Field(default=None, gt=0)


class TankEntry(BoxEntry):
    """A tank; its mass is empty."""

    contents: Literal["fuel", "water"]
    capacity: Volume


class RoundEntry(ServicedEntry):
    """A fitting that stands upright on a round foot."""

    diameter: Length
    height: Length
    mass: Mass
    clear: ClearEntry = Field(default_factory=ClearEntry)


CurvePoint = Annotated[
    list[Length | Volume], Field(min_length=2, max_length=2, description="[head, flow an hour]")
]


class PumpEntry(RoundEntry):
    """A pump standing upright on a round foot."""

    flow: Volume | None = Field(default=None, description="an hour with nothing to lift, as rated")
    curve: list[CurvePoint] = Field(
        default_factory=list, description="what it brings an hour against what it lifts, least head first"
    )
    self_priming: bool = Field(default=False, description="whether it draws water up to itself")


class ValveEntry(RoundEntry):
    """A valve, or a branch with one, on a round foot."""

    bore: Length | None = Field(default=None, description="diameter that water passes, open")


class ThroughHullEntry(RoundEntry):
    """A fitting through the skin or the wall of a well."""

    bore: Length = Field(description="diameter that water passes")


class HoseEntry(PartEntry):
    """Hose as it is bought by the length."""

    inside: Length = Field(description="diameter")
    outside: Length = Field(description="diameter")
    bend_radius: Length = Field(description="the least of its middle line that does not kink it")
    roughness: Length = Field(default="0.02 mm", description="of its bore; corrugated hose has more")


class LidEntry(PartEntry):
    """A lid that drops into a cut-out and laps over the deck with its flange."""

    length: Length = Field(description="of the cut-out")
    width: Length = Field(description="of the cut-out")
    radius: Length = Field(default=0, description="of the cut-out's corners")
    tolerance: Length = Field(default="1/16 in", description="by which the cut-out may be over or under")
    flange: Length = Field(description="lap over the deck beyond the cut-out")
    flange_thickness: Length = Field(description="how far the lid stands above the deck")
    depth: Length = Field(default=0, description="how far it reaches below the top of the deck")
    clearance: Length = Field(default="1/8 in", description="gap between its skirt and the cut-out")
    thickness: Length = Field(description="of the metal of its skirt")
    mass: Mass
    alloy: str | None = None
    latches: int = Field(default=1, ge=0, le=8)
    hinge: Literal["none", "piano", "butt"] = "piano"


class TrayEntry(PartEntry):
    """An open tray that drops into a cut-out and hangs by its flange."""

    length: Length = Field(description="of the cut-out")
    width: Length = Field(description="of the cut-out")
    radius: Length = Field(default=0, description="of the cut-out's corners")
    tolerance: Length = Field(default="1/16 in", description="by which the cut-out may be over or under")
    flange: Length = Field(description="lap over the deck beyond the cut-out")
    depth: Length = Field(description="from the top of the deck to under its floor")
    clearance: Length = Field(default="1/8 in", description="gap between its sides and the cut-out")
    thickness: Length
    mass: Mass
    alloy: str | None = None
    room_above: Length = Field(default=0, description="room for feet or hands above the deck")


class SeatEntry(PartEntry):
    """A seat from its mounting face up; its back stands at the aft edge."""

    length: Length
    width: Length
    height: Length = Field(description="from the mounting face to the top of the cushion")
    back_height: Length = Field(default=0, description="above the cushion")
    back_thickness: Length = 0
    radius: Length = Field(default=0, description="of its upright corners")
    mass: Mass
    swivels: bool = False
    pivot_aft: Length = Field(default=0, description="of the swivel, aft of the middle of the footprint")


class PedestalEntry(PartEntry):
    """A post for a seat: a foot, a column and a head, or a column in a socket sunk in the deck."""

    foot: Length = Field(description="diameter of the plate on the deck")
    foot_thickness: Length
    column: Length = Field(description="diameter")
    height: Length = Field(description="from the deck to the seat's mounting face")
    head: Length = Field(description="side of the square plate below the seat")
    head_thickness: Length
    socket: Length = Field(default=0, description="diameter of the socket below the deck")
    socket_depth: Length = 0
    mass: Mass


class CatalogueEntries(BaseModel):
    """Parts of one's own, by kind and name; a name that is known already is replaced."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    alloys: dict[str, AlloyEntry] = Field(default_factory=dict)
    sections: dict[str, SectionEntry] = Field(default_factory=dict)
    sheets: dict[str, SheetEntry] = Field(default_factory=dict)
    lids: dict[str, LidEntry] = Field(default_factory=dict)
    trays: dict[str, TrayEntry] = Field(default_factory=dict)
    seats: dict[str, SeatEntry] = Field(default_factory=dict)
    pedestals: dict[str, PedestalEntry] = Field(default_factory=dict)
    tanks: dict[str, TankEntry] = Field(default_factory=dict)
    batteries: dict[str, BatteryEntry] = Field(default_factory=dict)
    pumps: dict[str, PumpEntry] = Field(default_factory=dict)
    valves: dict[str, ValveEntry] = Field(default_factory=dict)
    drains: dict[str, RoundEntry] = Field(default_factory=dict)
    through_hulls: dict[str, ThroughHullEntry] = Field(default_factory=dict)
    hoses: dict[str, HoseEntry] = Field(default_factory=dict)
    boxes: dict[str, BoxEntry] = Field(default_factory=dict)
