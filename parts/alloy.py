"""Alloys in their temper: density, stiffness, strength away from a weld and beside one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

Convention: TypeAlias = Literal["member design", "weld qualification"]
"""Whose yield beside a weld: over a 2 in gauge length, all of it softened, for member formulas; or over
10 in across one weld, for qualifying a weld. The two must never be mixed."""


@dataclass(frozen=True)
class Strength:
    """A least strength, N/mm2, and where the number is from."""

    value: float
    source: str


@dataclass(frozen=True)
class Welded:
    """Least strengths within 25 mm of a weld, N/mm2, under one named convention."""

    convention: Convention
    ultimate: Strength
    yields: Strength


@dataclass(frozen=True)
class Alloy:
    """An alloy in one temper and product form.

    Attributes:
        name: as it is ordered, `6061-T6`.
        product: what the strengths are for, such as `extrusion` or `sheet`.
        density: kg/m3.
        e: Young's modulus in compression, which deflections are reckoned with, N/mm2.
        g: shear modulus, N/mm2.
        ultimate: least tensile strength away from welds.
        yields: least tensile yield away from welds.
        welded: strengths beside a weld, one record a convention.
        sources: where density, e and g are from.
    """

    name: str
    product: str
    density: float
    e: float
    g: float
    ultimate: Strength
    yields: Strength
    welded: tuple[Welded, ...]
    sources: Mapping[str, str]

    @property
    def temper(self) -> str:
        """The temper, the part of the name after the dash."""
        return self.name.partition("-")[2]

    def beside_weld(self, convention: Convention = "member design") -> Welded:
        """The strengths beside a weld under `convention`.

        Raises:
            KeyError: nothing is known under that convention.
        """
        for found in self.welded:
            if found.convention == convention:
                return found
        known = ", ".join(w.convention for w in self.welded) or "none"
        raise KeyError(f"{self.name} has no welded strength by the '{convention}' convention; known: {known}")
