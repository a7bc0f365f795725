"""Gas struts for a lid: force, stroke and mounting points from its weight and its swing, what a hand feels.

Statics: about the hinge the struts' moment n F r balances the lid's W d (d level distance of the centre of
mass, r distance of the strut's line from the hinge). By virtual work r is also the rate ds/dt at which the
strut grows as the lid turns. The hand at the far edge, a distance L out, feels (W d - n F r) / L.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from model.clearance.lids import HungLid
from model.clearance.motion import Turn
from model.geometry import Array
from model.layout.records import StrutAsked

GRAVITY = 9.81
CAUTION = (
    "A gas strut stores energy and a lid can shut on hands. Check the numbers with the strut's maker, "
    "try the lid with its full load, and never open or heat a strut."
)

RISE = 1.25
"""Force pressed in over force drawn out; makers give 1.10 to 1.40."""

PER_DEGREE = 0.0035
"""Share by which the force grows for each degree C (3.5 % for 10)."""

DEAD = 75.0
"""Length of a strut pressed in beyond its stroke: eyes and seals, mm (common practice)."""

LONGER = 40.0
"""How much longer eyes can make a strut, mm (common practice)."""

STROKES = (40.0, 60.0, 80.0, 100.0, 120.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0)
"""Strokes that are commonly stocked, mm (common practice)."""

HOLDS_FROM = math.radians(30.0)
"""From here up the struts hold the lid by themselves (common practice)."""

SHUT_BY = 0.05
"""A shut lid is to be held shut by at least this share of its weight at the far edge (common practice)."""

MARGIN = 0.15
"""Spare force over the balance; 10 to 20 % is usual."""

EYE = 12.0
"""How far a strut's eye stands off what it is mounted on, mm (common practice)."""


CHOSEN = StrutAsked(2, None, None, None, None, ())
"""Two struts of which all is chosen."""


def balance_force(weight: float, arm: float, strut_arm: float, count: int = 1, margin: float = 0.0) -> float:
    """Force of each of `count` struts that holds a lid, N.

    Args:
        weight: of the lid, N.
        arm: level distance from hinge to centre of mass.
        strut_arm: distance from hinge to the strut's line, in the same unit.
        count: how many struts.
        margin: spare share.

    Raises:
        ValueError: the strut's line runs through the hinge, or there is no strut.

    Example:
        >>> balance_force(100.0, 300.0, 100.0)
        300.0
    """
    if strut_arm <= 0.0 or count < 1:
        raise ValueError(f"a strut needs an arm about the hinge, got {strut_arm:g} and {count} struts")
    return weight * arm / (count * strut_arm) * (1.0 + margin)


def edge_force(force: float, strut_arm: float, count: int, length: float) -> float:
    """Force at the free edge that holds the struts' moment alone, N: what closing takes, the weight apart."""
    return count * force * strut_arm / length


def force_at(force: float, degrees_c: float, at: float = 20.0) -> float:
    """Force of a strut at another temperature than that at which it has `force`, N."""
    return force * (1.0 + PER_DEGREE * (degrees_c - at))


@dataclass(frozen=True, eq=False)
class StrutPlan:
    """Struts for a lid.

    Attributes:
        count: how many, alike.
        force: of each drawn out at 20 degrees C, N.
        stroke: mm, of those commonly stocked.
        closed, opened: length between eyes with the lid shut and open, mm.
        on_lid, on_frame: the eyes of the first strut with the lid shut, `(3,) float` in the boat.
        lid_eye, frame_eye: the same as (out from the hinge line, down from the lid's upper face), mm.
        holds_from: angle from which up the lid stays where it is, rad; inf where it nowhere does.
        hand_closed: what lifts the shut lid at its far edge, N; below zero it opens by itself.
        hand_open: what starts the open lid to close, N; below zero it falls by itself.
        hand_most: the greatest force at the hand either way over the swing, N.
    """

    count: int
    force: float
    stroke: float
    closed: float
    opened: float
    on_lid: Array
    on_frame: Array
    hand_closed: float
    hand_open: float
    hand_most: float
    lid_eye: tuple[float, float]
    frame_eye: tuple[float, float]
    holds_from: float


