"""Flat sheet in the sizes it is bought."""

from __future__ import annotations

from dataclasses import dataclass

from parts.alloy import Alloy


@dataclass(frozen=True)
class Sheet:
    """A gauge of sheet in one alloy.

    Attributes:
        name: as in the catalogue, `5052-0.090`.
        thickness: mm.
        alloy: what it is made of.
        sizes: stock sizes as (width, length), mm, the shorter side first, smallest sheet first.
    """

    name: str
    thickness: float
    alloy: Alloy
    sizes: tuple[tuple[float, float], ...]

    @classmethod
    def make(cls, name: str, thickness: float, alloy: Alloy, sizes: list[tuple[float, float]]) -> Sheet:
        """A sheet whose sizes may be told in any order.

        Raises:
            ValueError: a size is not positive, or there is no stock size.
        """
        if not thickness > 0:
            raise ValueError(f"{name}: the thickness is {thickness:g} mm; it must be positive")
        if not sizes or not all(side > 0 for size in sizes for side in size):
            raise ValueError(f"{name}: a sheet needs stock sizes with positive sides")
        ordered = sorted({(min(size), max(size)) for size in sizes}, key=lambda size: size[0] * size[1])
        return cls(name, thickness, alloy, tuple(ordered))

    @property
    def mass_per_m2(self) -> float:
        """Mass of one square metre, kg."""
        return self.thickness * self.alloy.density * 1e-3
