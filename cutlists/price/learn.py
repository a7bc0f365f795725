"""Hours by what finished boats took: for each kind of task a rate an amount, with how sure it is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from cutlists.price.amounts import AMOUNTS
from cutlists.price.money import exact
from cutlists.price.quote import Learnt
from cutlists.price.regression import SURE, Fit, least_squares
from cutlists.work.records import KINDS

DRIVERS: Mapping[str, str] = {
    "cut": "cut",
    "sheet": "edge_m",
    "bend": "bend",
    "tack": "joint",
    "weld": "seam_m",
    "fit": "sheet_m2",
    "leak": "locker",
    "paint": "paint_m2",
    "plumb": "hose_m",
    "wire": "wire_m",
    "foam": "foam_l",
    "close": "sheet_m2",
    "mat": "mat_m2",
    "lids": "lid",
}
"""What the hours of a kind of task go by, of `AMOUNTS`; of kinds that are not named, so much a boat."""
FEW = 5
"""A rate from fewer boats than this is told with a warning (common practice: five points are few)."""
FAR = 1.5
"""A boat this many times larger, or smaller, than any finished one is told as out of their range."""


@dataclass(frozen=True)
class Finished:
    """A finished boat: its name, its amounts, by kind of task the hours estimated and those it took."""

    boat: str
    amounts: Mapping[str, float]
    estimated: Mapping[str, float]
    took: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class Rate:
    """What finished boats say of one kind of task.

    Attributes:
        kind: of task.
        driver: what its hours go by.
        fit: hours to amounts, through the origin, so that it reads as a shop's own rate does.
        boats: how many it is from.
        least, most: amounts of the smallest and the largest of them.
        beside: hours a boat beside the rate, where a line that leaves the origin fits surely better.
    """

    kind: str
    driver: str
    fit: Fit
    boats: int
    least: float
    most: float
    beside: float | None = None

    @property
    def each(self) -> float:
        """Hours for one."""
        return float(self.fit.coefficients[0])

    @property
    def error(self) -> float:
        """Standard error of that; nan from a single boat."""
        return float(self.fit.errors[0])

    def within(self, amount: float) -> tuple[float, float]:
        """Hours that a boat of this amount takes in 95 cases of a hundred, as far as the boats tell."""
        middle, margin = self.fit.at([amount]), self.fit.margin([amount])
        return max(0.0, middle - margin), middle + margin

    def cautions(self, amount: float | None = None) -> list[str]:
        """Why the rate may mislead; of a boat with this amount where it is given."""
        told = []
        if self.boats < FEW:
            told.append(f"from {self.boats} boats only")
        if amount is not None and not self.least / FAR <= amount <= self.most * FAR:
            told.append(f"this boat has {amount:.4g}, they had {self.least:.4g} to {self.most:.4g}")
        if self.beside is not None:
            told.append(f"they fit better with {self.beside:+.1f} h a boat beside the rate")
        return told


def rates_of(boats: Sequence[Finished]) -> dict[str, Rate]:
    """The rate of every kind of task that at least two finished boats tell of, in the order of kinds."""
    found = {}
    for kind in KINDS:
        driver = DRIVERS.get(kind, "boat")
        told = [(boat.amounts.get(driver, 0.0), boat.took[kind]) for boat in boats if kind in boat.took]
        told = [(amount, hours) for amount, hours in told if amount > 0.0]
        if len(told) >= 2:
            found[kind] = _rate(kind, driver, told)
    return found


def _rate(kind: str, driver: str, told: Sequence[tuple[float, float]]) -> Rate:
    amounts, hours = ([pair[k] for pair in told] for k in (0, 1))
    fit = least_squares([[amount] for amount in amounts], hours, intercept=False)
    return Rate(kind, driver, fit, len(told), min(amounts), max(amounts), _beside(amounts, hours))


def _beside(amounts: Sequence[float], hours: Sequence[float]) -> float | None:
    """The intercept of the line through the boats, where it is more than chance would leave (t at 95 %)."""
    from scipy import stats

    if len(amounts) < 4 or max(amounts) - min(amounts) <= 0.05 * max(amounts):
        return None
    line = least_squares([[amount] for amount in amounts], hours, intercept=True)
    value, error = float(line.coefficients[0]), float(line.errors[0])
    surely = abs(value) > error * float(stats.t.ppf((1 + SURE) / 2, line.free))
    return value if surely and abs(value) > 1e-6 else None


def learnt_of(
    boats: Sequence[Finished], amounts: Mapping[str, float], own: Mapping[str, float], least_boats: int
) -> Learnt:
    """Factors that make the hours of a plan those of the learnt rates, for kinds with enough boats.

    Args:
        boats: the finished ones.
        amounts: of the boat to price.
        own: hours by kind as its plan has them.
        least_boats: fewest boats that a rate is taken from.
    """
    factors: dict[str, Decimal] = {}
    notes = []
    for kind, rate in rates_of(boats).items():
        planned = own.get(kind, 0.0)
        if rate.boats < least_boats or planned <= 0.0:
            continue
        amount = amounts.get(rate.driver, 0.0)
        hours = rate.fit.at([amount])
        if hours <= 0.0:
            continue
        factors[kind] = exact(round(hours / planned, 6))
        notes.append(_note(rate, amount, planned))
    if not factors:
        notes.append(
            f"no kind of task has {least_boats} finished boats to learn from: hours are the shop's own"
        )
    return Learnt(factors, tuple(notes))


def _note(rate: Rate, amount: float, planned: float) -> str:
    low, high = rate.within(amount)
    cautions = rate.cautions(amount)
    return (
        f"{KINDS[rate.kind]}: {rate.fit.at([amount]):.1f} h learnt from {rate.boats} boats, in place of "
        f"{planned:.1f} h; {low:.1f} to {high:.1f} h in 95 of 100 cases"
        + (f"; careful: {'; '.join(cautions)}" if cautions else "")
    )


HEAD = ("kind of task", "goes by", "own rate", "learnt", "+- error", "boats", "this boat", "95 in 100")


def rate_rows(
    boats: Sequence[Finished], amounts: Mapping[str, float], own: Mapping[str, float]
) -> list[tuple[str, ...]]:
    """The learnt rates beside those of the plan: hours for one, standard error, boats, hours of this boat.

    Args:
        boats: the finished ones.
        amounts: of the boat in hand.
        own: its hours by kind as the plan has them.
    """
    rows: list[tuple[str, ...]] = []
    for kind, rate in rates_of(boats).items():
        amount, planned = amounts.get(rate.driver, 0.0), own.get(kind)
        low, high = rate.within(amount)
        rows.append((
            kind,
            AMOUNTS[rate.driver],
            f"{planned / amount:.3f} h" if planned and amount else "",
            f"{rate.each:.3f} h",
            "unknown" if math.isnan(rate.error) else f"{rate.error:.3f}",
            str(rate.boats),
            f"{rate.fit.at([amount]):.1f} h",
            f"{low:.1f} to {high:.1f} h",
        ))  # fmt: skip
    return rows
