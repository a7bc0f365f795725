"""Stick plans on open instances with known optima, and on the demo boats.

Run from the project's root:

    python tests/benchmarks/bench_sticks.py [name]

The open instances are in ../shared/benchdata/cutting-stock (its NOTICE.txt tells where they are from);
without it those in tests/cutlists/sticks/data are taken. Each must come to its known optimum, within 10
s, half of them within 1 s. The demo boat's plan must take less than half a second. Times are the
processor's, so that what else runs on the machine does not count.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from cutlists.shop_file import read_shop
from cutlists.sticks.plan import stick_plan
from cutlists.sticks.problem import Kind, Problem, Stock
from cutlists.sticks.solve import Solved, Solver
from model.boat import load_boat

SHARED = ROOT.parent / "shared" / "benchdata" / "cutting-stock"
OWN = ROOT / "tests" / "cutlists" / "sticks" / "data"
BOATS = ("lake16", "flat14", "vee18")
KNOWN = {"PM_u010_01": 5, "PM_u020_03": 9, "PM_u030_05": 11, "PM_u060_07": 25, "PM_u120_04": 48}
"""Optima of the instances that may be shipped, as in the index of the shared folder."""


def instances() -> Iterator[tuple[str, Problem, int]]:
    """Name, job and known optimum."""
    if (SHARED / "index.csv").is_file():
        import csv

        for row in csv.DictReader((SHARED / "index.csv").open()):
            yield row["file"], read(SHARED / row["file"]), int(row["optimum"])
        return
    for path in sorted(OWN.glob("PM_*")):
        yield path.name, read(path), KNOWN[path.name.split(".")[0]]


def read(path: Path) -> Problem:
    """The job of a file: a list of pieces, a list of lengths with numbers, or JSON with a kerf."""
    kerf = 0.0
    if path.suffix == ".json":
        told = json.loads(path.read_text())
        stick, kerf, counts = told["stick_mm"], told["kerf_mm"], Counter(told["pieces_mm"])
    else:
        numbers = [int(word) for word in path.read_text().split()]
        stick, rest = numbers[1], numbers[2:]
        if path.name.endswith(".csp.txt"):
            counts = Counter()
            for length, number in zip(rest[::2], rest[1::2], strict=True):
                counts[length] += number
        else:
            counts = Counter(rest[: numbers[0]])
    kinds = tuple(Kind(str(length), float(length), number) for length, number in sorted(counts.items()))
    return Problem(kinds, (Stock("", float(stick), 1.0),), float(kerf))


def is_true(problem: Problem, found: Solved) -> bool:
    """Whether every piece is cut once and every stick holds its pieces, added up anew."""
    cut: Counter[int] = Counter()
    for stick in found.sticks:
        lengths = [problem.kinds[kind].length for kind, number in stick.counts for _ in range(number)]
        if sum(lengths) + problem.kerf * (len(lengths) - 1) > problem.stocks[stick.stock].length + 1e-6:
            return False
        cut.update(dict(stick.counts))
    return all(cut[k] == kind.count for k, kind in enumerate(problem.kinds))


def measure_instances(only: str) -> bool:
    """Prints a line for each instance; whether all of them came out as they should."""
    fine, times = True, []
    for name, problem, optimum in instances():
        if only not in name:
            continue
        start = time.process_time()
        found = Solver(problem, clock=time.process_time).solve()
        took = time.process_time() - start
        times.append(took)
        good = is_true(problem, found) and len(found.sticks) == optimum and took < 10.0
        fine = fine and good
        proven = "proven" if found.is_fewest else f"at least {found.cost_bound:.0f}"
        told = f"{len(found.sticks):4} of {optimum:4} {proven:12} {took:7.2f} s"
        print(f"{name:32}{told}{'' if good else '  <--'}")
    if times:
        middle = statistics.median(times)
        print(f"{len(times)} instances, median {middle:.2f} s, longest {max(times):.2f} s")
        fine = fine and middle < 1.0
    return fine


def measure_boats() -> bool:
    """Prints a line for each demo boat; whether the first took less than half a second."""
    shop = read_shop(ROOT / "configs" / "shop.yaml")
    fine = True
    for name in BOATS:
        boat = load_boat(ROOT / "configs" / f"{name}.yaml", catalogue=shop.catalogue)
        times = []
        for _ in range(3):
            start = time.process_time()
            plan = stick_plan(boat, shop.sticks, limits=shop.saw.limits)
            times.append(time.process_time() - start)
        told = "; ".join(
            f"{stock.stock} {len(stock.sticks)}{'' if stock.solved.is_fewest else ' (open)'}"
            for stock in plan.stocks
        )
        print(f"{name:8} {min(times):.2f} s, {plan.saved:.0f} mm saved by shared mitres: {told}")
        fine = fine and (name != "lake16" or min(times) < 0.5)
    return fine


if __name__ == "__main__":
    only = sys.argv[1] if len(sys.argv) > 1 else ""
    good = measure_instances(only)
    if not only:
        good = measure_boats() and good
    sys.exit(0 if good else 1)
