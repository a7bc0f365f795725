"""What is bought or made and put into a boat: lids, trays, seats, pedestals, tanks, batteries, pumps, boxes.

Every fitting has solids, a mass and the room it needs, in its own frame: x forward and y to port as it
stands before it is turned, the origin in the middle of its footprint, z = 0 the face it stands on; for
what drops into a cut-out (`Lid`, `Tray`) z = 0 is the top of the deck. Millimetres and kilograms.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal, TypeAlias

import numpy as np

from parts.outline import Array, Loop
from parts.shape import Block

Contents: TypeAlias = Literal["fuel", "water"]

LITRE_MASS: dict[Contents, float] = {"fuel": 0.75, "water": 1.0}
"""Kilograms of one litre: petrol about 0.75 (from memory), fresh water 1.0."""

FINGER = 10.0
"""Points that a hand must get at lie this far off the part, mm: where the fingertips are."""

Point: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class Fitting:
    """Anything with solids, a mass and room to keep free.

    Attributes:
        name: as in the catalogue.
        blocks: its solids.
        mass: kg, empty.
        keep_out: room that nothing else may fill: for hands, cables, a swinging seat.
        note: said beside the part in lists.
        service: points that a hand must get at, by name.
        ports: where hoses are pushed on, by name: `in`, `out`.
    """

    kind: ClassVar[str] = "fitting"
    serviced: ClassVar[bool] = False
    """Whether a part of this kind needs a hand even if it names no points."""

    name: str
    blocks: tuple[Block, ...]
    mass: float
    keep_out: tuple[Block, ...] = ()
    note: str = ""
    service: Mapping[str, Point] = field(default_factory=dict)
    ports: Mapping[str, Point] = field(default_factory=dict)

    @property
    def top(self) -> Point:
        """The middle of its upper face, a finger's breadth above it, mm."""
        x0, y0, _, x1, y1, z1 = self.bounds
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0, z1 + FINGER

    @property
    def service_points(self) -> Mapping[str, Point]:
        """Points that a hand must get at, by name; of a pump, valve or drain its top if it names none."""
        return self.service or ({"top": self.top} if self.serviced else {})

    @property
    def volume(self) -> float:
        """Volume of the solids, mm3 (of a hollow fitting, its outside)."""
        return sum(block.volume for block in self.blocks)

    @property
    def centre(self) -> Array:
        """Centre of mass, `(3,) float`, mm, as if the solids were of one even density."""
        return sum((block.volume * block.centre for block in self.blocks), np.zeros(3)) / self.volume

    @property
    def bounds(self) -> tuple[float, float, float, float, float, float]:
        """(least x, y, z, greatest x, y, z) of the solids, mm."""
        flat = np.array([block.outline.bounds for block in self.blocks])
        (x0, y0), (x1, y1) = flat[:, :2].min(axis=0), flat[:, 2:].max(axis=0)
        z0, z1 = min(block.z0 for block in self.blocks), max(block.z1 for block in self.blocks)
        return float(x0), float(y0), z0, float(x1), float(y1), z1


@dataclass(frozen=True, eq=False, kw_only=True)
class DropIn(Fitting):
    """A fitting that hangs in a cut-out of the deck by its flange.

    Attributes:
        length: of the cut-out along x.
        width: of the cut-out along y.
        radius: of the cut-out's corners.
        tolerance: by which the cut-out may be over or under.
        flange: lap over the deck beyond the cut-out.
        depth: reach below the top of the deck.
    """

    length: float
    width: float
    radius: float
    tolerance: float
    flange: float
    depth: float

    @property
    def cutout(self) -> Loop:
        """The hole the deck needs."""
        return Loop.rectangle(self.length, self.width, self.radius)

    @property
    def cover(self) -> Loop:
        """What the flange covers of the deck."""
        return _grown(self.length, self.width, self.radius, self.flange)


