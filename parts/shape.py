"""The solids that fittings are drawn with: upright prisms in the fitting's own frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from parts.outline import Array, Loop


@dataclass(frozen=True, eq=False)
class Block:
    """A prism over `outline` less `holes`, from `z0` up to `z1`, mm.

    It stands in the frame of its fitting: the outline's coordinates are x (forward) and y (to port)
    before the fitting is turned, the origin is the middle of the footprint, z = 0 is the face the
    fitting stands on, or for what drops into a cut-out the top of the deck. Loops counter-clockwise.

    Raises:
        ValueError: `z1` is not above `z0`.
    """

    outline: Loop
    holes: tuple[Loop, ...]
    z0: float
    z1: float

    def __post_init__(self) -> None:
        if not self.z1 > self.z0:
            raise ValueError(f"a block must have height, got z from {self.z0:g} to {self.z1:g} mm")

    @classmethod
    def box(
        cls,
        length: float,
        width: float,
        z0: float,
        z1: float,
        radius: float = 0.0,
        centre: tuple[float, float] = (0.0, 0.0),
    ) -> Block:
        """A box `length` along x and `width` along y, its upright corners rounded by `radius`, mm."""
        return cls(Loop.rectangle(length, width, radius, centre), (), z0, z1)

    @classmethod
    def cylinder(cls, diameter: float, z0: float, z1: float) -> Block:
        """An upright cylinder about the origin."""
        return cls(Loop.circle(diameter), (), z0, z1)

    @classmethod
    def ring(
        cls, outside: tuple[float, float, float], inside: tuple[float, float, float], z0: float, z1: float
    ) -> Block:
        """A rectangular ring about the origin; outside and inside are (length, width, corner radius)."""
        return cls(Loop.rectangle(*outside), (Loop.rectangle(*inside),), z0, z1)

    @property
    def area(self) -> float:
        """Area of the footprint, holes taken out, mm2."""
        return abs(self.outline.area) - sum(abs(hole.area) for hole in self.holes)

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return self.area * (self.z1 - self.z0)

    @property
    def centre(self) -> Array:
        """Centre of the volume, `(3,) float`, mm."""
        first = abs(self.outline.area) * self.outline.centroid
        for hole in self.holes:
            first = first - abs(hole.area) * hole.centroid
        return np.array([*(first / self.area), (self.z0 + self.z1) / 2])