@dataclass(frozen=True, eq=False)
class Leverage:
    """A lid in the plane square to its hinge line: u out from the hinge along the shut lid, v up from it.

    Attributes:
        angles: of the swing, `(t,) float`, rad.
        weight_moment: moment of the weight about the hinge at each, N mm, positive when it shuts the lid.
        length: distance of the far edge from the hinge, mm.
    """

    angles: Array
    weight_moment: Array
    length: float

    def eyes(self, lid_eye: Array, frame_eye: Array) -> tuple[Array, Array]:
        """Length and arm of struts at each angle `(k, t)`, for eyes `(k, 2)` with the lid shut."""
        c, s = np.cos(self.angles), np.sin(self.angles)
        u, v = lid_eye[:, :1], lid_eye[:, 1:]
        x, y = u * c - v * s, u * s + v * c
        dx, dy = x - frame_eye[:, :1], y - frame_eye[:, 1:]
        length = np.hypot(dx, dy)
        # ds/dt: the eye moves along (-y, x) as the lid turns
        return length, (-y * dx + x * dy) / np.maximum(length, 1e-9)

    def hand(self, force: Array, arm: Array, count: int) -> Array:
        """What the hand must lift at the far edge, N, for forces and arms that broadcast with the angles."""
        found: Array = (self.weight_moment - count * force * arm) / self.length
        return found


def leverage(lid: HungLid, steps: int = 46) -> Leverage | None:
    """The lid's leverage over its swing, gravity along the boat's z; None where it does not turn."""
    motion = lid.motion()
    if not isinstance(motion, Turn):
        return None
    angles = np.linspace(0.0, motion.limit, steps)
    angles = np.union1d(angles, [min(HOLDS_FROM, motion.limit)])
    poses = [motion.pose(float(angle)) for angle in angles]
    centres = np.array([matrix @ lid.centre + offset for matrix, offset in poses])
    pull = np.array([0.0, 0.0, -lid.mass * GRAVITY])
    moments = -np.cross(centres - motion.point, pull) @ motion.axis
    corners = np.vstack([prism.mesh().vertices for prism in lid.fixture.prisms])
    return Leverage(angles, moments, float(motion.reach(corners).max()))


def strut_plan(lid: HungLid, asked: StrutAsked = CHOSEN, rise: float = RISE) -> StrutPlan | None:
    """Struts that hold a lid from 30 degrees up; None if none fits or is needed.

    Of those that fit, the ones with the least force at the hand. Eyes are tried along the underside of the
    lid and along the side of the opening's frame. A force that is given is taken as it is, whether or not it
    holds the lid. Whether anything stands in the way of the struts themselves is not asked.

    Args:
        lid: hinged.
        asked: what is given of the struts; the rest is chosen.
        rise: force pressed in over force drawn out.
    """
    lever = leverage(lid)
    if lever is None:
        return None
    lid_eye, frame_eye = _eyes_tried(lid, lever, asked)
    length, arm = lever.eyes(lid_eye, frame_eye)
    stroke = _strokes(length, STROKES if asked.stroke is None else (asked.stroke,))
    fits = np.isfinite(stroke) & (arm[:, 1:] > 1.0).all(axis=1) & (arm[:, 0] > -5.0)
    if not fits.any():
        return None
    lid_eye, frame_eye, length, arm, stroke = (v[fits] for v in (lid_eye, frame_eye, length, arm, stroke))
    grown = 1.0 + (rise - 1.0) * (length[:, -1:] - length) / stroke[:, None]
    force = _needed(lever, arm, grown, asked.count)
    if float(force.max()) <= 0.0:
        return None  # from there on the lid's own weight opens it
    force = force if asked.force is None else np.full_like(force, asked.force)
    hand = lever.hand(force[:, None] * grown, arm, asked.count)
    serves = hand[:, 0] >= SHUT_BY * lid.mass * GRAVITY
    if asked.force is None and not serves.any():
        return None
    serves &= (hand[:, _held(lever)] <= 0.0).all(axis=1)
    best = int(np.lexsort((np.abs(hand).max(axis=1), ~serves))[0])
    eyes = [eye[best] for eye in (lid_eye, frame_eye)]
    return StrutPlan(
        asked.count, float(force[best]), float(stroke[best]), float(length[best, 0]), float(length[best, -1]),
        _in_boat(lid, eyes[0]), _in_boat(lid, eyes[1]),
        float(hand[best, 0]), -float(hand[best, -1]), float(np.abs(hand[best]).max()),
        (float(eyes[0][0]), -float(eyes[0][1])), (float(eyes[1][0]), -float(eyes[1][1])),
        _holds_from(lever.angles, hand[best]),
    )  # fmt: skip


