"""From a moved dimension to what travels to the page, against building the boat afresh, in one run.

Run from the project's root:

    python tests/benchmarks/bench_preview.py

For each dimension of the main demo that may slide, a few marks of the tape: the boat with the new value, the
meshes of what changed, the block of bytes for the page that has the boat before; then weight and trim, which
come next, and the other tables. A fresh build and the whole boat as one block are the other side. CPU time of
this process; only ratios mean something on another machine.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from app.preview.collector import unhurried
from app.preview.pieces import shown_pieces
from app.preview.rebuild import Rebuilder, Source, read_source
from app.preview.telling import dimension_rows, tables_of, weights_of
from app.preview.values import named, text_of
from app.preview.wire import Known, Shown
from parts.faults import BadInput

DEMO = ROOT / "configs" / "lake16.yaml"
STEPS = (1, -1, 2, -2)
AIM = 0.150
"""Seconds from a change to the new picture, on the server."""


def cpu(work: Callable[[], Any]) -> tuple[float, Any]:
    """CPU seconds of one call, and what it gave."""
    start = time.process_time()
    result = work()
    return time.process_time() - start, result


def afresh(source: Source) -> tuple[float, int]:
    """Seconds and bytes of the whole boat from nothing; the best of three."""

    def whole() -> int:
        rebuilder = Rebuilder(source)
        boat = rebuilder.build({})
        return len(Known().missing(Shown(shown_pieces(boat, {}, rebuilder.hull_key))) or b"")

    runs = [cpu(whole) for _ in range(3)]
    return min(seconds for seconds, _ in runs), runs[0][1]


class Page:
    """A page that has the boat, and the workshop's side of it."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.rebuilder = Rebuilder(source)
        boat = self.rebuilder.build({})
        self.rebuilder.keep_marks(boat)
        self.pieces = shown_pieces(boat, {}, self.rebuilder.hull_key)
        self.known = Known()
        self.known.missing(Shown(self.pieces))
        self.lists, _ = tables_of(boat, source.shop, None)

    def picture(self, values: dict[str, str]) -> tuple[Any, int]:
        """The new boat, and the bytes that travel."""
        boat = self.rebuilder.build(values)
        self.pieces = shown_pieces(boat, self.pieces, self.rebuilder.hull_key)
        rows = dimension_rows(self.source.document, values, boat.units)
        data = self.known.missing(Shown(self.pieces).saying(dimensions=rows))
        return boat, len(data or b"")


def main() -> None:
    """Prints a line for each dimension, then the ratios."""
    unhurried()  # as the server is
    source = read_source(DEMO)
    fresh, size = afresh(source)
    page = Page(source)
    print(f"{DEMO.stem}: {len(page.pieces)} pieces; afresh {1000 * fresh:.0f} ms, {size / 1e3:.0f} kB")
    print("  dimension           picture ms   weights by ms   tables ms   kB sent")
    pictures, weights, sent = [], [], []
    for row in named(source.document, {}):
        own: list[tuple[float, float, float, int]] = []
        for step in STEPS:
            values = {row.name: text_of(source.document, row.name, row.value + step * row.step)}
            try:
                seconds, (boat, travelled) = cpu(lambda values=values: page.picture(values))
            except BadInput:
                continue  # out of its limits, or in the way of something else
            weighing, (known, _) = cpu(lambda boat=boat: weights_of(boat))
            after, _ = cpu(lambda boat=boat, known=known: tables_of(boat, source.shop, page.lists, known))
            own.append((seconds, seconds + weighing, after, travelled))
        if own:
            typical = [statistics.median(column) for column in zip(*own, strict=True)]
            shown = [f"{1000 * seconds:.0f}" for seconds in typical[:3]]
            told = f"{shown[0]:>11} {shown[1]:>15} {shown[2]:>11} {typical[3] / 1e3:9.0f}"
            print(f"  {row.name:18s} {told}")
            pictures += [seconds for seconds, _, _, _ in own]
            weights += [seconds for _, seconds, _, _ in own]
            sent += [travelled for _, _, _, travelled in own]
    usual = statistics.median(pictures)
    print(f"  picture: {1000 * usual:.0f} ms, worst {1000 * max(pictures):.0f}; {usual / AIM:.2f} of {AIM} s")
    by = statistics.median(weights)
    print(f"  weight and trim: {1000 * by:.0f} ms after a change, worst {1000 * max(weights):.0f}")
    fewer = size / statistics.median(sent)
    print(f"  against afresh: {fresh / usual:.1f} times as fast, {fewer:.1f} times fewer bytes")


if __name__ == "__main__":
    main()
