"""Equilibrium: the plane in which a boat floats, by Newton's method on true volumes at any heel and trim.

A plane lies at its middle point F (the centre of the waterplane) with unit axes `ahead` and `aport` in it.
Lifted by h at F and turned so that it rises by a ahead and by b to port, it displaces A h more, and the
moment of the displaced volume grows by the second moments I of the waterplane times (a, b) (Bouguer, 1746).
The righting levers are the parts of B - G in the plane; their derivatives by (a, b) are I / V + (B - G).n,
which are the metacentric heights. All of it is exact in the limit of a step, so steps converge by squares.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from model.geometry import Array, Plane
from model.hull_volume import immersed, waterplane
from model.hydrostatics.body import Below, Body
from model.hydrostatics.load import Load
from model.shell import Shell

FRESH, SALT = 1000.0, 1025.0
"""kg/m3."""

TURN = 0.12
"""Most that a step turns the plane, rad."""
STEPS = 60
NEAR = 1e-6
"""Levers within this of nothing, mm, and volumes within as many parts of the whole, are settled."""
ROUGH = 1e-3
"""Parts of the volume by which a boat at rest may be off."""
PATIENCE = 20
"""Steps after which they are halved, so that those which go to and fro come to an end."""
KICK = 0.03
"""By how much a boat is tipped that balances but would not stay so, rad."""

Cut = Callable[[Plane], Below]


class NoRestError(ValueError):
    """There is no place in which the boat comes to rest, or none was found."""


class WouldSinkError(NoRestError):
    """What is carried weighs more than all the water that the closed hull displaces."""


@dataclass(frozen=True, eq=False)
class Rest:
    """A boat at rest, or held at a heel.

    Attributes:
        plane: of the water in the boat, normal up.
        below: what it displaces.
        load: what it carries.
        heights: metacentric heights, `(2, 2) float`, mm: lengthwise and athwart, with their coupling; free
            surfaces taken off.
        levers: of the righting moment in the plane, mm: ahead and to port; nothing at rest.
    """

    plane: Plane
    below: Below
    load: Load
    heights: Array
    levers: Array

    @property
    def heel(self) -> float:
        """Heel, rad; positive with port down."""
        return heel_of(self.plane.normal)

    @property
    def trim(self) -> float:
        """Trim, rad; positive with the bow up, the boat's own x axis being level at nought."""
        return trim_of(self.plane.normal)

    @property
    def gm(self) -> float:
        """Metacentric height for heel with the trim left free, mm."""
        long, mixed, across = self.heights[0, 0], self.heights[0, 1], self.heights[1, 1]
        return float(across - mixed * mixed / long) if long > 0.0 else float(across)

    def depth(self, points: Array) -> Array:
        """How deep points `(..., 3)` lie under water, mm; negative above it."""
        return -self.plane.height(points)


def heel_of(normal: Array) -> float:
    """Heel of a boat in which the water's normal points so, rad; port down is positive."""
    return math.atan2(-float(normal[1]), float(normal[2]))


def trim_of(normal: Array) -> float:
    """Trim of a boat in which the water's normal points so, rad; bow up is positive."""
    return math.asin(max(-1.0, min(1.0, float(normal[0]))))


def normal_at(heel: float, trim: float) -> Array:
    """The water's unit normal in a boat at a heel and a trim, rad."""
    c = math.cos(trim)
    return np.array([math.sin(trim), -math.sin(heel) * c, math.cos(heel) * c])


def settle(
    body: Body, load: Load, density: float = FRESH, start: Plane | None = None, shell: Shell | None = None
) -> Rest:
    """Where a boat comes to rest: levers nought, and stable.

    Args:
        body: the outside of the hull.
        load: what it carries.
        density: of the water, kg/m3.
        start: a plane near the one sought; level at half depth unless given.
        shell: where given, the last steps are made on volumes without any set stations.

    Raises:
        WouldSinkError: the load is heavier than what the closed hull displaces.
        NoRestError: the steps came to no end, which only loads far out of reason bring about.
    """
    wanted = _wanted(body, load, density)
    plane = start or Plane(np.array([0.0, 0.0, 1.0]), float(body.box[:, 2].mean()))
    try:
        return _settled(body, load, wanted, plane, shell)
    except np.linalg.LinAlgError as error:
        raise NoRestError("she does not come to rest in any place that was found") from error


def _settled(body: Body, load: Load, wanted: float, plane: Plane, shell: Shell | None) -> Rest:
    plane = _newton(body.below, plane, load, wanted, body, STEPS)
    for tip in (KICK, -2.0 * KICK):
        rest = _rest(body.below, plane, load)
        if np.linalg.eigvalsh(rest.heights).min() > 0.0:
            break
        plane = _newton(body.below, _tipped(rest, 0.0, tip), load, wanted, body, STEPS)
    _check_settled(_rest(body.below, plane, load), wanted)
    if shell is not None:
        exact = exact_cut(shell)
        return _rest(exact, _newton(exact, plane, load, wanted, body, 3), load)
    return _rest(body.below, plane, load)


