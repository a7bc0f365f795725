"""The boat file, key by key: one pydantic model reads, refuses and documents it.

Lengths stay text here (`Length`); `model.boatfile.numbers` turns them to millimetres with the file's
named dimensions. Plan points are `[x, y]`: x forward from the transom, y to port.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StrictBool

from model.boatfile.access_schema import ServiceEntry
from model.boatfile.afloat_schema import AfloatEntry
from model.boatfile.bends_schema import FlangeEntry
from model.boatfile.boxes_schema import BoxEntry
from model.boatfile.clearance_schema import BoatClearanceEntry
from model.boatfile.electrics_schema import ElectricsEntry
from model.boatfile.finish_schema import FinishEntry
from model.boatfile.foam_schema import BlocksEntry
from model.boatfile.handover_schema import HandoverEntry
from model.boatfile.hats_schema import HatEntry
from model.boatfile.hoses_schema import HosesEntry
from model.boatfile.hull_schema import HullEntry
from model.boatfile.lid_schema import StrutEntry
from model.boatfile.mat_schema import MatEntry
from model.boatfile.rods_schema import RodsEntry
from model.boatfile.strength_schema import StrengthEntry
from model.boatfile.values import (
    Angle,
    Degrees,
    Entry,
    Length,
    Name,
    Plain,
    PlanPoint,
    Side,
    SpacePoint,
    Word,
)
from model.boatfile.water_schema import WaterEntry
from model.boatfile.ways_schema import PassageEntry
from model.boatfile.weights_schema import WeightsEntry
from model.boatfile.work_schema import WorkEntry
from parts.catalogue_schema import CatalogueEntries


class DimensionEntry(Entry):
    """A named dimension with the limits within which it may be moved."""

    value: Length
    least: Length | None = None
    greatest: Length | None = None
    note: str | None = None


class AngleEntry(Entry):
    """A named angle in degrees with its limits."""

    value: Degrees
    least: Degrees | None = None
    greatest: Degrees | None = None
    note: str | None = None


class RunEntry(Entry):
    """The next point of a plan polyline, told as a run from the point before."""

    angle: Angle = Field(description="direction of the run: 0 forward, 90 to port, 180 aft, -90 to starboard")
    length: Length | None = None
    to_x: Length | None = None
    to_y: Length | None = None


Polyline = Annotated[list[PlanPoint | RunEntry], Field(min_length=2)]
Edge = Annotated[
    Length | Polyline,
    Field(description="`hull`, a station or buttock line (one length), or a polyline in plan"),
]


class RepeatEntry(Entry):
    """Repeats a thing forward along the boat."""

    step: Length
    count: int = Field(strict=True, ge=1, le=200, description="how many in all, the first included")


class CustomLidEntry(Entry):
    """A lid made to order for its opening."""

    sheet: str | None = None
    clearance: Length = Field(default="1/8 in", description="gap all round between lid and cut-out")
    flange: Length = Field(default=0, description="how far the lid laps over the deck; 0 sits flush")
    depth: Length = Field(default=0, description="how far the lid reaches below the deck")
    mass: float | None = Field(
        default=None, strict=True, gt=0, le=1000, description="kilograms, where weighed"
    )


class OpeningEntry(Entry):
    """A hole in a deck, told by its edges, its centre and size, or an outline."""

    aft: Length | None = None
    forward: Length | None = None
    port: Length | None = None
    starboard: Length | None = None
    from_aft: Length | None = Field(default=None, description="distance from the deck's aft edge")
    from_forward: Length | None = None
    from_port: Length | None = None
    from_starboard: Length | None = None
    centre: PlanPoint | None = None
    length: Length | None = Field(default=None, description="fore and aft")
    width: Length | None = Field(default=None, description="athwart")
    rotate: Angle = 0
    outline: Polyline | None = None
    radius: Length = Field(default=0, description="corner radius of the cut-out")
    setback: Length = Field(default=0, description="how far the framing stands back from the cut-out")
    lid: str | CustomLidEntry | None = Field(
        default=None, description="a lid of the catalogue, or its making"
    )
    hinge: Literal[Side, "none"] = Field(default="none", description="without a hinge the lid lifts out")
    opens: Angle = Field(default=95, description="how far it turns about its hinge")
    slide: Literal[Side, "none"] = Field(default="none", description="the way it slides, in place of a hinge")
    travel: Length | None = Field(default=None, description="how far it slides; its own size unless set")
    strut: StrutEntry | None = Field(default=None, description="gas struts; `{}` has them chosen")
    both_sides: bool = False
    every: RepeatEntry | None = None


class RiserEntry(Entry):
    """An upright face below a deck edge."""

    down_to: Plain = Field(description="a deck's name, `hull`, or a height")
    sheet: str | None = None


class AddedMemberEntry(Entry):
    """A frame member added by hand; it is trimmed to what it meets."""

    start: PlanPoint
    end: PlanPoint
    section: str | None = None


class FrameEntry(Entry):
    """Rules by which a deck is framed, and changes to what they give."""

    section: str | None = None
    post_section: str | None = None
    direction: Literal["athwart", "fore_aft"] = "athwart"
    beam_span: Length | None = Field(default=None, description="greatest distance between beams")
    post_span: Length | None = Field(default=None, description="greatest distance between posts")
    posts: bool = True
    no_posts: list[Polyline | str] = Field(
        default_factory=list, description="plan areas, lockers or consoles where no post may stand"
    )
    add: dict[Name, AddedMemberEntry] = Field(default_factory=dict)
    move: dict[str, Length] = Field(default_factory=dict, description="beam: distance forward (or to port)")
    turn: dict[str, Angle] = Field(default_factory=dict, description="member: roll about its axis")
    leave_out: list[str] = Field(default_factory=list)


class DeckEntry(Entry):
    """A deck, level or sloping, between plan edges."""

    height: Length = Field(description="top of the sheet above the baseline")
    slope: Angle = Field(default=0, description="rise forward")
    at: Length | None = Field(
        default=None, description="station where `height` holds; the aft edge unless set"
    )
    aft: Edge | None = None
    forward: Edge | None = None
    port: Edge = "hull"
    starboard: Edge = "hull"
    outline: Polyline | None = Field(default=None, description="in place of the four edges")
    hull_gap: Length | None = None
    sheet: str | None = None
    seams: list[Length] | None = Field(default=None, description="stations where the sheet is to be joined")
    risers: dict[Literal[Side, "all"], RiserEntry] = Field(default_factory=dict)
    frame: FrameEntry = Field(default_factory=FrameEntry)
    openings: dict[Name, OpeningEntry] = Field(default_factory=dict)
    both_sides: bool = False


class LockerEntry(Entry):
    """A compartment below a deck: locker, watertight well, recessed tray or insulated box."""

    kind: Literal["locker", "well", "tray", "box"] = "locker"
    under: str = Field(description="deck, or deck.opening")
    aft: Edge | Literal["opening"] = "opening"
    forward: Edge | Literal["opening"] = "opening"
    port: Edge | Literal["opening"] = "opening"
    starboard: Edge | Literal["opening"] = "opening"
    outline: Polyline | None = None
    floor: Length = Field(description="height of the floor's upper face, or `hull`")
    open_sides: list[Side] = Field(default_factory=list, description="sides that have no wall")
    hull_gap: Length | None = None
    insulation: Length = Field(default=0, description="thickness between box and liner")
    overflow: Length | None = Field(default=None, description="of a well: height of its overflow hole")
    sheet: str | None = None
    both_sides: bool = False


class BulkheadEntry(Entry):
    """An upright sheet across the boat, or along a line in plan."""

    at: Length | None = Field(default=None, description="station, for a bulkhead square across")
    along: Polyline | None = Field(default=None, description="two plan points, for one at an angle")
    bottom: Plain = Field(default="hull", description="a height, or `hull`")
    top: Length | None = Field(default=None, description="a height")
    under: str | None = Field(default=None, description="the deck it reaches up to, in place of `top`")
    port: Length | None = None
    starboard: Length | None = None
    sheet: str | None = None
    hull_gap: Length | None = None


class SeatBoxEntry(Entry):
    """A free-standing framed box with a lid."""

    on: str
    centre: PlanPoint
    length: Length
    width: Length
    height: Length = Field(description="above what it stands on")
    section: str | None = None
    sheet: str | None = None
    border: Length = Field(default="2 in", description="deck left round the lid's cut-out")
    lid: str | CustomLidEntry | None = Field(default_factory=CustomLidEntry)
    hinge: Literal[Side, "none"] = "aft"
    opens: Angle = 95
    strut: StrutEntry | None = Field(default=None, description="gas struts; `{}` has them chosen")
    radius: Length = 0
    both_sides: bool = False
    every: RepeatEntry | None = None


class ConsoleEntry(Entry):
    """A free-standing console whose face slopes."""

    on: str
    centre: PlanPoint
    length: Length
    width: Length
    height: Length
    face_from: Length = Field(description="height above the floor where the slope starts")
    face_angle: Angle = Field(default=30, description="slope of the face back from upright")
    faces: Literal["aft", "forward"] = "aft"
    section: str | None = None
    sheet: str | None = None
    both_sides: bool = False


class FixtureEntry(Entry):
    """A part of the catalogue set on a deck, a lid or a floor."""

    part: str
    on: str = Field(description="a deck, `deck.opening` for its lid, a locker for its floor, or `hull`")
    at: PlanPoint
    turn: Angle = 0
    raise_by: Length = 0
    removable: bool = False
    serviceable: StrictBool | None = Field(
        default=None, description="whether a hand must get at it; pumps, valves, drains and such unless set"
    )
    both_sides: bool = False
    every: RepeatEntry | None = None


class MemberEntry(Entry):
    """A member placed in space by hand."""

    start: SpacePoint
    end: SpacePoint
    section: str | None = None
    turn: Angle = 0
    start_meets: str | None = Field(default=None, description="a member's name, `hull`, or nothing: square")
    end_meets: str | None = None


class DefaultsEntry(Entry):
    """What holds for the whole boat where nothing nearer is said."""

    section: str = "rect-1x2x0.125"
    post_section: str | None = None
    sheet: str = "5052-0.090"
    beam_span: Length = "16 in"
    post_span: Length = "30 in"
    fit_gap: Length = Field(default="1/8 in", description="least gap between a member and the skin")
    hull_gap: Length = Field(default="1/4 in", description="gap between sheet edges and the skin")
    ledger_gap: Length = Field(
        default="1/2 in", description="most a ledger may stand off its line along the hull"
    )
    seam_gap: Length = Field(default="1/32 in", description="gap left between sheets that meet on a member")


class BoatFile(Entry):
    """A boat: its measured hull and the interior that is wanted."""

    boat: str = Field(
        pattern=r"^[a-z0-9][a-z0-9_-]*$", max_length=60, description="short name, used for files"
    )
    title: str | None = None
    units: Literal["in", "ft", "mm", "cm", "m"] = "in"
    dimensions: dict[str, Length | DimensionEntry] = Field(default_factory=dict)
    angles: dict[Word, Degrees | AngleEntry] = Field(default_factory=dict)
    hull: HullEntry
    defaults: DefaultsEntry = Field(default_factory=DefaultsEntry)
    decks: dict[Name, DeckEntry] = Field(default_factory=dict)
    lockers: dict[Name, LockerEntry] = Field(default_factory=dict)
    bulkheads: dict[Name, BulkheadEntry] = Field(default_factory=dict)
    seat_boxes: dict[Name, SeatBoxEntry] = Field(default_factory=dict)
    consoles: dict[Name, ConsoleEntry] = Field(default_factory=dict)
    fixtures: dict[Name, FixtureEntry] = Field(default_factory=dict)
    members: dict[Name, MemberEntry] = Field(default_factory=dict)
    service: dict[Name, ServiceEntry] = Field(
        default_factory=dict, description="points that a hand must get at: hose clamps, bolts of struts"
    )
    bends: dict[str, list[FlangeEntry]] = Field(
        default_factory=dict, description="edges of flat sheet that are bent to flanges, by the piece's name"
    )
    hats: dict[Name, HatEntry] = Field(
        default_factory=dict, description="strips folded to hats or channels that stiffen sheet"
    )
    mat: MatEntry | None = Field(default=None, description="traction mat; `{}` for the usual kind")
    boxes: dict[str, BoxEntry] = Field(
        default_factory=dict, description="insulated boxes by locker: lid, foam, the ice they are to keep"
    )
    foam: BlocksEntry | None = Field(
        default=None, description="flotation foam as blocks that fit; `{}` for the usual"
    )
    finish: FinishEntry | None = Field(default=None, description="paint by surface, and glue of the mat")
    rods: RodsEntry | None = Field(default=None, description="lockers for rods, and the rods")
    weights: WeightsEntry | None = Field(default=None, description="the hull as weighed, and what is aboard")
    afloat: AfloatEntry | None = Field(default=None, description="load cases, and what is asked of them")
    handover: HandoverEntry | None = Field(default=None, description="what the owner's folder says besides")
    strength: StrengthEntry = Field(
        default_factory=StrengthEntry, description="what the decks are asked to carry"
    )
    water: WaterEntry | None = Field(default=None, description="drains, and how the boat lies")
    electrics: ElectricsEntry | None = Field(default=None, description="batteries, loads and their wires")
    hoses: HosesEntry | None = Field(default=None, description="hoses, and what they end on")
    passages: dict[Name, PassageEntry] = Field(
        default_factory=dict, description="holes, tubes and chases through which wires and hoses go"
    )
    clearances: BoatClearanceEntry = Field(
        default_factory=BoatClearanceEntry,
        description="pairs of pieces that may come closer than the shop asks",
    )
    work: WorkEntry = Field(
        default_factory=WorkEntry, description="when work begins, and changes to its tasks"
    )
    catalogue: CatalogueEntries | None = None


def json_schema() -> dict[str, Any]:
    """The JSON Schema of the boat file, for editors that complete and mark YAML."""
    schema = BoatFile.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "Athwart boat file"
    return schema
