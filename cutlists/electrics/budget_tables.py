"""Current over the day and battery hours, as tables and as CSV."""

from __future__ import annotations

import csv
import io

from cutlists.afloat.leaf import Leaf
from model.capacity.drive import PEUKERT
from model.electrics.report import ElectricsReport


def budget_csv(report: ElectricsReport) -> str:
    """A CSV (RFC 4180) of every load by use, then what is left in every battery."""
    text = io.StringIO()
    out = csv.writer(text)
    out.writerow(["load or battery", "use", "hours", "mean A", "Ah", "left %"])
    budget = report.budget
    if budget is None:
        return text.getvalue()
    hours = {use.name: use.hours for use in budget.uses}
    for own in budget.drawn:
        for use, amps, taken in own.by_use:
            out.writerow([own.load, use, hours[use], round(amps, 3), round(taken, 2), ""])
    for day in budget.banks:
        for spent in day.spent:
            taken = spent.amps * spent.hours
            left = round(100 * spent.left, 1)
            out.writerow([day.bank.name, spent.use, spent.hours, round(spent.amps, 3), round(taken, 2), left])
    return text.getvalue()


def load_leaf(report: ElectricsReport) -> Leaf:
    """What every load takes over the day."""
    budget = report.budget
    assert budget is not None
    uses = [f"{use.name} {use.hours:g} h, A" for use in budget.uses]
    rows = []
    for own in sorted(budget.drawn, key=lambda own: (own.bank, -own.amp_hours)):
        means = [f"{amps:.2f}" for _, amps, _ in own.by_use]
        rows.append((own.load, own.bank, f"{own.amps:g}", *means, f"{own.amp_hours:.1f}"))
    notes = ("Mean current by use: what it draws as it runs, by the share of those hours that it does.",)
    return Leaf("Current over the day", ("load", "battery", "runs at A", *uses, "Ah"), tuple(rows), notes)


def bank_leaf(report: ElectricsReport) -> Leaf:
    """What is left in every battery after each use."""
    budget = report.budget
    assert budget is not None
    rows = []
    for day in budget.banks:
        bank = day.bank
        left = [f"{100 * spent.left:.0f} %" for spent in day.spent]
        lasts = "through the day" if day.lasts is None else f"{day.lasts:.1f} h"
        rows.append((bank.name, f"{bank.volts:g}", f"{bank.amp_hours:g}", f"{day.amp_hours:.0f}", *left,
                     f"{100 * bank.reserve:.0f} %", lasts))  # fmt: skip
    kinds = {day.bank.kind for day in budget.banks}
    told = ", ".join(f"{kind} k = {PEUKERT[kind]:g}" for kind in sorted(kinds))
    notes = [
        "An estimate from rated charge (20 h) at the current that loads run at, by Peukert's law (1897, from "
        f"memory; {told or 'no battery'}: common practice); no more than rated at low current.",
        "The bow motor is counted here and in `athwart float` from the same `afloat: drive:`, at its "
        "own thrust.",
        "Charging is counted only where a use gives it.",
    ]
    if not any(load.drive for load in (report.electrics.loads.values() if report.electrics else ())):
        del notes[1]
    notes += [f"{name}: its ampere hours are not known." for name in budget.unknown]
    after = [f"after {use.name}" for use in budget.uses]
    head = ("battery", "V", "rated Ah", "drawn Ah", *after, "kept back", "lasts")
    return Leaf("Batteries", head, tuple(rows), tuple(notes))
