"""Reads the settings of stick plans, with every fault told at its place in the file."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutlists.reading import Reading
from cutlists.sticks.settings import (
    LENGTHS,
    Buyable,
    LengthEntry,
    OnRack,
    StickOffcutEntry,
    SticksEntry,
    StickSettings,
    SticksFile,
    Tube,
    TubeEntry,
)
from parts.checked import Path as Keys
from parts.checked import checked
from parts.faults import FaultList, Place, did_you_mean
from parts.lengths import format_length, parse_angle
from parts.section import Section
from parts.yamlfile import read_yaml

WIDEST_KERF = 25.4
"""No saw for tube has a blade this thick, mm: a thicker one is a slip of the pen."""
MOST_OFFCUTS = 200


def read_stick_settings(path: Path, sections: Mapping[str, Section] | None = None) -> StickSettings:
    """The settings of a YAML file of their own.

    Args:
        path: the file.
        sections: those that can be meant; any name is taken where none are given.

    Raises:
        BadInput: the file's faults, all at once.
    """
    document, faults = read_yaml(path), FaultList()
    entry = checked(SticksFile, document.data, document.place, faults)
    faults.raise_if_any()
    assert entry is not None
    found = stick_settings(entry, entry.units, document.place, faults, sections)
    faults.raise_if_any()
    return found


def stick_settings(
    entry: SticksEntry,
    units: str,
    place: Callable[[Keys], Place],
    faults: FaultList,
    sections: Mapping[str, Section] | None = None,
) -> StickSettings:
    """Settings as numbers; what is wrong with them is noted in `faults`.

    Args:
        entry: as read.
        units: of bare numbers.
        place: where a path of keys, from the entry's own, stands in the file.
        faults: gathers what is wrong; what is returned then is not to be used.
        sections: those that can be meant; any name is taken where none are given.
    """
    read = _Reader(units, place, faults, sections)
    usual = read.usual(entry)
    tubes = {name: read.tube(name, given, usual) for name, given in entry.sections.items()}
    seconds = read.number(("seconds",), entry.seconds, 0.1, 3600.0)
    return StickSettings(usual, tubes, read.same_cut(entry.same_cut), seconds)


@dataclass(frozen=True)
class _Reader(Reading):
    sections: Mapping[str, Section] | None

    def kerf(self, keys: Keys, value: Any) -> float:
        """What the blade takes, mm."""
        right = "a blade takes metal: measure a cut made in scrap, 1/8 in is usual"
        found = self.length(keys, value, True, right, 3.175)
        if found > WIDEST_KERF:
            self.faults.add(self.place(keys), f"a kerf of {value} is wider than any blade", right)
            return 3.175
        return found

    def same_cut(self, value: Any) -> float:
        """How close end planes that share a cut must be, rad."""
        keys: Keys = ("same_cut",)
        found = self.read(keys, value, parse_angle, 0.0)
        if not 0.0 <= found <= math.radians(1.0):
            self.faults.add(self.place(keys), f"{value} is out of bounds", "give 0 to 1 degree")
        return found

    def usual(self, entry: SticksEntry) -> Tube:
        """For sections that are not named."""
        trim = self.length(("end_trim",), entry.end_trim, safe=0.0)
        lengths = self.lengths(("lengths",), entry.lengths, trim)
        kerf = self.kerf(("kerf",), entry.kerf)
        keep = self.length(("keep",), entry.keep, safe=0.0)
        return Tube(lengths, (), kerf, trim, keep, self.place(()), entry.lengths is None)

    def tube(self, name: str, given: TubeEntry, usual: Tube) -> Tube:
        """One section."""
        keys: Keys = ("sections", name)
        self.known(keys, name)
        trim = usual.end_trim
        if given.end_trim is not None:
            trim = self.length((*keys, "end_trim"), given.end_trim, safe=0.0)
        lengths = usual.lengths
        if given.lengths is not None:
            lengths = self.lengths((*keys, "lengths"), given.lengths, trim)
        elif given.end_trim is not None and not self.long_enough((*keys, "end_trim"), lengths, trim):
            trim = 0.0
        kerf = usual.kerf if given.kerf is None else self.kerf((*keys, "kerf"), given.kerf)
        keep = usual.keep
        if given.keep is not None:
            keep = self.length((*keys, "keep"), given.keep, safe=0.0)
        offcuts = self.offcuts((*keys, "offcuts"), given.offcuts, lengths)
        assumed = usual.assumed and given.lengths is None
        return Tube(lengths, offcuts, kerf, trim, keep, self.place(keys), assumed)

    def known(self, keys: Keys, name: str) -> None:
        """Notes a name that is no section's, or not the one it is bought under."""
        if self.sections is None:
            return
        if name not in self.sections:
            names = sorted({section.stock for section in self.sections.values()})
            self.faults.add(self.place(keys), f"there is no section '{name}'", did_you_mean(name, names))
        elif self.sections[name].stock != name:
            stock = self.sections[name].stock
            self.faults.add(self.place(keys), f"'{name}' is bought as '{stock}'", f"write '{stock}'")

    def lengths(self, keys: Keys, given: Sequence[LengthEntry] | None, trim: float) -> tuple[Buyable, ...]:
        """Lengths to buy, the shortest first."""
        if given is None:
            usual = tuple(Buyable(length) for length in LENGTHS)
            return usual if self.long_enough(("end_trim",), usual, trim) else (Buyable(1e6),)
        before = len(self.faults)
        found = [self._buyable((*keys, i), entry) for i, entry in enumerate(given)]
        for i, one in enumerate(found):
            if any(abs(one.length - other.length) < 0.5 for other in found[:i]):
                self.faults.add(self.place((*keys, i)), f"{self._told(one)} stands twice", "keep one")
        labels, prices = [self._told(one) for one in found], [one.price for one in found]
        self.all_priced(keys, labels, prices, "lengths", "tube")
        if len(self.faults) > before or not self.long_enough(keys, found, trim):
            return (Buyable(1e6),)
        return tuple(sorted(found, key=lambda one: one.length))

    def _buyable(self, keys: Keys, entry: LengthEntry) -> Buyable:
        length = self.length((*keys, "length"), entry.length, True, safe=1e6)
        return Buyable(length, self.price((*keys, "price"), entry.price))

    def _told(self, one: Buyable) -> str:
        return format_length(one.length, self.units)

    def long_enough(self, keys: Keys, lengths: Sequence[Buyable], trim: float) -> bool:
        """Whether something is left of every length; else a fault is noted."""
        short = min(lengths, key=lambda one: one.length)
        if short.length > 2.0 * trim:
            return True
        wrong = f"nothing is left of {self._told(short)} once both ends are trimmed"
        self.fault(keys, wrong, "give a longer stick or a smaller end_trim")
        return False

    def offcuts(
        self, keys: Keys, given: Sequence[StickOffcutEntry], lengths: Sequence[Buyable]
    ) -> tuple[OnRack, ...]:
        """Lengths on hand."""
        found: list[OnRack] = []
        for i, entry in enumerate(given):
            own: Keys = (*keys, i)
            length = self.length((*own, "length"), entry.length, True)
            quantity = int(self.number((*own, "quantity"), entry.quantity, 1, MOST_OFFCUTS))
            value = 0.0
            if entry.value is not None:
                value = self.number((*own, "value"), entry.value, 0.0, 1e7)
                if lengths[0].price is None:
                    right = "give the lengths to buy prices, or leave the value out"
                    self.faults.add(
                        self.place((*own, "value")), "a value without prices to weigh it by", right
                    )
            name = entry.name or f"offcut {i + 1}"
            self.own_name(own, name, [one.label for one in found])
            found.append(OnRack(name, length, quantity, value))
        return tuple(found)
