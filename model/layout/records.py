"""What a layout resolves to: decks, openings, lockers and the rest as numbers, before any frame.

Decks carry a frame whose x runs forward in the deck's plane, y to port and z square to it; plane
coordinates `(u, v)` are this frame's x and y. Everything is in millimetres and radians.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from shapely import Polygon, affinity, union_all
from shapely.geometry.base import BaseGeometry

from model.geometry import Array, Frame
from model.layout.edges import Edge
from parts.fittings import Fitting, Lid
from parts.outline import Loop
from parts.section import Section
from parts.sheet import Sheet

_Shape = TypeVar("_Shape", bound=BaseGeometry)

Path = tuple[str | int, ...]
"""Keys that lead to a thing in the boat file."""


@dataclass(frozen=True)
class StrutAsked:
    """Gas struts of a lid as the file tells them; None is to be chosen.

    Attributes:
        count: how many, alike.
        force: of each drawn out, N.
        stroke: mm.
        on_lid, on_frame: eyes as (out from the hinge line, down from the lid's upper face), mm, lid shut.
        path: keys that lead to them in the file.
    """

    count: int
    force: float | None
    stroke: float | None
    on_lid: tuple[float, float] | None
    on_frame: tuple[float, float] | None
    path: Path


@dataclass(frozen=True)
class LidWay:
    """How a lid opens: about its `hinge`, slid to its `slide` side, or lifted out where both are `none`.

    Attributes:
        hinge, slide: sides of the lid, or `none`.
        opens: how far it turns, rad.
        travel: how far it slides, mm.
        strut: what holds it up.
    """

    hinge: str
    opens: float
    slide: str = "none"
    travel: float = 0.0
    strut: StrutAsked | None = None


@dataclass(frozen=True, eq=False)
class LidPlan:
    """What closes an opening: a catalogue lid, or one made to order.

    `outline` is the lid's in the deck's plane; `top` and `bottom` its z there. It is turned about the deck's
    z by `turn` with its opening; `way` is how it opens.
    """

    lid: Lid | None
    sheet: Sheet | None
    outline: Loop
    top: float
    bottom: float
    clearance: float
    flange: float
    way: LidWay
    mass: float | None
    turn: float = 0.0

    @property
    def hinge(self) -> str:
        """The side it is hinged on, or `none`."""
        return self.way.hinge

    @property
    def opens(self) -> float:
        """How far it turns, rad."""
        return self.way.opens


@dataclass(frozen=True, eq=False)
class Opening:
    """A hole in a deck, in the deck's plane.

    Attributes:
        outline: of the cut-out.
        polygon: the same with its arcs tessellated.
        corners: with its corners not rounded.
        clear: what its framing must leave clear.
    """

    name: str
    base: str
    hand: str | None
    deck: str
    outline: Loop
    polygon: Polygon
    corners: Polygon
    clear: Polygon
    lid: LidPlan | None
    path: Path

    @property
    def is_square_to_boat(self) -> bool:
        """Whether its clear outline is a rectangle along and across the deck."""
        u0, v0, u1, v1 = self.clear.bounds
        return bool(abs((u1 - u0) * (v1 - v0) - self.clear.area) < 1e-6 * self.clear.area)


@dataclass(frozen=True, eq=False)
class AddedBar:
    """A frame member added by hand in a deck's plane, `(2,)` each."""

    name: str
    start: Array
    end: Array
    section: Section
    path: Path


@dataclass(frozen=True, eq=False)
class FrameRules:
    """By what rule a deck is framed, and the file's own changes; `mirrored` on the side not described."""

    section: Section
    post_section: Section
    direction: str
    beam_span: float
    post_span: float
    posts: bool
    no_posts: tuple[Polygon, ...]
    add: tuple[AddedBar, ...] = ()
    move: dict[str, float] = field(default_factory=dict)
    turn: dict[str, float] = field(default_factory=dict)
    leave_out: frozenset[str] = frozenset()
    seams: tuple[float, ...] = ()
    mirrored: bool = False


@dataclass(frozen=True, eq=False)
class RiserPlan:
    """The upright face below an edge: down to a deck, the hull, or a height."""

    side: str
    sheet: Sheet
    deck: str | None
    height: float | None
    path: Path = ()


@dataclass(frozen=True, eq=False)
class DeckPlan:
    """A deck, or the top of a seat box, in its plane.

    Attributes:
        name: `deck.front`, or `seat.stern`.
        frame: origin and axes; z = 0 is the top of the sheet.
        edges: by side, in plane coordinates; one `outline` for a deck told by its corners.
        area: what the sheet covers, openings not taken out.
        frame_edges: the edges that the frame stands to: inside the risers that hang on them.
        frame_area: what the frame may fill.
        hull_gap: at which its sheet and its upright faces stand off the skin, mm.
    """

    name: str
    base: str
    hand: str | None
    frame: Frame
    sheet: Sheet
    edges: dict[str, Edge]
    area: Polygon
    frame_edges: dict[str, Edge]
    frame_area: Polygon
    ledger_gap: float
    openings: tuple[Opening, ...]
    risers: tuple[RiserPlan, ...]
    rules: FrameRules
    stands_on: str | None
    path: Path
    hull_gap: float

    def plan_area(self) -> Polygon:
        """The sheet's area in plan (looking down), which for a sloping deck is shorter than in its plane."""
        return self._plan_area

    @cached_property
    def _plan_area(self) -> Polygon:
        return self.in_plan(self.area)

    @cached_property
    def taken_up(self) -> BaseGeometry:
        """Its openings in plan with the lids that lap over their edges."""
        lids = [o.lid.outline.to_shapely() for o in self.openings if o.lid is not None]
        return self.in_plan(union_all([o.polygon for o in self.openings] + lids))

    def in_plan(self, shape: _Shape) -> _Shape:
        """A shape of the deck's plane seen from above."""
        shorter = float(self.frame.x[0])
        return shape if shorter == 1.0 else affinity.scale(shape, xfact=shorter, origin=(0, 0))

    def height_at(self, x: float) -> float:
        """Height of the top of the sheet above the baseline at a station, mm."""
        return float(self.frame.origin[2] + x * self.frame.x[2] / self.frame.x[0])


@dataclass(frozen=True, eq=False)
class LockerPlan:
    """A compartment below a deck; `area` is its inside at the top in plan, `walls` its sides.

    `overflow` is the height of the hole through which a well runs over, where it has one.
    """

    name: str
    base: str
    hand: str | None
    kind: str
    deck: str
    opening: str | None
    area: Polygon
    edges: dict[str, Edge]
    hangs_in_opening: bool
    top: float
    floor: float | None
    hull_gap: float
    insulation: float
    open_sides: frozenset[str]
    sheet: Sheet
    path: Path
    overflow: float | None = None


@dataclass(frozen=True, eq=False)
class BulkheadPlan:
    """An upright sheet along the plan line from `start` to `end` between two heights (None: the hull)."""

    name: str
    start: Array
    end: Array
    bottom: float | None
    top: float
    hull_gap: float
    sheet: Sheet
    path: Path


@dataclass(frozen=True, eq=False)
class ConsolePlan:
    """A console on the deck `stands_on`, about `at` `(2,)` in that deck's plane.

    `frame` lies at the middle of its foot, x away from the sloping face. `profile` is its outline from the
    side in (x, z) of `frame`, counter-clockwise; `width` athwart.
    """

    name: str
    stands_on: str
    at: Array
    frame: Frame
    profile: Array
    width: float
    section: Section
    sheet: Sheet
    path: Path


@dataclass(frozen=True, eq=False)
class FixturePlan:
    """A part of the catalogue at its place; z of `frame` is the surface it stands on.

    `serviceable` says whether a hand must get at it; None leaves that to its kind.
    """

    name: str
    kind: str
    part: Fitting
    frame: Frame
    on: str
    removable: bool
    path: Path
    serviceable: bool | None = None


@dataclass(frozen=True, eq=False)
class ServicePlan:
    """A point `(3,)` that a hand must get at and that belongs to no fixture."""

    name: str
    at: Array
    path: Path


@dataclass(frozen=True, eq=False)
class SpaceMember:
    """A member placed in space by hand."""

    name: str
    start: Array
    end: Array
    section: Section
    turn: float
    start_meets: str | None
    end_meets: str | None
    path: Path


@dataclass(frozen=True, eq=False)
class Layout:
    """The interior that is wanted, resolved to numbers."""

    decks: dict[str, DeckPlan]
    lockers: dict[str, LockerPlan]
    bulkheads: tuple[BulkheadPlan, ...]
    consoles: tuple[ConsolePlan, ...]
    fixtures: tuple[FixturePlan, ...]
    members: tuple[SpaceMember, ...]
    fit_gap: float
    hull_gap: float
    seam_gap: float
    service: tuple[ServicePlan, ...] = ()

    def deck(self, base: str, hand: str | None) -> DeckPlan | None:
        """The deck the file calls `base`, on the side asked for where there are two."""
        own = [d for d in self.decks.values() if d.name.startswith("deck.") and base in (d.base, d.name[5:])]
        return next((d for d in own if d.hand in (None, hand)), own[0] if own else None)

    def opening(self, name: str) -> Opening | None:
        """The opening called `deck.front/hatch`, or None."""
        deck, _, _ = name.rpartition("/")
        plan = self.decks.get(deck)
        return next((o for o in plan.openings if o.name == name), None) if plan else None
