"""How far paint and glue reach: what a shop knows of each, and how many tins an area takes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr

from parts.amounts import LITRES, parse_volume
from parts.faults import FaultList, Place

QUART, GALLON = LITRES["qt"], LITRES["gal"]
SQUARE_FOOT = 0.09290304
"""m2, by the foot of 0.3048 m."""
_RATE = re.compile(r"([0-9]+\.?[0-9]*)\s*(m2/L|m2/l|ft2/gal)?")


@dataclass(frozen=True)
class Coating:
    """A paint or glue as sold.

    Attributes:
        name: by which boats ask for it.
        covers: one coat on a flat face, m2 per litre.
        loss: part that stays in tin and roller or is rubbed off.
        tins: sizes to buy, litres.
        sides: on how many faces it goes: both of a glued joint for contact glue.
    """

    name: str
    covers: float
    loss: float = 0.15
    tins: tuple[float, ...] = (QUART, GALLON)
    sides: int = 1

    def litres(self, area: float, coats: int = 1) -> float:
        """What an area in m2 takes: area x coats x faces / (covers x (1 - loss))."""
        return area * coats * self.sides / (self.covers * (1.0 - self.loss))

    def tins_for(self, litres: float) -> tuple[tuple[float, int], ...]:
        """Tins that hold so much with the least left over, of those the fewest; sizes with their numbers."""
        if litres <= 0.0:
            return ()
        sizes = sorted(set(self.tins), reverse=True)
        best = min(_choices(sizes, litres), key=lambda own: (round(_sum(sizes, own), 6), sum(own)))
        return tuple((size, count) for size, count in zip(sizes, best, strict=True) if count)


USUAL = {
    own.name: own
    for own in (
        Coating("primer", 9.0),
        Coating("topcoat", 10.0),
        Coating("contact", 4.0, 0.1, sides=2),
    )
}
"""Common practice; a coat that dries to 50 um from paint with half of it solid covers 10 m2 a litre, and
brush and roller lose 10 to 15 % by a maker's sheet of spreading rates. The tin says what holds."""


def _choices(sizes: list[float], litres: float) -> list[tuple[int, ...]]:
    """Numbers of tins that hold enough: of all but the smallest every number up to one too many."""
    if len(sizes) == 1:
        return [(max(0, math.ceil(litres / sizes[0] - 1e-9)),)]
    most = max(0, math.ceil(litres / sizes[0] - 1e-9))
    return [
        (count, *rest) for count in range(most + 1) for rest in _choices(sizes[1:], litres - count * sizes[0])
    ]


def _sum(sizes: list[float], counts: tuple[int, ...]) -> float:
    return sum(size * count for size, count in zip(sizes, counts, strict=True))


class CoverageEntry(BaseModel):
    """A paint or glue, by the name that boats ask for it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    covers: StrictStr | StrictFloat | StrictInt = Field(
        description="one coat: m2 per litre as a number, or 12 m2/L, 400 ft2/gal"
    )
    loss: Annotated[StrictFloat | StrictInt, Field(ge=0, le=0.8)] = Field(
        default=0.15, description="part that is lost in tin, roller and air"
    )
    tins: Annotated[list[StrictStr | StrictFloat | StrictInt], Field(min_length=1, max_length=4)] = Field(
        default=["1 qt", "1 gal"], description="sizes to buy: 1 qt, 2.5 L, or litres as a number"
    )
    sides: Literal[1, 2] = Field(default=1, description="2 where both faces of a joint are coated")


def coatings_of(
    entries: Mapping[str, CoverageEntry], place: Callable[[tuple[str, ...]], Place], faults: FaultList
) -> dict[str, Coating]:
    """The usual coatings and those of a shop file, which go before them."""
    found = dict(USUAL)
    for name, entry in entries.items():
        covers = _covers(entry.covers, place((name, "covers")), faults)
        tins = tuple(_litres(size, place((name, "tins")), faults) for size in entry.tins)
        found[name] = Coating(name, covers, float(entry.loss), tins, entry.sides)
    return found


def _covers(value: str | int | float, place: Place, faults: FaultList) -> float:
    """m2 per litre; 1 once a fault is noted."""
    match = _RATE.fullmatch(str(value).strip())
    if match is None:
        faults.add(place, f"'{str(value)[:30]}' is no coverage", "write it like 10, 10 m2/L or 400 ft2/gal")
        return 1.0
    rate = float(match[1]) * (SQUARE_FOOT / GALLON if match[2] == "ft2/gal" else 1.0)
    if not 0.1 <= rate <= 100.0:
        faults.add(place, f"{value} is no coverage of paint or glue", "give 0.1 to 100 m2 per litre")
        return 1.0
    return rate


def _litres(value: str | int | float, place: Place, faults: FaultList) -> float:
    try:
        return parse_volume(value)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        faults.add(place, wrong, right)
        return 1.0
