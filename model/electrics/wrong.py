"""What is wrong with the wires of a boat: findings by circuit, by run, by battery.

How much is lacking stands in the words only: no dimension of the boat file cures it, so none is to be sought.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator

from model.electrics.conductors import GAUGES, outside_diameter
from model.electrics.fuses import most_rating
from model.electrics.network import banks_at
from model.electrics.report import ElectricsReport, SizedCircuit
from model.electrics.settings import CRANKING, Bank, Device, Electrics
from model.findings import Finding
from model.geometry import Array
from model.ways.bundles import FILLED_SHORT, around
from model.ways.finish import hole_for
from model.ways.run import NoWay
from parts.lengths import format_length

Where = Callable[[str], Array]
SAME_VOLTS = 0.1
"""Nominal volts nearer than this share are the same: a 12.8 V battery is sold for 12 V boats."""


def findings_of(report: ElectricsReport, where: Where) -> Iterator[Finding]:
    """All that is wrong, fire first."""
    electrics = report.electrics
    assert electrics is not None
    for circuit in report.circuits:
        yield from _fuse(report, circuit, where)
        yield from _conductor(circuit, where)
    yield from _overloaded(report, where)
    yield from _mixed(electrics, where)
    for circuit in report.circuits:
        yield from _reach(electrics, circuit, where)
    yield from _boxes(report, where)
    yield from _ways(report)
    yield from _days(report, where)


def _names(electrics: Electrics, circuit: SizedCircuit) -> tuple[str, ...]:
    """A circuit by its name, then the fixtures at its ends."""
    fixtures = [electrics.spot(name).fixture for name in (circuit.fed.circuit.to, circuit.fed.circuit.start)]
    return (f"circuit.{circuit.name}", *(name for name in dict.fromkeys(fixtures) if name))


def _fuse(report: ElectricsReport, c: SizedCircuit, where: Where) -> Iterator[Finding]:
    electrics, circuit = report.electrics, c.fed.circuit
    assert electrics is not None
    if not c.fed.bank:
        return
    names, place = _names(electrics, c), circuit.place
    guard = c.guard
    if not guard.at and circuit.kind == CRANKING:
        return
    if not guard.at:
        what = f"no fuse or breaker between {c.fed.bank} and {circuit.to}"
        cure = "put one at its source, `through: [...]` (33 CFR 183.455)"
        yield Finding("fuse", names, what, cure, where(circuit.start), place)
        return
    if guard.too_far:
        away, most = (format_length(v, report.units) for v in (guard.away, guard.most))
        what = f"{guard.at} is {away} along the conductor from its source; allowed are {most} ({guard.by})"
        cure = "move it nearer to the source" + (
            "" if circuit.sheathed else ", or sheathe what lies before it"
        )
        yield Finding("fuse", (names[0], f"device.{guard.at}"), what, cure, where(guard.at), place)
    if guard.own and guard.rating is None:
        what = f"no standard fuse carries {c.fed.amps:g} A with its margin"
        yield Finding("fuse", names, what, "split its loads over several circuits", where(guard.at), place)
    elif guard.rating is not None and guard.rating < c.fed.amps:
        what = f"a fuse of {guard.rating:g} A for {c.fed.amps:g} A"
        yield Finding("fuse", names, what, "a larger fuse, or less at once", where(guard.at), place)


def _conductor(c: SizedCircuit, where: Where) -> Iterator[Finding]:
    size, circuit = c.size, c.fed.circuit
    if size is None or not size.lacks:
        return
    words = {
        "drop": f"{c.fed.amps:g} A over {c.length / 304.8:.0f} ft of wire may lose "
        f"{max(c.allowed, 0.0):.2f} V, and it loses {size.lost:.2f} V",
        "current": f"{c.fed.amps:g} A, and it carries {size.carries:g} A (33 CFR 183.425 Table 5)",
        "fuse": f"its fuse of {c.guard.rating or 0:g} A is more than the "
        f"{most_rating(size.carries, c.volts):g} A that protect it (33 CFR 183.455)",
        "least": "single conductors are at least AWG 16 (33 CFR 183.425)",
    }
    why = "; ".join(words[lack] for lack in size.lacks)
    names = (f"circuit.{c.name}",)
    if size.gauge is None:
        what = f"even AWG {GAUGES[-1]} is too small: {why}"
        cure = "shorten it, move the battery or the box, split the load, or use more volts"
    else:
        what, cure = f"AWG {size.gauge} is too small: {why}", "leave `gauge` out and have it chosen"
    yield Finding("wire", names, what, cure, where(circuit.to), circuit.place)


def _overloaded(report: ElectricsReport, where: Where) -> Iterator[Finding]:
    """Devices that more passes than they carry; a panel of switches is asked switch by switch."""
    electrics = report.electrics
    assert electrics is not None
    for device in electrics.devices.values():
        if device.carries is None:
            continue
        passes = _passing(report, device)
        if passes > device.carries:
            what = f"it carries {device.carries:g} A, and {passes:g} A pass it with everything on"
            cure = "use a stronger one, or less at once"
            yield Finding("wire", (f"device.{device.name}",), what, cure, where(device.name), device.place)


def _passing(report: ElectricsReport, device: Device) -> float:
    """The current through a device with everything on; of brief cranking the most, A."""
    name = device.name
    out = [c.fed.amps for c in report.circuits if name in (*c.fed.circuit.through, c.fed.circuit.to)]
    back = [c.fed.amps for c in report.circuits if c.fed.circuit.back == name and not _is_feeder(report, c)]
    if device.kind in ("switch", "fuse"):
        return max(out, default=0.0)
    return max(sum(out), sum(back))


def _is_feeder(report: ElectricsReport, c: SizedCircuit) -> bool:
    assert report.electrics is not None
    return c.fed.circuit.to not in report.electrics.loads


def _mixed(electrics: Electrics, where: Where) -> Iterator[Finding]:
    """Sources of different volts side by side: in one bank, or feeding one box."""
    for bank in electrics.banks.values():
        if bank.joined == "parallel" and _differ(list(bank.each)):
            what = f"batteries of {' and '.join(f'{v:g}' for v in bank.each)} V beside each other"
            names = tuple(s.fixture for s in bank.spots if s.fixture)
            yield Finding(
                "circuit", names, what, "join only batteries that are alike", where(bank.name), bank.place
            )
    for device in electrics.devices.values():
        banks = [electrics.banks[name] for name in banks_at(electrics, device.name)]
        if len(banks) > 1 and _differ([bank.volts for bank in banks]):
            told = " and ".join(f"{bank.name} of {bank.volts:g} V" for bank in banks)
            what = f"{device.name} is fed by {told} at once"
            cure = "feed it from one, the other through a converter or a box of its own"
            yield Finding("circuit", (f"device.{device.name}",), what, cure, where(device.name), device.place)


def _differ(volts: list[float]) -> bool:
    return max(volts) - min(volts) > SAME_VOLTS * max(volts)


def _reach(electrics: Electrics, c: SizedCircuit, where: Where) -> Iterator[Finding]:
    """Circuits without a battery, or with the wrong one; returns that lead elsewhere."""
    circuit = c.fed.circuit
    names = _names(electrics, c)
    if not c.fed.bank:
        what = f"it reaches no battery: nothing feeds {circuit.start}"
        cure = f"add a circuit from a battery `to: {circuit.start}`"
        yield Finding("circuit", names, what, cure, where(circuit.to), circuit.place)
        return
    load = electrics.loads.get(circuit.to)
    if load is not None and load.volts is not None and _differ([load.volts, c.volts]):
        what = f"{load.name} is made for {load.volts:g} V and gets {c.volts:g} V from {c.fed.bank}"
        pieces = (names[0], f"load.{load.name}")
        yield Finding(
            "circuit", pieces, what, "take it from another battery", where(circuit.to), circuit.place
        )
    if load is not None and load.drive and not _on_drive(electrics, c.fed.bank):
        what = f"{load.name} runs on {c.fed.bank}, `afloat: drive:` on {', '.join(electrics.drive_on)}"
        both = (names[0], f"load.{load.name}", "afloat.drive")
        cure = "name the same batteries in both"
        yield Finding("circuit", both, what, cure, where(circuit.to), circuit.place)
    home = circuit.back or c.fed.bank
    if home in electrics.banks:
        lost = home != c.fed.bank
    elif load is None:  # the return of a feeder is what ties its bus to the battery
        lost = False
    else:
        lost = home not in _ties(electrics, c.fed.bank)
    if lost:
        what = f"its current comes back to {home}, which is not tied to {c.fed.bank}"
        cure = f"name {home} as `back` of the circuit that feeds {circuit.start}"
        yield Finding("circuit", (names[0], f"device.{home}"), what, cure, where(home), circuit.place)


def _on_drive(electrics: Electrics, bank: str) -> bool:
    """Whether a bank is of the batteries that the electric drive is said to run on, all of them."""
    own = {(spot.fixture or "").removeprefix("fixture.") for spot in electrics.banks[bank].spots}
    told = electrics.drive_on
    every = all(any(name == one or name.startswith(f"{one}.") for one in told) for name in own)
    return every and all(any(name == one or name.startswith(f"{one}.") for name in own) for one in told)


def _ties(electrics: Electrics, bank: str) -> set[str]:
    """Buses that are tied to a bank: where circuits from it to a box come back to."""
    from_bank = (c for c in electrics.circuits if c.start == bank)
    return {c.back for c in from_bank if c.to not in electrics.loads and c.back}


def _boxes(report: ElectricsReport, where: Where) -> Iterator[Finding]:
    """Fuse boxes with more circuits than places, and loads that no circuit leads to."""
    electrics = report.electrics
    assert electrics is not None
    for device in electrics.devices.values():
        used = sum(1 for row in report.fuses if row.at == device.name)
        most = 1 if device.kind == "fuse" else device.positions
        if most is not None and used > most:
            what = f"{used} circuits on {device.name}, which takes {most}"
            yield Finding("circuit", (f"device.{device.name}",), what, "use a larger one, or a second one",
                          where(device.name), device.place)  # fmt: skip
    ends = {c.fed.circuit.to for c in report.circuits}
    for load in electrics.loads.values():
        if load.name not in ends:
            what, cure = f"no circuit leads to {load.name}", f"add one with `to: {load.name}`"
            yield Finding("circuit", (f"load.{load.name}",), what, cure, where(load.name), load.place)


def _ways(report: ElectricsReport) -> Iterator[Finding]:
    """Runs without a way; what given ones go through is told by the check of all runs.

    Runs that the same pieces stop are told once, with the hole that takes all of them.
    """
    groups: dict[tuple[str, ...], list[NoWay]] = defaultdict(list)
    for lost in report.no_ways:
        key = tuple(need.piece for need in lost.needs) or (lost.name,)
        groups[key].append(lost)
    for pieces, several in groups.items():
        first, names = several[0], tuple(lost.name for lost in several)
        if len(several) == 1 or len(pieces) > 1 or not pieces[0]:
            for lost in several:
                what = f"no way for the wires: {lost.why}"
                yield Finding("way", (lost.name,), what, lost.cure, lost.where, lost.place)
            continue
        hole = format_length(_hole(report, names), report.units)
        what = f"no way for the wires of {len(several)} runs: {pieces[0]} is in their way"
        cure = f"under `passages:` tell of one hole of {hole} through {pieces[0]}, near here"
        yield Finding("way", (pieces[0], *names), what, cure, first.where, first.place)


def _hole(report: ElectricsReport, names: tuple[str, ...]) -> float:
    """The drill for all wires of some runs together, which fill no more of a hole than they may, mm."""
    own = [wire for wire in report.wires if wire.run in names]
    thick = [outside_diameter(wire.gauge or GAUGES[-1]) for wire in own]
    filled = math.sqrt(sum(d * d for d in thick) / FILLED_SHORT)
    return hole_for(max(around(thick), filled))


def _days(report: ElectricsReport, where: Where) -> Iterator[Finding]:
    """Batteries that are flat before the day ends."""
    if report.budget is None:
        return
    hours = sum(use.hours for use in report.budget.uses)
    for day in report.budget.banks:
        bank: Bank = day.bank
        if day.lasts is not None:
            kept = f"with {100 * bank.reserve:.0f} % kept back" if bank.reserve else "altogether"
            what = f"{bank.name} is flat after {day.lasts:.1f} of {hours:g} h, {kept}"
            cure = "more ampere hours, less use, or charge it meanwhile"
            names = tuple(s.fixture for s in bank.spots if s.fixture)
            yield Finding("charge", names, what, cure, where(bank.name), bank.place)
