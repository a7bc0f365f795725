"""What is laid below decks: wires and hoses along their ways, and blocks of foam."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from model.geometry import Array

if TYPE_CHECKING:
    from model.boat import Boat
    from model.coverings.painted import Painted

LITRE = 1e6
"""mm3."""


@dataclass(frozen=True, eq=False)
class Line:
    """Wires or hoses that lie along one way.

    Attributes:
        name: of the way, such as `wires.fuses-pump`.
        kind: `wire` or `hose`.
        path: `(n, 3)` mm.
        count: how many lie there.
        metres: of all of them.
    """

    name: str
    kind: str
    path: Array
    count: int
    metres: float


@dataclass(frozen=True, eq=False)
class Laid:
    """All of it.

    Attributes:
        lines: wires and hoses.
        foam: litres of blocks by the deck they lie under.
        painted: coat systems with the faces they go on.
        holes: where fittings for hoses go through skin and wells, `(3,)` mm each.
    """

    lines: tuple[Line, ...] = ()
    foam: Mapping[str, float] = field(default_factory=dict)
    painted: tuple[Painted, ...] = ()
    holes: tuple[Array, ...] = ()

    def of(self, kind: str) -> tuple[Line, ...]:
        """The wires, or the hoses."""
        return tuple(line for line in self.lines if line.kind == kind)


_KNOWN: WeakKeyDictionary[Boat, Laid] = WeakKeyDictionary()
"""Of the boats that are still in use: price, packet and plan ask for the same."""


def laid_in(boat: Boat) -> Laid:
    """What is laid in a boat; nothing where its file tells of no wires, hoses and foam."""
    if boat not in _KNOWN:
        lines = [*_wires(boat), *_hoses(boat)]
        _KNOWN[boat] = Laid(tuple(lines), _foam(boat), _painted(boat), _holes(boat))
    return _KNOWN[boat]


def _wires(boat: Boat) -> Iterator[Line]:
    if boat.electrics is None:
        return
    from model.electrics.check import electrics_report

    report = electrics_report(boat)
    told = set()
    for run in report.runs:
        own = list(report.wires_of(run))
        told |= {id(wire) for wire in own}
        yield Line(run.name, "wire", run.path, len(own), sum(wire.cut for wire in own) / 1000.0)
    rest = [wire for wire in report.wires if id(wire) not in told]
    if rest:
        metres = sum(wire.cut for wire in rest) / 1000.0
        yield Line("wires within one place", "wire", np.zeros((0, 3)), len(rest), metres)


def _hoses(boat: Boat) -> Iterator[Line]:
    if boat.hoses is None:
        return
    from model.hoses.check import hose_report

    for hose in hose_report(boat).hoses:
        path = hose.run.path if hose.run is not None else np.zeros((0, 3))
        yield Line(hose.name, "hose", path, 1, hose.to_cut / 1000.0)


def _holes(boat: Boat) -> tuple[Array, ...]:
    ends = boat.hoses.ends if boat.hoses is not None else ()
    return tuple(end.at for end in ends if end.group in ("skin", "well"))


def _painted(boat: Boat) -> tuple[Painted, ...]:
    if boat.finish is None:
        return ()
    from model.coverings.painted import coverings_of

    return coverings_of(boat).painted


def _foam(boat: Boat) -> dict[str, float]:
    if boat.foam is None:
        return {}
    from model.foam.plan import foam_plan

    plan = foam_plan(boat)
    found: dict[str, float] = defaultdict(float)
    for block in plan.blocks if plan is not None else ():
        found[block.deck] += block.volume / LITRE
    return dict(found)
