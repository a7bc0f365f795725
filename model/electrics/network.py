"""Where the current of each circuit comes from, through what, and how much of it there is."""

from __future__ import annotations

from collections import deque
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
        way = _way(electrics, circuit)
        bank = way[0].start if way else ""
        found.append(Fed(circuit, bank, way[:-1] if way else (), _amps(electrics, circuit)))
    return tuple(found)


def feeders_of(electrics: Electrics, name: str) -> Iterator[Circuit]:
    """Circuits that bring current to a device: it is on their way or at their end."""
    return (c for c in electrics.circuits if name in (*c.through, c.to))


def fed_from(electrics: Electrics, circuit: Circuit) -> Iterator[Circuit]:
    """Circuits that take their current from something on the way of a circuit, or at its end."""
    stops = (*circuit.through, circuit.to)
    return (c for c in electrics.circuits if c is not circuit and c.start in stops)


def _way(electrics: Electrics, circuit: Circuit) -> tuple[Circuit, ...]:
    """A shortest chain of circuits from a bank to this one, itself the last; empty where there is none."""
    after: dict[str, Circuit | None] = {circuit.name: None}
    todo = deque([circuit])
    while todo:
        own = todo.popleft()
        if own.start in electrics.banks:
            chain: list[Circuit] = []
            step: Circuit | None = own
            while step is not None:
                chain.append(step)
                step = after[step.name]
            return tuple(chain)
        for feeder in feeders_of(electrics, own.start):
            if feeder.name not in after:
                after[feeder.name] = own
                todo.append(feeder)
    return ()


def _amps(electrics: Electrics, circuit: Circuit) -> float:
    """What it carries with everything on: its own load and all that is fed from it, unless given, A."""
    todo, seen, total = [circuit], {circuit.name}, 0.0
    while todo:
        own = todo.pop()
        if own.amps is not None:
            total += own.amps
            continue
        total += electrics.loads[own.to].amps if own.to in electrics.loads else 0.0
        for other in fed_from(electrics, own):
            if other.name not in seen:
                seen.add(other.name)
                todo.append(other)
    return total


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
