"""A mass at a place, and many of them together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from model.geometry import Array


@dataclass(frozen=True, eq=False, slots=True)
class Lump:
    """Something with a mass.

    Attributes:
        name: of the piece or thing.
        group: what it is added up under.
        mass: kg.
        centre: `(3,) float` in the boat, mm.
    """

    name: str
    group: str
    mass: float
    centre: Array


@dataclass(frozen=True, eq=False, slots=True)
class Total:
    """Masses together: kg, and their common centre `(3,) float`, mm (nan for nothing)."""

    mass: float
    centre: Array


def total(lumps: Iterable[Lump]) -> Total:
    """The mass and centre of some lumps together."""
    every = list(lumps)
    mass = sum(lump.mass for lump in every)
    if not every or abs(mass) < 1e-12:
        return Total(0.0, np.full(3, np.nan))
    moment = sum((lump.mass * lump.centre for lump in every), np.zeros(3))
    return Total(mass, moment / mass)


def by_group(lumps: Iterable[Lump]) -> dict[str, Total]:
    """Totals of each group, in the order in which groups first come."""
    groups: dict[str, list[Lump]] = {}
    for lump in lumps:
        groups.setdefault(lump.group, []).append(lump)
    return {name: total(own) for name, own in groups.items()}
