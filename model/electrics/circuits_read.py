"""The names in a circuit of the boat file: each must be there, and be what may stand in its place."""

from __future__ import annotations

from collections.abc import Sequence

from model.boatfile.electrics_schema import CircuitEntry, ElectricsEntry
from model.boatfile.numbers import Key, Numbers
from parts.faults import did_you_mean

FROM = ("battery", "fuse_box", "bus", "switch", "cutoff")
THROUGH = ("fuse", "cutoff", "switch")
TO = ("load", "fuse_box", "bus", "switch")
BACK = ("bus", "battery")
WORDS = {"fuse_box": "fuse box", "cutoff": "cut-off"}


def check_circuit(name: str, entry: CircuitEntry, whole: ElectricsEntry, numbers: Numbers) -> bool:
    """Whether all names of a circuit will do; faults are noted."""
    kinds: dict[str, str] = {
        **dict.fromkeys(whole.batteries, "battery"),
        **{device: own.kind for device, own in whole.devices.items()},
        **dict.fromkeys(whole.loads, "load"),
    }
    path: tuple[Key, ...] = ("electrics", "circuits", name)
    told: list[tuple[str, Sequence[str], tuple[Key, ...]]] = [
        (entry.start, FROM, (*path, "from")),
        *((own, THROUGH, (*path, "through", i)) for i, own in enumerate(entry.through)),
        (entry.to, TO, (*path, "to")),
    ]
    if entry.back is not None:
        told.append((entry.back, BACK, (*path, "back")))
    sound = True
    for own, allowed, at in told:
        if own not in kinds:
            wrong, right = f"nothing of the electrics is called '{own}'", did_you_mean(own, kinds)
        elif kinds[own] not in allowed:
            wrong = f"'{own}' is a {WORDS.get(kinds[own], kinds[own])}, which cannot stand here"
            right = f"name a {' or a '.join(WORDS.get(kind, kind) for kind in allowed)}"
        else:
            continue
        numbers.fault(at, wrong, right)
        sound = False
    stops = (entry.start, *entry.through, entry.to)
    if sound and len(set(stops)) < len(stops):
        numbers.fault(path, "it passes the same thing twice", "name each once, in the order of the current")
        sound = False
    return sound
