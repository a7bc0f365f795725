"""Runs of wire and hose: what is wanted, what was found, and what stands in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from model.geometry import Array
from parts.faults import Place

Via: TypeAlias = "str | tuple[float, float, float]"
"""A passage by its name, or a point, mm."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A run that is to be laid.

    Attributes:
        name: of the circuit or hose, such as `wires.bow_lights`.
        kind: `wire` or `hose`.
        start, end: `(3,)` mm.
        diameter: outside, mm.
        bend_radius: least radius of its centreline, mm; 0 bends anywhere.
        via: passages by name, or points, that it is to go through in this order.
        given: the user's own points `(n, 3)`, start and end included; they are taken as they are.
        place: where it was written.
        falls: whether it drains by itself: ways that fall all along are sought.
    """

    name: str
    kind: str
    start: Array
    end: Array
    diameter: float
    bend_radius: float = 0.0
    via: Sequence[Via] = ()
    given: Array | None = None
    place: Place | None = None
    falls: bool = False


@dataclass(frozen=True, eq=False)
class Crossing:
    """A piece that a run goes through or would have to.

    Attributes:
        piece: its name; empty where the way leads through the open cockpit.
        at: middle of the hole, `(3,)` mm.
        kind: sheet, member, well, or open.
        size: diameter of the hole that is needed, mm.
        until: where a way through the open comes back under cover, `(3,)`; None for holes.
    """

    piece: str
    at: Array
    kind: str
    size: float
    until: Array | None = None


@dataclass(frozen=True, eq=False)
class TightBend:
    """A bend closer than its run allows: where `(3,)`, the radius that fits there and the one asked, mm."""

    at: Array
    radius: float
    asked: float


@dataclass(frozen=True, eq=False)
class Run:
    """One wire or hose as it lies.

    Attributes:
        name: of the circuit or hose.
        kind: `wire` or `hose`.
        path: centreline `(n, 3)` from start to end, mm; bends of hoses are rounded.
        diameter: outside, mm.
        through: named passages that it goes through and pieces that it runs along, in order.
        length: of the path, mm; slack is added by whoever cuts it.
        corners: the path before its bends were rounded, `(k, 3)`.
        clips: where it is to be held, `(m, 3)`.
        passages: of `through`, those that are passages.
        tight: bends that are closer than the run allows.
        hits: pieces it goes through that it should not; only of runs by given points.
        place: where it was written.
    """

    name: str
    kind: str
    path: Array
    diameter: float
    through: tuple[str, ...] = ()
    corners: Array = field(default_factory=lambda: np.zeros((0, 3)))
    clips: Array = field(default_factory=lambda: np.zeros((0, 3)))
    passages: tuple[str, ...] = ()
    tight: tuple[TightBend, ...] = ()
    hits: tuple[Crossing, ...] = ()
    place: Place | None = None

    @property
    def length(self) -> float:
        """Length of the path, mm."""
        return length_of(self.path)


@dataclass(frozen=True, eq=False)
class NoWay:
    """A run that cannot be laid.

    Attributes:
        name, kind: as wanted.
        why: in plain words.
        where: `(3,)` the first thing in the way, mm.
        cure: what passage would let it through, in the words of the boat file.
        needs: every hole or chase that would open the shortest way, from start to end.
        path: the way that it would take then, `(n, 3)`; None where even holes open none.
        place: where it was written.
    """

    name: str
    kind: str
    why: str
    where: Array
    cure: str
    needs: tuple[Crossing, ...] = ()
    path: Array | None = None
    place: Place | None = None


def length_of(path: Array) -> float:
    """Length of a polyline `(n, 3)`, mm."""
    return float(np.sqrt((np.diff(path, axis=0) ** 2).sum(axis=1)).sum())
