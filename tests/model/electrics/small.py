"""A small boat on paper: electrics with places as points, led along straight lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from model.electrics.check import work_out
from model.electrics.report import ElectricsReport
from model.electrics.settings import Bank, Circuit, Device, Electrics, Load, Spot, Use
from model.geometry import Array
from model.ways.run import NoWay, Run, Wanted
from parts.faults import Place

FOOT = 304.8
PLACE = Place("boat.yaml", 1, "electrics")


def at(x: float, y: float = 0.0, z: float = 0.0) -> Spot:
    """A point, feet."""
    return Spot(None, np.array([x, y, z]) * FOOT)


def bank(name: str, x: float, *volts: float, **more: object) -> Bank:
    """Batteries beside each other from x on, a foot apart; in series unless told."""
    spots = tuple(at(x, float(k)) for k in range(len(volts or (12.0,))))
    told = {"joined": "series", "amp_hours": 100.0, "kind": "lead", "reserve": 0.5} | more
    return Bank(name, spots, each=volts or (12.0,), place=PLACE, **told)  # type: ignore[arg-type]


def device(
    name: str, kind: str, x: float, rating: float | None = None, positions: int | None = None
) -> Device:
    """A device at x feet."""
    return Device(name, kind, at(x), rating, positions, PLACE)  # type: ignore[arg-type]


def load(name: str, x: float, amps: float, volts: float | None = None, **shares: float) -> Load:
    """A load at x feet."""
    return Load(name, at(x), amps, amps, volts, False, shares, PLACE)


def circuit(name: str, start: str, to: str, *through: str, back: str = "", **more: object) -> Circuit:
    """A circuit; critical unless told."""
    told: dict[str, object] = {"kind": "critical", "amps": None, "fuse": None, "gauge": None, "colour": None}
    told |= {"sheathed": False, "engine_space": False} | more
    return Circuit(name, start, through, to, back, place=PLACE, **told)  # type: ignore[arg-type]


def electrics(
    banks: Sequence[Bank],
    devices: Sequence[Device],
    loads: Sequence[Load],
    circuits: Sequence[Circuit],
    uses: Sequence[Use] = (),
    **more: object,
) -> Electrics:
    """Electrics whose wires are cut without slack, so that lengths can be told by hand."""
    plain: dict[str, object] = {"slack": 0.0, "ends": 0.0, "drip_loop": 0.0, "cut_to": 1.0}
    return Electrics(
        banks={b.name: b for b in banks},
        devices={d.name: d for d in devices},
        loads={own.name: own for own in loads},
        circuits=tuple(circuits),
        uses=tuple(uses),
        **(plain | more),  # type: ignore[arg-type]
    )


def where(spot: Spot) -> Array:
    """Of a point, itself."""
    assert spot.point is not None
    return spot.point


def straight(wanted: Sequence[Wanted]) -> list[Run | NoWay]:
    """Every run along its straight line, or along the points given."""
    return [
        Run(w.name, w.kind, np.array([w.start, w.end]) if w.given is None else w.given, w.diameter)
        for w in wanted
    ]


def report(
    own: Electrics, lay: Callable[[Sequence[Wanted]], Sequence[Run | NoWay]] = straight
) -> ElectricsReport:
    """The report of electrics."""
    return work_out(own, "in", where, lay)


def house(*circuits: Circuit, loads: Sequence[Load] = (), **more: object) -> Electrics:
    """A 12 V battery at 0 ft, its fuse at 1 ft, a box and a bus at 2 ft."""
    devices = [device("main", "fuse", 1.0), device("box", "fuse_box", 2.0), device("bus", "bus", 2.0)]
    feed = circuit("feed", "house", "box", "main", back="bus")
    return electrics([bank("house", 0.0)], devices, loads, [feed, *circuits], **more)  # type: ignore[arg-type]
