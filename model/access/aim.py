"""How a box may be held to slide out through an opening: what a search turns it towards."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely import Polygon

from model.access.box import Swept
from model.geometry import Array, Frame

Held = tuple[int, int, int]
"""Steps turned about the upright, and tilted about one of the box's own two level axes or the other."""

LEAST_RISE = 0.25
"""Ways out flatter than this, as the sine of their angle with the opening, are not aimed at."""


def held_axes(axes: Array, held: Held, step: float) -> Array:
    """The axes in rows of a box turned and tilted by steps of so many rad from `axes`."""
    yaw, first, second = (k * step for k in held)
    tilted = axes @ _about(axes[0], first).T @ _about(axes[1], second).T
    found: Array = tilted @ _about(np.array([0.0, 0.0, 1.0]), yaw).T
    return found


def _about(axis: Array, angle: float) -> Array:
    k = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    found: Array = np.eye(3) + math.sin(angle) * k + (1.0 - math.cos(angle)) * (k @ k)
    return found


@dataclass(frozen=True, eq=False)
class Aim:
    """An opening that a box is to leave by.

    Attributes:
        frame: of its deck.
        opening: in the deck's plane.
        rest: the box where it rests.
        gap: asked all round, mm.
        step: of turns, rad.
    """

    frame: Frame
    opening: Polygon
    rest: Swept
    gap: float
    step: float

    @cached_property
    def middle(self) -> Array:
        """The middle of the opening in the boat, `(3,)`."""
        centre = self.opening.centroid
        return self.frame.to_boat(np.array([centre.x, centre.y, 0.0]))

    @property
    def is_hopeless(self) -> bool:
        """Whether no hold fits even if as much is let go as lies between one step of turning and the next."""
        size = float(np.sqrt((self.rest.edges**2).sum()))
        return not len(self._holds(0.5 * size * self.step))

    @cached_property
    def holds(self) -> Array:
        """As `_holds`, nothing let go."""
        return self._holds(0.0)

    def _holds(self, slack: float) -> Array:
        """Ways to hold the box in which its shadow along its own axes or the deck's z fits, `(n, 3)`."""
        half = np.sqrt((self.rest.edges**2).sum(axis=1))
        axes = self.rest.edges / half[:, None]
        u0, v0, u1, v1 = self.opening.bounds
        room = np.array([u1 - u0, v1 - v0]) - 2.0 * self.gap + slack
        turns = range(-round(math.pi / 2.0 / self.step), round(math.pi / 2.0 / self.step) + 1)
        tilts = [(0, 0), *((k, 0) for k in turns if k), *((0, k) for k in turns if k)]
        found = []
        for yaw, (first, second) in itertools.product(turns, tilts):
            held = (yaw, first, second)
            local = held_axes(axes, held, self.step) @ self.frame.axes.T
            if self._fits(local * half[:, None], [np.array([0.0, 0.0, 1.0]), *local], room):
                found.append(held)
        return np.array(found, dtype=np.float64).reshape(-1, 3)

    @staticmethod
    def _fits(edges: Array, ways: list[Array], room: Array) -> bool:
        """Whether the shadow of half edges along one of some ways is no wider than the room."""
        for way in ways:
            if abs(way[2]) > LEAST_RISE:
                shadow = edges[:, :2] - (edges[:, 2:] / way[2]) * way[:2]
                if (2.0 * np.abs(shadow).sum(axis=0) <= room).all():
                    return True
        return False

    def turns_to_go(self, held: Held) -> float:
        """How many steps of turning it is from one hold to the nearest that fits; 0 where none does."""
        if not len(self.holds):
            return 0.0
        return float(self._steps[held]) if held in self._steps else self._count(held)

    @cached_property
    def _steps(self) -> dict[Held, float]:
        return {}

    def _count(self, held: Held) -> float:
        now = np.array(held, dtype=np.float64)
        apart = np.abs(self.holds - now)
        tilt = np.minimum(
            # straight from one tilt to the other about the same axis, else by way of upright
            np.where(
                (self.holds[:, 1:] * now[::-1][:2] == 0.0).all(axis=1), apart[:, 1:].sum(axis=1), np.inf
            ),
            np.abs(self.holds[:, 1:]).sum(axis=1) + np.abs(now[1:]).sum(),
        )
        self._steps[held] = float((apart[:, 0] + tilt).min())
        return self._steps[held]
