"""The `wire:` part of the shop file: spools that can be bought, by size."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt

from cutlists.electrics.spools import USUAL, Spool
from cutlists.reading import Reading
from model.electrics.conductors import GAUGES, gauge_of
from parts.catalogue_schema import Length
from parts.faults import FaultList, Place
from parts.lengths import parse_length

BY_THE_LENGTH = GAUGES.index("6")
"""From this size wire is cut off to any length unless the shop says otherwise (common practice)."""


class SpoolEntry(BaseModel):
    """A spool, or wire that is cut off."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    length: Length
    price: Annotated[StrictFloat | StrictInt, Field(ge=0, allow_inf_nan=False)] | None = None
    cut: StrictBool = Field(default=False, description="any length is cut off; the price is that of `length`")


class WireShopEntry(BaseModel):
    """Wire to buy."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    spools: dict[str, Annotated[list[SpoolEntry], Field(min_length=1)]] = Field(
        default_factory=dict, description="by size: '16', '2/0'; of every colour"
    )


@dataclass(frozen=True)
class WireStock:
    """Spools by size; the usual ones of sizes that are not named."""

    spools: Mapping[str, tuple[Spool, ...]] = field(default_factory=dict)

    def of(self, gauge: str) -> tuple[Spool, ...]:
        """What a size is bought as."""
        if gauge in self.spools:
            return self.spools[gauge]
        if GAUGES.index(gauge) >= BY_THE_LENGTH:
            return (Spool(304.8, None, cut=True),)
        return tuple(Spool(length) for length in USUAL)


def wire_stock(
    entry: WireShopEntry, units: str, place: Callable[[tuple[Any, ...]], Place], faults: FaultList
) -> WireStock:
    """The spools of a shop file; faults are noted."""
    reading = Reading(units, place, faults)
    found: dict[str, tuple[Spool, ...]] = {}
    for name, told in entry.spools.items():
        gauge = gauge_of(name)
        if gauge is None:
            faults.add(
                place(("spools", name)), f"'{name}' is no size of wire", f"give one of {', '.join(GAUGES)}"
            )
            continue
        spools = []
        for i, own in enumerate(told):
            length = _length(reading, ("spools", name, i, "length"), own.length)
            price = None if own.price is None else float(own.price)
            if math.isfinite(length):
                spools.append(Spool(length, price, own.cut))
        found[gauge] = tuple(spools)
    return WireStock(found)


def _length(reading: Reading, keys: tuple[Any, ...], told: Any) -> float:
    """A length of a centimetre and more, mm; nan with the fault noted."""
    length = reading.read(keys, told, lambda text: parse_length(text, reading.units), math.nan)
    if length < 10.0:
        reading.fault(keys, f"{told} is no length of wire", "give a length above zero")
        return math.nan
    return length
