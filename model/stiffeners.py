"""What stands on the inside of the skin: ribs and stringers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from model.geometry import Array
from parts.faults import Place


@dataclass(frozen=True, slots=True)
class Rib:
    """A rib across the skin on both sides.

    Attributes:
        name: its own name, such as `rib.3`.
        x: its middle, mm from the transom.
        width: fore and aft, mm.
        height: straight up from the skin, mm.
        low, high: the lines between which it runs.
        place: where it was written.
    """

    name: str
    x: float
    width: float
    height: float
    low: str
    high: str
    place: Place


@dataclass(frozen=True, slots=True)
class Stringer:
    """A fore-and-aft stiffener with a level top, standing on the skin under its middle.

    Attributes:
        name: its own name.
        y: its middle, mm to port.
        width: athwart, mm.
        height: above the skin at its middle, mm.
        aft, forward: its ends, mm from the transom.
        place: where it was written.
    """

    name: str
    y: float
    width: float
    height: float
    aft: float
    forward: float
    place: Place


@dataclass(frozen=True, eq=False, slots=True)
class Support:
    """What something that stands on the hull lands on.

    Attributes:
        kind: `rib`, `stringer` or `skin`.
        name: of the rib or stringer; `hull` for the skin.
        z: height of the landing, mm.
        normal: unit `(3,) float` of the landing's face, up into the boat.
    """

    kind: SupportKind
    name: str
    z: float
    normal: Array


SupportKind: TypeAlias = Literal["rib", "stringer", "skin"]

__all__ = ["Rib", "Stringer", "Support", "SupportKind"]
