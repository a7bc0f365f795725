"""Plans of work: what one costs beyond a build, and how near plans of drawn networks are to the bound.

Run from the project's root:

    python tests/benchmarks/bench_work.py

The other side of the ratio is the best of as many lists in random order, on the same networks.
Timings are processor time of this machine.
"""

from __future__ import annotations

import random
import sys
import time
from datetime import date
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from cutlists.shop_file import shop_beside
from cutlists.work.laid import laid_in
from cutlists.work.listing import STEPS, TRIES, placed, taken_in_turn
from cutlists.work.network import Network
from cutlists.work.plan import plan_work
from model.boat import load_boat
from tests.cutlists.work.networks import drawn, network

CONFIGS = Path(__file__).resolve().parents[2] / "configs"
DRAWN = 60
TASKS = 40


def in_random_order(own: Network, draw: random.Random) -> tuple[str, ...]:
    """A list in which each task comes after what it needs, drawn at random."""
    missing = {name: len(own.before[name]) for name in own.names}
    ready, found = [name for name in own.names if not missing[name]], []
    while ready:
        name = ready.pop(draw.randrange(len(ready)))
        found.append(name)
        for one in own.after[name]:
            missing[one] -= 1
            if not missing[one]:
                ready.append(one)
    return tuple(found)


def main() -> None:
    """The demo boats, then drawn networks."""
    for name in ("flat14", "vee18", "lake16"):
        path = CONFIGS / f"{name}.yaml"
        shop = shop_beside(path)
        boat = load_boat(path, catalogue=shop.catalogue, limber=shop.limber)
        laid_in(boat)
        took = []
        for _ in range(3):
            start = time.process_time()
            plan = plan_work(boat, shop, date(2026, 11, 30))
            took.append(time.process_time() - start)
        over = 100 * (plan.length / plan.least - 1)
        print(f"{name}: {len(plan.tasks)} tasks in {1000 * min(took):.0f} ms, {over:.2f} % over the bound")
    over, chance, proven = 0.0, 0.0, 0
    draw = random.Random(1)
    for seed in range(DRAWN):
        tasks, days, begins, hands = drawn(5000 + seed, TASKS)
        own = network(tasks, days, begins)
        made = placed(own, hands, own.times())
        proven += made.length == made.least
        best = 1 << 40
        for _ in range(TRIES + len(STEPS) + 2):
            start_of, _ = taken_in_turn(own, hands, in_random_order(own, draw))
            best = min(best, max(at + own.minutes[name] for name, at in start_of.items()))
        over += made.length / made.least - 1
        chance += best / made.least - 1
    print(f"{DRAWN} drawn networks of up to {TASKS} tasks: {proven} proven the shortest")
    shares = [f"{100 * share / DRAWN:.2f} %" for share in (over, chance)]
    print(f"on average {shares[0]} over the bound; as many lists at random: {shares[1]}")


if __name__ == "__main__":
    main()
