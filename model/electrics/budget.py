"""Current over a day and what is left in the batteries at its end: an estimate, hour by named use.

A bank drained at a steady current I for t hours has given t / (H (C / (I H))^k) of its charge (Peukert
1897, the formula from memory); k 1.2 for lead and 1.05 for lithium is common practice. Below the current
at which the bank is rated no more than its rated charge is counted on. What runs part of the time is taken to
cost as much as if its current were drawn for that part. Charging counts only where it is given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from model.capacity.drive import PEUKERT, RATED_HOURS
from model.electrics.settings import Bank, Electrics, Load, Use


@dataclass(frozen=True)
class Drawn:
    """What one load takes: the bank it is on, and mean amperes and ampere hours by use.

    `amps` is the most that it draws, `running` what it draws as it is used: of a drive at its usual thrust.
    """

    load: str
    bank: str
    amps: float
    running: float
    by_use: tuple[tuple[str, float, float], ...]

    @property
    def amp_hours(self) -> float:
        """Over the day."""
        return sum(hours for _, _, hours in self.by_use)


@dataclass(frozen=True)
class Spent:
    """A use as a bank lives through it: mean amperes out less those in, and the share of its charge left."""

    use: str
    hours: float
    amps: float
    left: float


@dataclass(frozen=True, eq=False)
class BankDay:
    """A bank over the day.

    Attributes:
        bank: itself.
        spent: use by use.
        amp_hours: drawn in all.
        lasts: hours into the day when only the reserve is left; None where that never comes.
    """

    bank: Bank
    spent: tuple[Spent, ...]
    amp_hours: float
    lasts: float | None

    @property
    def left(self) -> float:
        """Share of the charge at the end of the day."""
        return self.spent[-1].left if self.spent else 1.0


@dataclass(frozen=True, eq=False)
class Budget:
    """Loads and banks over the day that the file's `uses` make up."""

    uses: tuple[Use, ...]
    drawn: tuple[Drawn, ...]
    banks: tuple[BankDay, ...]
    unknown: tuple[str, ...]


def full_hours(bank: Bank, amps: float) -> float:
    """Hours from full to empty at a steady current."""
    assert bank.amp_hours is not None
    rate = bank.amp_hours / (amps * RATED_HOURS)
    return float(RATED_HOURS * rate if rate >= 1.0 else RATED_HOURS * rate ** PEUKERT[bank.kind])


def budget_of(electrics: Electrics, banks_of: Mapping[str, str]) -> Budget:
    """The budget of a day.

    Args:
        electrics: loads, banks, uses.
        banks_of: the bank of each load by its name; a load that is not there is on none.
    """
    drawn = [_drawn(load, banks_of[name], electrics.uses) for name, load in electrics.loads.items()
             if name in banks_of]  # fmt: skip
    known = [bank for bank in electrics.banks.values() if bank.amp_hours is not None]
    days = [_day(bank, drawn, electrics.uses) for bank in known]
    unknown = tuple(name for name, bank in electrics.banks.items() if bank.amp_hours is None)
    return Budget(electrics.uses, tuple(drawn), tuple(days), unknown)


def _drawn(load: Load, bank: str, uses: Sequence[Use]) -> Drawn:
    means = [(use.name, load.mean * load.shares.get(use.name, 0.0), use.hours) for use in uses]
    return Drawn(
        load.name,
        bank,
        load.amps,
        load.mean,
        tuple((name, amps, amps * hours) for name, amps, hours in means),
    )


def _day(bank: Bank, drawn: Sequence[Drawn], uses: Sequence[Use]) -> BankDay:
    left, at, lasts, spent = 1.0, 0.0, None, []
    taken = 0.0
    for number, use in enumerate(uses):
        own = [(one.by_use[number][1], one.running) for one in drawn if one.bank == bank.name]
        out = sum(mean for mean, _ in own)
        net = out - use.charge.get(bank.name, 0.0)
        before, rate = left, _rate(bank, net, own)
        left -= rate * use.hours
        if lasts is None and left < bank.reserve - 1e-9:
            lasts = at + (before - bank.reserve) / rate
        left = min(max(left, 0.0), 1.0)
        at += use.hours
        taken += out * use.hours
        spent.append(Spent(use.name, use.hours, net, left))
    return BankDay(bank, tuple(spent), taken, None if lasts is None else max(lasts, 0.0))


def _rate(bank: Bank, net: float, own: Sequence[tuple[float, float]]) -> float:
    """Share of its charge that a bank loses in an hour; below zero where it is charged.

    Args:
        bank: the battery.
        net: mean current out less what comes in, A.
        own: of every load its mean current and that at which it runs, A.
    """
    assert bank.amp_hours is not None
    if net <= 0.0:
        return net / bank.amp_hours
    # the current at which the charge is drawn on the average: of one load that at which it runs
    drawn = sum(mean for mean, _ in own)
    at = max(net, sum(mean * running for mean, running in own) / drawn)
    return net / (at * full_hours(bank, at))
