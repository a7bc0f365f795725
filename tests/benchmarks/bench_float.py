"""Weight, trim and the whole float report of the demo boat, in one run.

Run from the project's root:

    python tests/benchmarks/bench_float.py

The live answer (every piece weighed, one equilibrium) follows a slider; the report is what a build holds.
Timings are processor time of this machine; the ratio is of an equilibrium that ends on exact volumes, their
stations set anew for every plane, to one whose stations are set once.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.boat import load_boat
from model.capacity.float_report import check_float
from model.hull_outside import outer_shell
from model.hydrostatics.afloat import weight_and_trim
from model.hydrostatics.balance import FRESH, settle
from model.hydrostatics.body import Body
from model.hydrostatics.load import Load
from model.mass.weigh import weigh

BOAT = Path(__file__).resolve().parents[2] / "configs" / "lake16.yaml"
TIMES = 5


def best(work: Callable[[], object]) -> float:
    """Least processor time of a few runs, ms."""
    found = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        found.append((time.process_time() - start) * 1e3)
    return min(found)


def main() -> None:
    """Prints the timings."""
    boat = load_boat(BOAT)
    print(f"{BOAT.stem}: weight and one equilibrium {best(lambda: weight_and_trim(boat)):.0f} ms")
    print(f"{BOAT.stem}: the whole report {best(lambda: check_float(boat)):.0f} ms")
    after = weigh(boat).after
    load, shell = Load.of(after.mass, after.centre), outer_shell(boat.hull)
    body = Body.of(shell)
    rest = settle(body, load)
    level = rest.plane.moved(60.0)
    quick = best(lambda: settle(body, load, FRESH, level))
    exact = best(lambda: settle(body, load, FRESH, level, shell))
    print(
        f"equilibrium: {quick:.1f} ms by set stations, {exact:.1f} ms by exact ones: {exact / quick:.1f} to 1"
    )


if __name__ == "__main__":
    main()
