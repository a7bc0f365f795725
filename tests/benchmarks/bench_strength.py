"""Strength of the main demo boat against PyNite's own analysis of the same frame, in one run.

Run from the project's root:

    python tests/benchmarks/bench_strength.py

Ours tries a person in every place: PyNite's stiffness is factorised once and every place is a right-hand
side. PyNite's side analyses the same nodes, members and supports with a person in a few places, each a
combination of its own, from which the time for all is told; what stands without a joint (feet on sheet,
upright faces) it does not have, so these are held in place there. Processor time of this machine; only the
ratio means something.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from model.boat import load_boat
from model.strength.check import check_strength
from model.strength.feet import all_feet
from model.strength.loads import all_loads
from model.strength.network import network
from model.strength.settings import GRAVITY
from model.strength.spread import deck_lines
from model.strength.stiffness import frame_model

BOAT = Path(__file__).resolve().parents[2] / "configs" / "lake16.yaml"
SAMPLE = 6


def main() -> None:
    """Prints both times and their ratio."""
    boat = load_boat(BOAT)
    check_strength(boat)  # imports and caches
    began = time.process_time()
    report = check_strength(boat)
    ours = time.process_time() - began
    settings = boat.strength
    net = network(boat, settings)
    decks = {name: lines for name, plan in boat.layout.decks.items() if (lines := deck_lines(net, plan))}
    places = [row for p in all_loads(boat, net, decks, settings).places for row in p.loads]
    chosen = places[:: max(len(places) // SAMPLE, 1)][:SAMPLE]
    model = frame_model(net)
    for node in {foot.node for foot in all_feet(net, boat.layout)}:
        model.def_support(f"N{node}", True, True, True, False, False, False)
    del model.load_combos["all"]
    for n, row in enumerate(chosen):
        model.add_load_combo(f"place {n}", {f"person {n}": 1.0})
        for node, share in zip(row.indices.tolist(), row.data.tolist(), strict=True):
            model.add_node_load(f"N{node}", "FZ", -share * settings.person * GRAVITY, f"person {n}")
    for piece in model.members.values():
        piece.active = {f"place {n}": True for n in range(len(chosen))}
    began = time.process_time()
    model.analyze_linear(check_stability=False)
    theirs = (time.process_time() - began) / len(chosen) * len(places)
    print(report.summary())
    print(f"strength with every member, bay and place: {ours:.2f} s")
    print(f"PyNite alone, {len(chosen)} of {len(places)} places, told for all: {theirs:.0f} s")
    print(f"ratio {theirs / ours:.0f}")


if __name__ == "__main__":
    main()