@dataclass(frozen=True, eq=False, kw_only=True)
class Lid(DropIn):
    """A lid: a plate that laps over the deck, with a skirt into the cut-out.

    `above` is how far it stands above the deck, `clearance` the gap round its skirt, `latches` how many
    latches it has, `hinge` how it is hung; on which side is the opening's business.
    """

    kind: ClassVar[str] = "lid"

    above: float
    clearance: float
    latches: int
    hinge: str

    @classmethod
    def make(
        cls,
        name: str,
        *,
        length: float,
        width: float,
        flange: float,
        above: float,
        depth: float,
        thickness: float,
        mass: float,
        clearance: float,
        radius: float = 0.0,
        tolerance: float = 1.5,
        latches: int = 1,
        hinge: str = "piano",
        note: str = "",
    ) -> Lid:
        """A lid for a cut-out of length x width; its skirt is of metal `thickness`.

        Raises:
            ValueError: a size is negative, or the skirt leaves no hollow.
        """
        _none_negative(name, flange=flange, clearance=clearance, depth=depth, tolerance=tolerance)
        plate = Block(_grown(length, width, radius, flange), (), 0.0, above)
        blocks = [plate]
        if depth > 0:
            outside = _ring_side(length, width, radius, clearance)
            inside = _ring_side(length, width, radius, clearance + thickness)
            blocks.append(Block.ring(outside, inside, -depth, 0.0))
        keep_out = (Block.box(length, width, -depth, 0.0, radius),) if depth > 0 else ()
        return cls(
            name=name, blocks=tuple(blocks), mass=mass, keep_out=keep_out, note=note,
            length=length, width=width, radius=radius, tolerance=tolerance, flange=flange, depth=depth,
            above=above, clearance=clearance, latches=latches, hinge=hinge,
        )  # fmt: skip


@dataclass(frozen=True, eq=False, kw_only=True)
class Tray(DropIn):
    """An open tray: flange, sides and floor; its hollow and the room above it are kept free."""

    kind: ClassVar[str] = "tray"

    @classmethod
    def make(
        cls,
        name: str,
        *,
        length: float,
        width: float,
        flange: float,
        depth: float,
        thickness: float,
        mass: float,
        clearance: float,
        radius: float = 0.0,
        tolerance: float = 1.5,
        room_above: float = 0.0,
        note: str = "",
    ) -> Tray:
        """A tray for a cut-out of length x width, of metal `thickness`; `depth` is to under its floor.

        Raises:
            ValueError: a size is negative, the tray is no deeper than its floor, or has no hollow.
        """
        _none_negative(name, clearance=clearance, tolerance=tolerance, room_above=room_above)
        if not depth > thickness:
            raise ValueError(
                f"{name}: the depth is {depth:g} mm; it must be more than the metal, {thickness:g} mm"
            )
        outside = _ring_side(length, width, radius, clearance)
        inside = _ring_side(length, width, radius, clearance + thickness)
        hollow = Loop.rectangle(*inside)
        blocks = (
            Block(_grown(length, width, radius, flange), (hollow,), 0.0, thickness),
            Block.ring(outside, inside, thickness - depth, 0.0),
            Block(Loop.rectangle(*outside), (), -depth, thickness - depth),
        )
        keep_out = (Block(hollow, (), thickness - depth, room_above),) if depth > thickness else ()
        return cls(
            name=name, blocks=blocks, mass=mass, keep_out=keep_out, note=note, length=length, width=width,
            radius=radius, tolerance=tolerance, flange=flange, depth=depth,
        )  # fmt: skip


@dataclass(frozen=True)
class Clear:
    """Room to keep free beyond each side of a fitting, mm."""

    above: float = 0.0
    forward: float = 0.0
    aft: float = 0.0
    port: float = 0.0
    starboard: float = 0.0

    def around(self, length: float, width: float, height: float) -> tuple[Block, ...]:
        """The box with its room, as a keep-out; empty when no room is asked for."""
        if not any((self.above, self.forward, self.aft, self.port, self.starboard)):
            return ()
        centre = ((self.forward - self.aft) / 2, (self.port - self.starboard) / 2)
        long, wide = length + self.forward + self.aft, width + self.port + self.starboard
        return (Block.box(long, wide, 0.0, height + self.above, centre=centre),)


@dataclass(frozen=True, eq=False, kw_only=True)
class Box(Fitting):
    """A box-shaped fitting."""

    kind: ClassVar[str] = "box"


@dataclass(frozen=True, eq=False, kw_only=True)
class Battery(Fitting):
    """A battery; its height is over the posts."""

    kind: ClassVar[str] = "battery"

    volts: float
    amp_hours: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Tank(Fitting):
    """A tank; `mass` is empty, `capacity` in litres."""

    kind: ClassVar[str] = "tank"

    contents: Contents
    capacity: float

    @property
    def full_mass(self) -> float:
        """Mass when full, kg."""
        return self.mass + self.capacity * LITRE_MASS[self.contents]


