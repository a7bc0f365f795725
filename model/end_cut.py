"""How a member's ends are cut on a saw: turn of the table, tilt of the blade, and which face lies down.

Member axes: x from end A to end B, y across the width, z across the height. Seen from end A with the height
up, +y is the left side, -y the right, +z the top, -z the bottom. With unit end normal n out of the metal and
f = |n_x|, a piece lying on its width face (bottom down) is cut by mitre = atan2(n_y, f), bevel = asin(n_z);
lying on its height face (left side down), y and z change places. The blade plane of a saw whose table turns
by M and whose blade tilts by B has the normal (cos B cos M, cos B sin M, sin B), which is what these undo.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from model.geometry import Array, Plane

if TYPE_CHECKING:
    from model.member import Member
    from parts.section import Section

PLAIN = math.radians(0.005)
"""An angle that prints as 0.00 degrees counts as none, rad."""


@dataclass(frozen=True, slots=True)
class SawLimits:
    """What a saw reaches: greatest `mitre` and `bevel` from square (rad), and its opening (mm).

    `width` is the longest cut across the table, `height` the tallest cut above it; infinite when not known.
    """

    name: str = "saw"
    mitre: float = math.radians(60.0)
    bevel: float = math.radians(45.0)
    width: float = math.inf
    height: float = math.inf


@dataclass(frozen=True, slots=True)
class EndCut:
    """The saw setting of one end.

    Attributes:
        end: "A" or "B".
        face: the face that lies down: "width", "height", or "round" for a round tube.
        mitre: turn of the table from square, rad. Positive leaves the long point on the right side (width
            face down) or at the bottom (height face down).
        bevel: tilt of the blade from upright, rad. Positive leaves the long point at the bottom (width face
            down) or on the right side (height face down).
        long_turn: where the long point lies round the axis, rad from +y towards +z; None for a square end.
        flags: what of this cut is past the saw, in words.
    """

    end: str
    face: str
    mitre: float
    bevel: float
    long_turn: float | None
    flags: tuple[str, ...] = ()

    @property
    def is_square(self) -> bool:
        """Whether neither angle is set."""
        return abs(self.mitre) < PLAIN and abs(self.bevel) < PLAIN

    @property
    def is_compound(self) -> bool:
        """Whether the blade must be tilted."""
        return abs(self.bevel) >= PLAIN

    @property
    def long_side(self) -> str:
        """Side of the long point as the piece lies: left, right, top or bottom; empty without a mitre."""
        if abs(self.mitre) < PLAIN or self.face == "round":
            return ""
        return {"width": ("left", "right"), "height": ("top", "bottom")}[self.face][self.mitre > 0.0]

    @property
    def long_level(self) -> str:
        """Whether the bevel leaves the long point "down" on the table or "up"; empty without one."""
        if abs(self.bevel) < PLAIN:
            return ""
        # The bottom is down when the width face is; the right side is up when the left side lies down.
        return "down" if (self.bevel > 0.0) == (self.face == "width") else "up"


@dataclass(frozen=True, slots=True)
class PieceCuts:
    """Both ends of a piece as the saw makes them."""

    end_a: EndCut
    end_b: EndCut

    @property
    def same_face(self) -> bool:
        """Whether one face stays down for both cuts; a square end does not mind."""
        square = self.end_a.is_square or self.end_b.is_square
        return square or self.end_a.face == self.end_b.face

    @property
    def turn(self) -> float | None:
        """Turn of B's long point from A's about the axis, rad in (-pi, pi]; None where an end is square.

        Positive is clockwise seen from end A. 0: both long points on one side; pi: on opposite sides; in both
        of these the two mitres lie in one plane.
        """
        a, b = self.end_a.long_turn, self.end_b.long_turn
        if a is None or b is None:
            return None
        turn = math.remainder(b - a, 2.0 * math.pi)
        return math.pi if turn <= PLAIN - math.pi else turn

    @property
    def pattern(self) -> str:
        r"""The piece as a pair of strokes: `| |`, `/ |`, `| \`, `/ \`, `/ /`, or `/ x` when skew."""
        if self.turn is None:
            a = "|" if self.end_a.long_turn is None else "/"
            b = "|" if self.end_b.long_turn is None else "\\"
            return f"{a} {b}"
        if abs(self.turn) < PLAIN:
            return "/ \\"
        return "/ /" if math.pi - abs(self.turn) < PLAIN else "/ x"

    @property
    def turn_words(self) -> str:
        """The relation of the two ends in words."""
        pattern, turn = self.pattern, self.turn
        if turn is None:
            return {"| |": "both ends square", "/ |": "end B square", "| \\": "end A square"}[pattern]
        if pattern == "/ \\":
            return "long points on one side"
        if pattern == "/ /":
            return "long points on opposite sides"
        way = "clockwise" if turn > 0.0 else "anticlockwise"
        return f"B turned {abs(math.degrees(turn)):.2f} deg {way} seen from A"

    @property
    def flags(self) -> tuple[str, ...]:
        """What is past the saw at either end."""
        return tuple(f"end {cut.end}: {flag}" for cut in (self.end_a, self.end_b) for flag in cut.flags)


def saw_angles(normal: Array, face: str) -> tuple[float, float]:
    """Mitre and bevel (rad) that make a plane of unit `normal` `(3,)` in member axes with `face` down."""
    x, y, z = normal.tolist()
    if face == "round":
        return math.atan2(math.hypot(y, z), abs(x)), 0.0
    if face == "height":
        y, z = z, y
    return math.atan2(y, abs(x)), math.asin(max(-1.0, min(1.0, z)))


def past_saw(section: Section, face: str, mitre: float, bevel: float, limits: SawLimits) -> tuple[str, ...]:
    """What of one cut the saw cannot reach, in words; empty when it can."""
    across, upright = section.width, section.height
    if face == "height":
        across, upright = upright, across
    across, upright = across / math.cos(mitre), upright / max(math.cos(bevel), 1e-9)
    allow = PLAIN
    found = []
    for word, angle, most in (("mitre", mitre, limits.mitre), ("bevel", bevel, limits.bevel)):
        if abs(angle) > most + allow:
            found.append(
                f"{word} {math.degrees(abs(angle)):.2f} deg past {limits.name}'s {math.degrees(most):g} deg"
            )
    for word, size, most in (("wide", across, limits.width), ("tall", upright, limits.height)):
        if size > most + 1e-6:
            found.append(f"cut {size:.0f} mm {word}, past {limits.name}'s {most:.0f} mm")
    return tuple(found)


def _choices(member: Member, end: str, plane: Plane, limits: SawLimits) -> Iterator[EndCut]:
    """The ways to lay one end on the saw."""
    _, y, z = plane.normal.tolist()
    tilt = math.hypot(y, z)
    long_turn = math.atan2(-z, -y) if tilt >= math.sin(PLAIN) else None
    for face in ("round",) if member.section.kind == "round" else ("width", "height"):
        mitre, bevel = saw_angles(plane.normal, face)
        flags = past_saw(member.section, face, mitre, bevel, limits)
        yield EndCut(end, face, mitre, bevel, long_turn, flags)


def _trouble(cuts: PieceCuts) -> tuple[int, int, bool, float, bool, int]:
    """What makes a pair of settings worse, gravest first."""
    a, b = cuts.end_a, cuts.end_b
    return (
        bool(a.flags) + bool(b.flags),
        a.is_compound + b.is_compound,
        not cuts.same_face,
        round(abs(a.bevel) + abs(b.bevel), 6),
        a.face != b.face,
        (a.face == "height") + (b.face == "height"),
    )


_NONE = (0, 0, False, 0.0, False, 0)


def cut_piece(member: Member, limits: SawLimits | None = None) -> PieceCuts:
    """The saw settings of both ends with the faces that are easiest to cut.

    In this order: within the saw; a plain mitre rather than a tilted blade; one face down for both ends; the
    smaller tilt; the width face down.
    """
    saw = limits or SawLimits()
    plane_a, plane_b = member.local_ends
    first = PieceCuts(next(_choices(member, "A", plane_a, saw)), next(_choices(member, "B", plane_b, saw)))
    if _trouble(first) == _NONE:
        return first
    pairs = product(_choices(member, "A", plane_a, saw), _choices(member, "B", plane_b, saw))
    return min((PieceCuts(a, b) for a, b in pairs), key=_trouble)