def _needed(lever: Leverage, arm: Array, grown: Array, count: int) -> Array:
    """Force of each strut drawn out that holds the lid from where it is to hold, N, `(k,)`."""
    held = _held(lever)
    needed = lever.weight_moment[held] * (1.0 + MARGIN) / (count * arm[:, held] * grown[:, held])
    found: Array = needed.max(axis=1)
    return found


def _held(lever: Leverage) -> npt.NDArray[np.bool_]:
    """The angles at which struts are to hold the lid, `(t,)`."""
    found: npt.NDArray[np.bool_] = lever.angles >= min(HOLDS_FROM, float(lever.angles[-1]))
    return found


def _holds_from(angles: Array, hand: Array) -> float:
    """The angle from which up the lid needs no hand, rad."""
    falls = np.flatnonzero(hand > 0.0)
    if not len(falls):
        return 0.0
    last = int(falls[-1])
    return float(angles[last + 1]) if last + 1 < len(angles) else math.inf


def _eyes_tried(lid: HungLid, lever: Leverage, asked: StrutAsked) -> tuple[Array, Array]:
    """Eyes on lid and frame in the plane square to the hinge, `(k, 2)` each; those given alone."""
    plate = float(lid.fixture.prisms[0].thickness)
    depth = lid.deck.sheet.thickness + lid.deck.rules.section.height
    out, below = np.linspace(0.12, 0.85, 16) * lever.length, plate + EYE
    along = np.linspace(0.02, 0.95, 24) * lever.length
    down = plate + np.linspace(EYE, max(depth - EYE / 2.0, EYE + 1.0), 5)
    if asked.on_lid is not None:
        out, below = np.array(asked.on_lid[:1]), asked.on_lid[1]
    if asked.on_frame is not None:
        along, down = np.array(asked.on_frame[:1]), np.array(asked.on_frame[1:])
    m, b, h = (v.ravel() for v in np.meshgrid(out, along, down, indexing="ij"))
    return np.stack([m, np.full_like(m, -below)], axis=1), np.stack([b, -h], axis=1)


def _strokes(length: Array, stocked: Sequence[float]) -> Array:
    """The shortest stocked stroke that serves lengths `(k, t)`, `(k,)`; nan where none does.

    Open, the strut is drawn out to its end; shut, it must not be pressed in past its other end.
    """
    shut, most = length[:, 0], length[:, -1]
    travel = length.max(axis=1) - length.min(axis=1)
    found = np.full(len(length), np.nan)
    for stroke in sorted(stocked, reverse=True):
        drawn = 2.0 * stroke + DEAD
        serves = (travel <= stroke) & (most >= drawn) & (most <= drawn + LONGER)
        serves &= (most >= length.max(axis=1) - 1e-6) & (shut >= stroke + DEAD)
        found = np.where(serves, stroke, found)
    return found


def _in_boat(lid: HungLid, eye: Array) -> Array:
    """An eye of the plane square to the hinge, at the end of the hinge line, in the boat `(3,)`."""
    assert lid.edge is not None
    along = lid.edge[1] - lid.edge[0]
    up = lid.deck.frame.z
    out = np.cross(along / np.sqrt(along @ along), up)
    out = out if float((lid.fixture.centre - lid.edge[0]) @ out) > 0.0 else -out
    found: Array = lid.edge[0] + eye[0] * out + eye[1] * up
    return found
