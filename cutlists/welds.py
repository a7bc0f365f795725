"""The welds of the frame: each welded end, how long, in what position; filler, gas and time by shop rates."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.bends.hat import Hat
from model.geometry import Array
from model.member import Member
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

POSITIONS = ("flat", "horizontal", "vertical", "overhead")
"""As the seam stands in the boat; a frame that is turned on the bench is welded flat."""
STEEP = 0.7
"""Cosine by which a face looks up or down, or a seam runs upright: within 45 degrees."""
WELDED = ("corner", "tee", "post", "sole")
"""Kinds of joints that are welded; what stands off hull, rib or stringer is held as the shop does it."""
HAT = "hat"
"""A hat or a channel on its sheet, all along both feet; where the shop stitches, less."""
FILLER = 2660.0
"""Density of 5xxx filler wire, kg/m3 (from memory)."""
CHORD = 0.1


@dataclass(frozen=True)
class WeldRates:
    """How a shop welds; the usual numbers are common practice and to be replaced by its own.

    Attributes:
        leg: of a fillet, mm; None for the wall of the tube.
        travel: mm of seam a minute while the arc burns.
        share: of the time at the job that the arc burns.
        gas: litres a minute while it burns.
        loss: of filler that does not end in the seam, and what the seam stands proud, as a share.
    """

    leg: float | None = None
    travel: float = 254.0
    share: float = 0.25
    gas: float = 12.0
    loss: float = 0.25


@dataclass(frozen=True, eq=False)
class Weld:
    """One welded end.

    Attributes:
        kind: corner, tee, post or sole, or hat.
        member: whose end it is; of a corner the one of two that comes first.
        other: what it is welded to.
        lengths: mm of seam in each of `POSITIONS`.
        leg: of the fillet, mm.
    """

    kind: str
    member: str
    other: str
    lengths: Array
    leg: float

    @property
    def length(self) -> float:
        """Of the whole seam, mm."""
        return float(self.lengths.sum())

    @property
    def volume(self) -> float:
        """Of the fillet as drawn, a right triangle, mm3."""
        return self.length * self.leg**2 / 2


@dataclass(frozen=True)
class WeldSum:
    """Sums over welds: how many, mm of seam in each position, kg of filler, litres of gas, minutes."""

    count: int
    lengths: tuple[float, ...]
    filler: float
    gas: float
    arc: float
    work: float

    @property
    def length(self) -> float:
        """Of all seams, mm."""
        return sum(self.lengths)

    @classmethod
    def of(cls, welds: Iterable[Weld], rates: WeldRates) -> WeldSum:
        """The sums by a shop's rates."""
        own = list(welds)
        lengths = np.sum([weld.lengths for weld in own], axis=0) if own else np.zeros(len(POSITIONS))
        filler = sum(weld.volume for weld in own) * 1e-9 * FILLER * (1 + rates.loss)
        arc = float(lengths.sum()) / rates.travel
        return cls(len(own), tuple(lengths.tolist()), filler, arc * rates.gas, arc, arc / rates.share)


def welds_of(boat: Boat, rates: WeldRates | None = None) -> list[Weld]:
    """Every weld of the frame, all round each end; a mitred corner is told once. Then those of hats.

    The seam runs where the outside of the tube meets the end's plane, whatever lies flush there.
    """
    leg = (rates or WeldRates()).leg
    members = {member.name: member for member in boat.members if not member.is_cut_away}
    found = []
    corners: dict[frozenset[str], list[Array]] = {}
    for joint in boat.joints:
        if joint.kind not in WELDED or joint.member not in members or joint.other is None:
            continue
        if joint.kind == "corner":
            told = corners.setdefault(frozenset((joint.member, joint.other)), [])
            if any(float(np.linalg.norm(joint.point - point)) < 1.0 for point in told):
                continue
            told.append(joint.point)
        member = members[joint.member]
        lengths = seam_lengths(member, joint.end)
        found.append(Weld(joint.kind, joint.member, joint.other, lengths, leg or member.section.wall))
    return found + [Weld(HAT, h.name, h.of, foot_lengths(h), leg or h.section.wall) for h in boat.hats]


def foot_lengths(hat: Hat) -> Array:
    """Length of the seams along both feet of a hat in each of `POSITIONS`, `(4,)`, mm.

    They open the way the hat stands off its sheet: below a deck they are overhead.
    """
    up, along = float(hat.up[2]), abs(float(hat.axis[2]))
    place = (
        "flat" if up > STEEP else "overhead" if up < -STEEP else "vertical" if along > STEEP else "horizontal"
    )
    lengths = np.zeros(len(POSITIONS))
    lengths[POSITIONS.index(place)] = 2.0 * float(np.linalg.norm(hat.b - hat.a))
    return lengths


def seam_lengths(member: Member, end: str) -> Array:
    """Length of the outline of a member's end in each of `POSITIONS`, `(4,)`, mm."""
    section = member.section.outer.polyline(CHORD)
    points = member.frame.to_boat(member.prism.ends_at(section)[0, 0 if end == "A" else 1])
    steps = np.roll(points, -1, axis=0) - points
    flat = np.roll(section, -1, axis=0) - section
    size = np.hypot(*flat.T)
    # The section's outline runs counter-clockwise, so that its outside lies to the right of each step.
    facing = np.column_stack([np.zeros(len(flat)), flat[:, 1], -flat[:, 0]]) / size[:, None]
    up = facing @ member.frame.axes @ np.array([0.0, 0.0, 1.0])
    length = np.linalg.norm(steps, axis=1)
    upright = np.abs(steps[:, 2]) > STEEP * length
    masks = (up > STEEP, ~upright & (np.abs(up) <= STEEP), upright & (np.abs(up) <= STEEP), up < -STEEP)
    return np.array([float(length[mask].sum()) for mask in masks])


def by_owner(welds: Iterable[Weld]) -> Mapping[str, list[Weld]]:
    """The welds of each deck, seat box and console, in the order they first come."""
    found: dict[str, list[Weld]] = {}
    for weld in welds:
        found.setdefault(weld.member.partition("/")[0], []).append(weld)
    return found


def weld_csv(welds: Iterable[Weld], units: str) -> str:
    """Every weld as CSV (RFC 4180): kind, what is welded to what, lengths by position."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(["kind", "member", "to", "length", "length mm", *(f"{p} mm" for p in POSITIONS), "leg mm"])
    for weld in welds:
        out.writerow([
            weld.kind, weld.member, weld.other, format_length(weld.length, units), round(weld.length, 1),
            *(round(float(v), 1) for v in weld.lengths), round(weld.leg, 2),
        ])  # fmt: skip
    return text.getvalue()


def weld_rows(welds: list[Weld], rates: WeldRates, units: str) -> Iterator[tuple[str, ...]]:
    """Rows for people: a row for each owner and all together, lengths by position, filler, gas, hours."""
    groups = {**by_owner(welds), "all": welds}
    for owner, own in groups.items():
        told = WeldSum.of(own, rates)
        kinds = ", ".join(
            f"{n} {kind}" for kind in (*WELDED, HAT) if (n := sum(weld.kind == kind for weld in own))
        )
        yield (
            owner,
            kinds,
            *(format_length(length, units) for length in (told.length, *told.lengths)),
            f"{told.filler:.2f} kg",
            f"{told.gas:.0f} l",
            f"{told.work / 60:.1f} h",
        )
