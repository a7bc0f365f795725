"""Members that are one piece in two places: the motion that carries one exactly onto the other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from model.geometry import Array
from model.member import Member

SAME_ANGLE = 1e-9
"""End normals closer than this are the same, rad."""
SAME_LENGTH = 1e-6
"""Ends closer than this are the same, mm: far below what a piece mark tells apart, so that a drawn twin is
exact and not only near enough for the saw."""


@dataclass(frozen=True, eq=False, slots=True)
class Motion:
    """A rotation `matrix` `(3, 3)` followed by a shift `offset` `(3,)` mm, in the boat."""

    matrix: Array
    offset: Array

    def carried(self, points: Array) -> Array:
        """Points `(..., 3)` moved."""
        found: Array = points @ self.matrix.T + self.offset
        return found


def motion_between(first: Member, other: Member) -> Motion | None:
    """The motion that lays `first` exactly on `other`, or None where no rotation does.

    Every turn that maps the endless section on itself is tried, end for end turns included.
    """
    if first.section is not other.section:
        return None
    for turn in first.section.turns():
        shift = _shift_along(first, other, turn)
        if shift is not None and _holes_meet(first, other, turn, shift):
            matrix = other.frame.axes.T @ turn @ first.frame.axes
            landing = other.a + shift * other.axis
            return Motion(matrix, landing - matrix @ first.a)
    return None


def _shift_along(first: Member, other: Member, turn: Array) -> float | None:
    """How far along the other's axis `first`, turned, slides for both ends to meet; None if they cannot."""
    ends = first.local_ends if turn[0, 0] > 0 else first.local_ends[::-1]
    shifts = []
    for own, wanted in zip(ends, other.local_ends, strict=True):
        normal = turn @ own.normal
        if float(np.abs(normal - wanted.normal).max()) > SAME_ANGLE:
            return None
        shifts.append((wanted.offset - own.offset) / float(wanted.normal[0]))
    if abs(shifts[0] - shifts[1]) > SAME_LENGTH:
        return None
    return (shifts[0] + shifts[1]) / 2.0


def _holes_meet(first: Member, other: Member, turn: Array, shift: float) -> bool:
    """Whether the holes of the first, carried so, lie on the other's."""
    if len(first.holes) != len(other.holes):
        return False
    carried = [turn @ hole.middle + np.array([shift, 0.0, 0.0]) for hole in first.holes]
    ways = [np.abs(turn @ hole.way) for hole in first.holes]
    return all(
        any(
            float(np.abs(at - hole.middle).max()) < SAME_LENGTH
            and float(np.abs(way - hole.way).max()) < SAME_ANGLE
            and abs(own.diameter - hole.diameter) < SAME_LENGTH
            for at, way, own in zip(carried, ways, first.holes, strict=True)
        )
        for hole in other.holes
    )


def twins(members: list[Member], marks: dict[str, str]) -> Iterator[tuple[Member, Member, Motion]]:
    """Each member with the first piece it is an exact copy of (itself, if none) and the motion from that.

    Only members of one mark are held against each other.
    """
    firsts: dict[str, list[Member]] = {}
    stay = Motion(np.eye(3), np.zeros(3))
    for member in members:
        known = firsts.setdefault(marks.get(member.name, member.name), [])
        for first in known:
            motion = motion_between(first, member)
            if motion is not None:
                yield member, first, motion
                break
        else:
            known.append(member)
            yield member, member, stay
