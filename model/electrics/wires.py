"""The wires of each circuit, end to end, and how long each is cut."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

import numpy as np

from model.electrics.network import Fed
from model.electrics.settings import Bank, Electrics, GivenRun, Spot
from model.geometry import Array
from model.ways.run import NoWay, Run, Wanted

Pole = Literal["positive", "negative", "link"]
Where: TypeAlias = Callable[[Spot], Array]
Pair: TypeAlias = frozenset[tuple[object, ...]]
Lay: TypeAlias = "Callable[[Sequence[Wanted]], Sequence[Run | NoWay]]"


@dataclass(frozen=True, eq=False)
class End:
    """An end of a wire: what it is fastened to, of which kind, and where that is."""

    name: str
    kind: str
    spot: Spot

    @property
    def key(self) -> tuple[object, ...]:
        """The same for all that is in one place."""
        if self.spot.fixture is not None:
            return (self.spot.fixture,)
        assert self.spot.point is not None
        return tuple(round(float(v), 1) for v in self.spot.point)


@dataclass(frozen=True, eq=False)
class Wire:
    """A single wire from end to end.

    `circuit` is the circuit's name, or the bank's of which it is a link; `label` what is written on it.
    """

    circuit: str
    label: str
    pole: Pole
    start: End
    end: End

    @property
    def pair(self) -> Pair:
        """The places it joins, in either order; one where they are the same."""
        return frozenset((self.start.key, self.end.key))


def circuit_wires(electrics: Electrics, fed: Fed) -> Iterator[Wire]:
    """The wires of a circuit in the order of the current: out by every stop, and back."""
    circuit = fed.circuit
    ends = [_end(electrics, name) for name in circuit.stops]
    for number, (start, end) in enumerate(pairwise(ends), 1):
        yield Wire(circuit.name, f"{circuit.name} {number}", "positive", start, end)
    start, end = _return(electrics, fed)
    if start.key != end.key or start.kind != end.kind:
        yield Wire(circuit.name, f"{circuit.name} back", "negative", start, end)


def _return(electrics: Electrics, fed: Fed) -> tuple[End, End]:
    """The ends of a return: from a load to its bus, from the bus of a feeder to the battery."""
    circuit = fed.circuit
    back = circuit.back or fed.bank
    home = _end(electrics, back, negative=True) if back else _end(electrics, circuit.start)
    if circuit.to in electrics.loads:
        return _end(electrics, circuit.to), home
    battery = _end(electrics, fed.bank, negative=True) if fed.bank else home
    return home, battery


def _end(electrics: Electrics, name: str, negative: bool = False) -> End:
    bank = electrics.banks.get(name)
    if bank is not None:
        return End(name, "battery", bank.spots[-1 if negative else 0])
    return End(name, electrics.kind(name), electrics.spot(name))


def link_wires(bank: Bank) -> Iterator[Wire]:
    """The wires that join the batteries of a bank."""
    poles = (("",) if bank.joined == "series" else ("+", "-")) if len(bank.spots) > 1 else ()
    for number, (one, other) in enumerate(pairwise(bank.spots), 1):
        for pole in poles:
            label = f"{bank.name} link {number}{pole}"
            ends = (
                End(f"{bank.name} {k}", "battery", spot) for k, spot in ((number, one), (number + 1, other))
            )
            yield Wire(bank.name, label, "link", *ends)


def pairs_of(wires: Sequence[Wire]) -> list[tuple[End, End]]:
    """Each pair of places between which wires lie, once."""
    found: dict[Pair, tuple[End, End]] = {}
    for wire in wires:
        if wire.start.key != wire.end.key:
            found.setdefault(wire.pair, (wire.start, wire.end))
    return list(found.values())


def lay_pairs(
    pairs: Sequence[tuple[End, End]],
    given: Sequence[GivenRun],
    diameters: Mapping[Pair, float],
    where: Where,
    lay: Lay,
) -> dict[Pair, Run | NoWay]:
    """The run of each pair of places, given or found; as thick as all wires of the pair."""
    told = {run.between: run for run in given}
    wanted = []
    for start, end in pairs:
        own = told.get(frozenset((start.name, end.name)))
        a, b = where(start.spot), where(end.spot)
        points = None
        if own is not None and own.points is not None:
            points = np.concatenate([a[None], own.points, b[None]])
        via = tuple(_via(v) for v in own.via) if own is not None else ()
        name = f"wires.{start.name}-{end.name}"
        place = None if own is None else own.place
        thick = diameters[frozenset((start.key, end.key))]
        wanted.append(Wanted(name, "wire", a, b, thick, via=via, given=points, place=place))
    runs = lay(wanted) if wanted else ()
    keys = [frozenset((start.key, end.key)) for start, end in pairs]
    return dict(zip(keys, runs, strict=True))


def _via(told: Array | str) -> str | tuple[float, float, float]:
    if isinstance(told, str):
        return told
    x, y, z = told.tolist()
    return (x, y, z)


def cut_length(electrics: Electrics, path: float) -> float:
    """How long a wire is cut for a path, mm.

    Slack along the run, a drip loop and something to strip and do again at both ends (common practice),
    rounded up to what the shop cuts to.
    """
    needed = path * (1.0 + electrics.slack) + 2.0 * (electrics.ends + electrics.drip_loop)
    return math.ceil(needed / electrics.cut_to - 1e-9) * electrics.cut_to
