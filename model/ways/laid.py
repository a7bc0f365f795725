"""All runs of a boat that have a way: its wires, then its hoses."""

from __future__ import annotations

from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from model.ways.run import Run

if TYPE_CHECKING:
    from model.boat import Boat

_KEPT: WeakKeyDictionary[Boat, tuple[Run, ...]] = WeakKeyDictionary()


def laid_runs(boat: Boat) -> tuple[Run, ...]:
    """The runs, kept as long as the boat is; none of a boat that tells of neither wires nor hoses."""
    if boat not in _KEPT:
        _KEPT[boat] = (*_wires(boat), *_hoses(boat))
    return _KEPT[boat]


def _wires(boat: Boat) -> tuple[Run, ...]:
    if boat.electrics is None:
        return ()
    from model.electrics.check import electrics_report

    return electrics_report(boat).runs


def _hoses(boat: Boat) -> tuple[Run, ...]:
    if boat.hoses is None:
        return ()
    from model.hoses.check import hose_report

    return tuple(hose.run for hose in hose_report(boat).hoses if hose.run is not None)
