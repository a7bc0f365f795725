"""Electric drive: how long the batteries last at each thrust, as an estimate.

Static thrust costs power by the three halves (momentum theory of a screw at rest: P = T^1.5 / sqrt(2 rho A)),
so a motor at half thrust draws a good third of what it does at full. Lead batteries give less the faster they
are drained (Peukert 1897: t = H (C / (I H))^k); k 1.2 for lead and 1.05 for lithium is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from model.findings import Finding
from model.hydrostatics.plan import Drive
from parts.fittings import Battery

if TYPE_CHECKING:
    from model.boat import Boat

RATED_HOURS = 20.0
"""Over which amp-hours are rated (trade habit)."""
PEUKERT = {"lead": 1.2, "lithium": 1.05}
SHARES = (0.25, 0.5, 0.75, 1.0)
"""Of full thrust, for which the run is told."""
PER_MASS = 0.02
"""Thrust over weight that handles a boat in wind: 2 lb for each 100 lb loaded (common practice)."""
GRAVITY = 9.80665


@dataclass(frozen=True)
class Run:
    """How long a charge lasts at a thrust: share of the full one, thrust in N, amperes, hours."""

    share: float
    thrust: float
    amps: float
    hours: float


@dataclass(frozen=True)
class DriveFound:
    """An electric drive with its batteries.

    Attributes:
        drive: as the file tells it.
        series, strings: how the batteries are joined.
        amp_hours: of the whole bank, as rated.
        runs: at four thrusts, the reserve kept back.
        mass: of the batteries, kg.
    """

    drive: Drive
    series: int
    strings: int
    amp_hours: float
    runs: tuple[Run, ...]
    mass: float


def draw_at(drive: Drive, share: float) -> float:
    """Amperes at a share of full thrust: between measured points straight, else by the three halves."""
    if not drive.draws:
        return float(drive.draw * share**1.5)
    known = [(0.0, 0.0), *drive.draws]
    if known[-1][0] < 1.0:
        known.append((1.0, drive.draw))
    shares, amps = np.array(known).T
    return float(np.interp(share, shares, amps))


def hours_at(amp_hours: float, amps: float, kind: str, reserve: float) -> float:
    """Hours at a steady draw until only the reserve is left."""
    share: float = (amp_hours / (amps * RATED_HOURS)) ** PEUKERT[kind]
    return (1.0 - reserve) * RATED_HOURS * share


def drive_found(boat: Boat, drive: Drive) -> DriveFound | Finding:
    """The drive with the batteries that are in the boat, or a finding where they cannot be joined to it."""
    parts = list(_batteries(boat, drive))
    wrong, cure = _mismatch(parts, drive)
    if wrong:
        return Finding("power", (), f"drive: {wrong}", cure, None, drive.place)
    series = max(1, round(drive.volts / parts[0].volts))
    strings = len(parts) // series
    amp_hours = strings * (parts[0].amp_hours or 0.0)
    runs = []
    for share in SHARES:
        amps = draw_at(drive, share)
        hours = hours_at(amp_hours, amps, drive.kind, drive.reserve)
        runs.append(Run(share, share * drive.thrust, amps, hours))
    return DriveFound(drive, series, strings, amp_hours, tuple(runs), sum(part.mass for part in parts))


def _batteries(boat: Boat, drive: Drive) -> Iterator[Battery]:
    for fixture in boat.fixtures:
        short = fixture.name.removeprefix("fixture.")
        wanted = any(short == name or short.startswith(f"{name}.") for name in drive.batteries)
        if wanted and isinstance(fixture.part, Battery):
            yield fixture.part


def _mismatch(parts: list[Battery], drive: Drive) -> tuple[str, str]:
    """Why batteries cannot drive it, and the cure; empty where they can."""
    if len({(part.volts, part.amp_hours) for part in parts}) != 1 or parts[0].amp_hours is None:
        return "its batteries are not alike, or their amp-hours are not known", "use batteries of one kind"
    series = drive.volts / parts[0].volts
    if abs(series - round(series)) > 1e-6 or round(series) < 1 or len(parts) % round(series):
        told = f"{len(parts)} batteries of {parts[0].volts:g} V do not make {drive.volts:g} V"
        return told, f"use as many as add up to {drive.volts:g} V, or some times as many"
    return "", ""