def hold(body: Body, load: Load, heel: float, density: float = FRESH, start: Plane | None = None) -> Rest:
    """A boat held at a heel, rad, its sinkage and trim left free: what is left is its righting lever.

    Raises:
        WouldSinkError: as `settle`.
    """
    wanted = _wanted(body, load, density)
    trim = trim_of(start.normal) if start is not None else 0.0
    point = _through(start, heel, trim) if start is not None else body.box.mean(axis=0)
    plane = Plane.through(point, normal_at(heel, trim))
    for _ in range(STEPS):
        found = body.below(plane)
        rest = _measured(found, plane, load)
        lift = _lift(found, wanted, body)
        lever = rest.levers[0] + (found.middle - found.centre) @ found.axes[0] * _share(found, lift)
        turn = -float(lever) / max(abs(float(rest.heights[0, 0])), 1.0)
        turn = max(-TURN, min(TURN, turn))
        # a plane that rises ahead is one in which the bow lies lower
        trim -= turn
        plane = Plane.through(found.middle + lift * plane.normal, normal_at(heel, trim))
        if abs(turn) < 1e-8 and abs(found.volume - wanted) < NEAR * wanted:
            break
    return _rest(body.below, plane, load)


def _wanted(body: Body, load: Load, density: float) -> float:
    """Volume to displace, mm3.

    Raises:
        WouldSinkError: there is not as much.
    """
    wanted = load.mass / density * 1e9
    if wanted >= body.volume:
        raise WouldSinkError(f"{load.mass:.0f} kg are more than the closed hull displaces")
    return wanted


def _check_settled(rest: Rest, wanted: float) -> None:
    """Refuses what has not come to rest.

    Raises:
        NoRestError: levers or volume are off.
    """
    off = abs(rest.below.volume - wanted) > ROUGH * wanted
    if off or float(np.abs(rest.levers).max()) > 1.0:
        raise NoRestError("she does not come to rest upright in any place that was found")


def _newton(cut: Cut, plane: Plane, load: Load, wanted: float, body: Body, steps: int) -> Plane:
    """The plane in which volume and levers are as wanted, turned and lifted step by step."""
    for k in range(steps):
        found = cut(plane)
        rest = _measured(found, plane, load)
        lift = _lift(found, wanted, body) * (1.0 if k < PATIENCE else 0.5)
        away = found.axes[:2] @ (found.middle - found.centre)
        levers = rest.levers + away * _share(found, lift)
        values, ways = np.linalg.eigh(rest.heights)
        # downhill in every direction, so that it comes to rest where it would stay
        turn = -ways @ ((ways.T @ levers) / np.maximum(np.abs(values), 1.0))
        most = float(np.abs(turn).max())
        if most > TURN:
            turn *= TURN / most
        if k >= PATIENCE:
            turn *= 0.5
        plane = _turned(plane, found, lift, turn)
        if most < 1e-9 and abs(found.volume - wanted) < NEAR * wanted:
            break
        if float(np.abs(rest.levers).max()) < NEAR and abs(found.volume - wanted) < 1e-9 * wanted:
            break
    return plane


def _lift(found: Below, wanted: float, body: Body) -> float:
    """How far the plane is to be lifted at its middle for the volume wanted, mm, within reason."""
    most = float(body.box[1, 2] - body.box[0, 2]) / 4.0
    if found.area <= 1e-9 * (found.volume + wanted):
        return most if found.volume < wanted else -most
    return max(-most, min(most, (wanted - found.volume) / found.area))


def _share(found: Below, lift: float) -> float:
    """Volume of the layer that a lift adds as part of the whole."""
    whole = found.volume + lift * found.area
    return lift * found.area / whole if whole > 0.0 else 0.0


def _turned(plane: Plane, found: Below, lift: float, turn: Array) -> Plane:
    """The plane lifted at its middle and turned so that it rises by `turn` ahead and to port."""
    normal = plane.normal - turn[0] * found.axes[0] - turn[1] * found.axes[1]
    return Plane.through(found.middle + lift * plane.normal, normal)


def _tipped(rest: Rest, ahead: float, aport: float) -> Plane:
    return _turned(rest.plane, rest.below, 0.0, np.array([ahead, aport]))


def _through(start: Plane, heel: float, trim: float) -> Array:
    """A point of a plane that stays in it as well as may be when it turns: over the keel, well aft."""
    x = 1000.0
    z = (start.offset - start.normal[0] * x) / max(float(start.normal[2]), 0.2)
    return np.array([x, 0.0, z])


def _measured(found: Below, plane: Plane, load: Load) -> Rest:
    """Levers and metacentric heights in a plane."""
    arm = found.centre - load.centre_at(plane.normal)
    volume = max(found.volume, 1e-9)
    rise = float(arm @ plane.normal)
    heights = found.inertia / volume + rise * np.eye(2) - load.loss
    return Rest(plane, found, load, heights, found.axes[:2] @ arm)


def _rest(cut: Cut, plane: Plane, load: Load) -> Rest:
    return _measured(cut(plane), plane, load)


def exact_cut(shell: Shell) -> Cut:
    """Cuts by `model.hull_volume`, whose stations are set anew for each plane."""

    def cut(plane: Plane) -> Below:
        found, wet = immersed(shell, plane), waterplane(shell, plane)
        nx, ny, nz = plane.normal.tolist()
        r = math.hypot(ny, nz)
        axes = np.array([(r, -nx * ny / r, -nx * nz / r), (0.0, nz / r, -ny / r), (nx, ny, nz)])
        inertia = np.array([[wet.lengthwise, wet.product], [wet.product, wet.athwart]])
        return Below(found.volume, found.centre, wet.area, wet.centre, inertia, axes)

    return cut