@dataclass(frozen=True, eq=False, kw_only=True)
class Seat(Fitting):
    """A seat from its mounting face up; `pivot` is where its swivel stands, (x, y), None if it is fixed."""

    kind: ClassVar[str] = "seat"

    pivot: tuple[float, float] | None = None

    @classmethod
    def make(
        cls,
        name: str,
        *,
        length: float,
        width: float,
        height: float,
        mass: float,
        back_height: float = 0.0,
        back_thickness: float = 0.0,
        radius: float = 0.0,
        swivels: bool = False,
        pivot_aft: float = 0.0,
        note: str = "",
    ) -> Seat:
        """A cushion of length x width x height, with a back along its aft edge.

        A seat that swivels keeps free the cylinder its furthest corner sweeps.

        Raises:
            ValueError: a back has height without thickness, or is as thick as the seat is long.
        """
        _none_negative(name, back_height=back_height, back_thickness=back_thickness)
        blocks = [Block.box(length, width, 0.0, height, radius)]
        if back_height > 0:
            if not 0 < back_thickness < length:
                raise ValueError(f"{name}: the back's thickness must lie between 0 and the seat's length")
            middle = (back_thickness - length) / 2
            blocks.append(
                Block.box(back_thickness, width, height, height + back_height, centre=(middle, 0.0))
            )
        pivot = (-pivot_aft, 0.0) if swivels else None
        keep_out = (_sweep(blocks, pivot),) if pivot else ()
        return cls(name=name, blocks=tuple(blocks), mass=mass, keep_out=keep_out, note=note, pivot=pivot)


@dataclass(frozen=True, eq=False, kw_only=True)
class Pedestal(Fitting):
    """A post for a seat: `height` from the deck to the seat's mounting face, `socket` the hole it needs."""

    kind: ClassVar[str] = "pedestal"

    height: float
    socket: float = 0.0
    socket_depth: float = 0.0

    @classmethod
    def make(
        cls,
        name: str,
        *,
        foot: float,
        foot_thickness: float,
        column: float,
        height: float,
        head: float,
        head_thickness: float,
        mass: float,
        socket: float = 0.0,
        socket_depth: float = 0.0,
        note: str = "",
    ) -> Pedestal:
        """A round foot plate, a column and a square head plate; a socket below the deck where one is asked.

        Raises:
            ValueError: foot and head leave no column, or a socket lacks diameter or depth.
        """
        if not foot_thickness + head_thickness < height:
            raise ValueError(f"{name}: the height must be more than foot and head plates together")
        if (socket > 0) != (socket_depth > 0):
            raise ValueError(f"{name}: a socket needs both a diameter and a depth")
        blocks = [
            Block.cylinder(foot, 0.0, foot_thickness),
            Block.cylinder(column, foot_thickness, height - head_thickness),
            Block.box(head, head, height - head_thickness, height),
        ]
        if socket > 0:
            blocks.append(Block.cylinder(socket, -socket_depth, 0.0))
        return cls(
            name=name, blocks=tuple(blocks), mass=mass, note=note, height=height, socket=socket,
            socket_depth=socket_depth,
        )  # fmt: skip


def _grown(length: float, width: float, radius: float, by: float) -> Loop:
    """The cut-out grown by `by` all round; a rounded corner keeps its centre."""
    return Loop.rectangle(length + 2 * by, width + 2 * by, radius + by if radius > 0 else 0.0)


def _ring_side(length: float, width: float, radius: float, inset: float) -> tuple[float, float, float]:
    return length - 2 * inset, width - 2 * inset, max(radius - inset, 0.0)


def _sweep(blocks: list[Block], pivot: tuple[float, float]) -> Block:
    """The cylinder that the blocks sweep about an upright line through `pivot`."""
    reach = max(float(np.hypot(*(block.outline.polyline() - pivot).T).max()) for block in blocks)
    top = max(block.z1 for block in blocks)
    return Block(Loop.circle(2 * reach, centre=pivot), (), 0.0, top)


def _none_negative(name: str, **sizes: float) -> None:
    for what, size in sizes.items():
        if size < 0:
            raise ValueError(f"{name}: the {what.replace('_', ' ')} is {size:g} mm; it cannot be negative")
