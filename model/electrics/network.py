"""Where the current of each circuit comes from, through what, and how much of it there is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.electrics.settings import Circuit, Electrics


@dataclass(frozen=True, eq=False)
class Fed:
    """A circuit with what feeds it.

    Attributes:
        circuit: itself.
        bank: name of the bank its current comes from; empty where it reaches none.
        feeders: circuits between the bank and its start, from the bank.
        amps: the most that it carries, A.
    """

    circuit: Circuit
    bank: str
    feeders: tuple[Circuit, ...]
    amps: float


def fed_circuits(electrics: Electrics) -> tuple[Fed, ...]:
    """All circuits in the order of the file, each with the way of its current from a bank."""
    found = []
    for circuit in electrics.circuits:
        way = _way(electrics, circuit, ())
        bank = way[0].start if way else ""
        found.append(Fed(circuit, bank, way[:-1] if way else (), _amps(electrics, circuit, ())))
    return tuple(found)


def feeders_of(electrics: Electrics, name: str) -> Iterator[Circuit]:
    """Circuits that bring current to a device: it is on their way or at their end."""
    return (c for c in electrics.circuits if name in (*c.through, c.to))


def fed_from(electrics: Electrics, circuit: Circuit) -> Iterator[Circuit]:
    """Circuits that take their current from something on the way of a circuit, or at its end."""
    stops = (*circuit.through, circuit.to)
    return (c for c in electrics.circuits if c is not circuit and c.start in stops)


def _way(electrics: Electrics, circuit: Circuit, seen: tuple[Circuit, ...]) -> tuple[Circuit, ...]:
    """The first chain of circuits from a bank to this one, itself the last; empty where there is none."""
    if circuit.start in electrics.banks:
        return (circuit,)
    for feeder in feeders_of(electrics, circuit.start):
        if feeder is circuit or feeder in seen:
            continue
        way = _way(electrics, feeder, (*seen, circuit))
        if way:
            return (*way, circuit)
    return ()


def _amps(electrics: Electrics, circuit: Circuit, seen: tuple[Circuit, ...]) -> float:
    """What it carries with everything on: its own load and all that is fed from it, unless given, A."""
    if circuit.amps is not None:
        return circuit.amps
    own = electrics.loads[circuit.to].amps if circuit.to in electrics.loads else 0.0
    others = (c for c in fed_from(electrics, circuit) if c not in seen)
    return own + sum(_amps(electrics, other, (*seen, circuit)) for other in others)


def banks_at(electrics: Electrics, name: str) -> tuple[str, ...]:
    """Names of all banks from which current comes to a device, whichever way."""
    found: list[str] = []
    todo, seen = [name], set[str]()
    while todo:
        own = todo.pop()
        if own in seen:
            continue
        seen.add(own)
        if own in electrics.banks:
            found.append(own)
        todo += [c.start for c in feeders_of(electrics, own)]
    return tuple(sorted(found))
