"""What is found of each member."""

from __future__ import annotations

from dataclasses import dataclass

from model.geometry import Array

ONE, TWO, SLAM = "one person who jumps", "two people", "slamming"


@dataclass(frozen=True, eq=False)
class Force:
    """What a member feels at its worst place.

    Attributes:
        use: demand over what is allowed.
        case: which load: one person, two people, slamming.
        where: `(3,)` in the boat, mm.
        at: distance from the member's own a along it, mm.
        resultants: N along, V along y and z (N), torque, moments about y and z (Nmm), principal axes; `(6,)`.
        soft: whether it lies within the softened zone of a weld.
        allowed: stress, N/mm2.
        post: stress along it in compression, N/mm2, no more than `allowed`.
        stands: where people stand, `(k, 3)`, mm; none for slamming.
    """

    use: float
    case: str
    where: Array
    at: float
    resultants: Array
    soft: bool
    allowed: float
    post: float
    stands: Array


@dataclass(frozen=True)
class Sag:
    """How far a member gives way between what holds it, under one person who stands still.

    `use` is `sag` over the span's limit; `sag` and `span` in mm.
    """

    use: float
    sag: float
    span: float


@dataclass(frozen=True, eq=False)
class MemberUse:
    """A member's use: the greater of strength and sag; above 1 it is too weak or too soft."""

    name: str
    force: Force
    sag: Sag | None

    @property
    def use(self) -> float:
        """Demand over what is allowed."""
        return max(self.force.use, self.sag.use if self.sag else 0.0)

    @property
    def limit(self) -> str:
        """What limits it: `strength` or `sag`."""
        return "sag" if self.sag and self.sag.use > self.force.use else "strength"


@dataclass(frozen=True, eq=False)
class FootUse:
    """A post's foot on bare sheet: what it presses with and what the sheet bears, N; `where` in the boat."""

    name: str
    deck: str
    use: float
    force: float
    bears: float
    where: Array
