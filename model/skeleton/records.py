"""The skeleton: members, and the joints in which they meet each other and the hull."""

from __future__ import annotations

from dataclasses import dataclass

from model.findings import Finding
from model.geometry import Array
from model.layout.records import Path
from model.member import Member
from model.skeleton.plan_bar import Bar


@dataclass(frozen=True, eq=False)
class Joint:
    """Where one end of a member meets something.

    Attributes:
        kind: corner, tee, post, sole, rib, stringer, hull or free.
        member: name of the member whose end it is.
        end: 'A' or 'B'.
        other: what it meets: a member's name, `hull`, a rib's name; None for a free end.
        point: where the axis leaves the metal, `(3,) float`.
        gap: distance left between the end and what it meets, mm; at the hull the least over the end.
        widest: at the hull, the greatest gap over the end; elsewhere equal to `gap`.
    """

    kind: str
    member: str
    end: str
    other: str | None
    point: Array
    gap: float
    widest: float


@dataclass(frozen=True)
class Refusal:
    """A fault of the file that shows only when the members are there: where, what is wrong, what is right."""

    path: Path
    wrong: str
    right: str


@dataclass(frozen=True, eq=False)
class Skeleton:
    """All members of a boat with their joints.

    `bars` holds for each deck its frame in the deck's own plane. With `refusals` nothing is to be built.
    """

    members: tuple[Member, ...]
    joints: tuple[Joint, ...]
    bars: dict[str, tuple[Bar, ...]]
    findings: tuple[Finding, ...]
    refusals: tuple[Refusal, ...] = ()
