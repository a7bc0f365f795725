"""The conductor and the fuse of a circuit: by voltage drop, by current, by the rule's least, by its fuse."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.electrics.conductors import (
    GAUGES,
    LEAST_SHEATHED,
    LEAST_SINGLE,
    Laid,
    ampacity,
    circular_mils,
    drop,
    mils_needed,
)
from model.electrics.fuses import most_rating


@dataclass(frozen=True)
class Asked:
    """What is asked of a conductor.

    Attributes:
        amps: carried, A.
        length: of copper there and back, mm.
        allowed: volts it may lose.
        laid: how it lies.
        copper: awg or sae.
        sheathed: whether it lies in a sheath of several.
        fuse: rating of its protection; None where there is none of its own.
        brief: whether it carries its current for seconds only and is held to no table of currents.
    """

    amps: float
    length: float
    allowed: float
    laid: Laid
    copper: str = "awg"
    sheathed: bool = False
    fuse: float | None = None
    brief: bool = False


@dataclass(frozen=True)
class Sized:
    """A conductor that was chosen, or one that was given.

    Attributes:
        gauge: its size; None where none is large enough.
        by: what asked for so much: `drop`, `current`, `fuse`, `least`, or `given`.
        lost: volts.
        carries: amperes as laid.
        lacks: of a given size, what it is too small for, in the same words; the largest where none will do.
    """

    gauge: str | None
    by: str
    lost: float
    carries: float
    lacks: tuple[str, ...] = ()


def sized(asked: Asked, given: str | None = None) -> Sized:
    """The least conductor that will do, or the given one with what it lacks."""
    if given is not None:
        return _told(asked, given, "given", tuple(_lacks(asked, given)))
    last: tuple[str, ...] = ("least",)
    for gauge in GAUGES:
        lacks = tuple(_lacks(asked, gauge))
        if not lacks:
            return _told(asked, gauge, last[0], ())
        last = lacks
    return Sized(None, last[0], drop(GAUGES[-1], asked.amps, asked.length, asked.copper),
                 ampacity(GAUGES[-1], asked.laid), last)  # fmt: skip


def _told(asked: Asked, gauge: str, by: str, lacks: tuple[str, ...]) -> Sized:
    lost = drop(gauge, asked.amps, asked.length, asked.copper)
    return Sized(gauge, by, lost, ampacity(gauge, asked.laid), lacks)


def _lacks(asked: Asked, gauge: str) -> Iterator[str]:
    """What a conductor is too small for, the weightiest first."""
    if circular_mils(gauge, asked.copper) < mils_needed(asked.amps, asked.length, asked.allowed) * (
        1 - 1e-12
    ):
        yield "drop"
    carries = ampacity(gauge, asked.laid)
    if carries < asked.amps and not asked.brief:
        yield "current"
    if asked.fuse is not None and asked.fuse > most_rating(carries, asked.laid.volts) + 1e-9:
        yield "fuse"
    least = LEAST_SHEATHED if asked.sheathed else LEAST_SINGLE
    if GAUGES.index(gauge) < GAUGES.index(least):
        yield "least"
