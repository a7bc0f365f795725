"""Rods of the demo boat: what each answer costs, and rods laid by linear steps against lines shot at random.

Run from the project's root:

    python tests/benchmarks/bench_rods.py

The other side of the ratio is what lies there by brute force: the longest of 200 000 lines shot through the
room, of which none finds what the steps do. Timings are processor time of this machine.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.boat import load_boat
from model.rods.check import check_rods
from model.rods.longest import longest
from model.rods.names import called
from model.rods.passing import passings
from model.rods.pieces import pieces
from model.rods.read import looked_for
from model.rods.rod import Rod
from model.rods.room import Room, room_of
from model.rods.seeds import chords

CONFIGS = Path(__file__).resolve().parents[2] / "configs"
INCH = 25.4


def timed(what: str, work: Callable[[], object]) -> None:
    """The least of three runs."""
    took = []
    for _ in range(3):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    print(f"{what}: {1000 * min(took):.0f} ms")


def shot(room: Room, count: int) -> float:
    """The longest of lines shot at random through a room, mm."""
    draw = np.random.default_rng(1)
    size = room.box[1] - room.box[0]
    points = room.box[0] + draw.random((count, 3)) * size
    points = points[room.within(points)]
    found = chords(room.soup, points, draw.normal(size=points.shape) * size, 0.1)
    inside = room.near(found.start) & room.near(found.end)
    return float(found.length[inside].max())


def main() -> None:
    """The rod locker of the first demo boat."""
    boat = load_boat(CONFIGS / "lake16.yaml")
    assert boat.rods is not None
    every, place = pieces(boat), called(boat.layout, boat.rods.lockers[0])[0]
    room, rod = room_of(place, boat, every), looked_for(boat.rods.in_locker(boat.rods.lockers[0]))
    lying = longest(room, rod)
    assert lying is not None
    timed("pieces and room", lambda: room_of(place, boat, pieces(boat)))
    timed("longest that lies", lambda: longest(room, rod))
    timed(
        "the same, begun where it lay before a small change",
        lambda: longest(room, rod, [lying.pose.shortened(0.97)]),
    )
    timed("longest passed in", lambda: passings(room, rod, lying, boat, every))
    timed("everything asked of the boat's rods", lambda: check_rods(boat))
    thin = Rod("line", 1.0, 0.2, 0.2)
    start = time.process_time()
    steps, between = longest(room, thin), time.process_time()
    brute = shot(room, 200_000)
    after = time.process_time()
    assert steps is not None
    print(
        f"a line, by steps: {steps.length / INCH:.2f} in. in {between - start:.2f} s; by 200 000 shots: "
        f"{brute / INCH:.2f} in. in {after - between:.2f} s"
    )


if __name__ == "__main__":
    main()
