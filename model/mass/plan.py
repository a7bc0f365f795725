"""What a boat file says of weights, resolved to kilograms and millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from model.mass.lump import Lump
from parts.faults import Place


@dataclass(frozen=True, eq=False)
class WeighedHull:
    """The hull as weighed.

    Attributes:
        mass: kg.
        x, y, z: of its centre, mm; None where the weighing does not tell it.
        how: in words.
        place: where the file says it.
    """

    mass: float
    x: float | None
    y: float | None
    z: float | None
    how: str
    place: Place


@dataclass(frozen=True, eq=False)
class Item:
    """A thing of the file.

    Attributes:
        lump: its mass at its place.
        counts: fixed, motor, gear or person, as the loading rules see it.
        before: whether it was aboard before the refit.
        place: where the file says it.
        overhangs: whether it may hang over the ends and sides of the hull.
        above: of its centre above what it stands on, where nothing else is said, mm.
    """

    lump: Lump
    counts: str
    before: bool
    place: Place
    overhangs: bool = False
    above: float = 0.0


@dataclass(frozen=True, eq=False)
class WeightPlan:
    """Everything that the file says of weights.

    Attributes:
        hull: as weighed, None where it was not.
        removed: what is taken out after the weighing.
        aboard: what is always aboard.
        loads: what load cases are made of, by name.
    """

    hull: WeighedHull | None = None
    removed: tuple[Lump, ...] = ()
    aboard: tuple[Item, ...] = ()
    loads: tuple[Item, ...] = ()

    def load(self, name: str) -> Item | None:
        """The load of a name."""
        return next((item for item in self.loads if item.lump.name == name), None)
