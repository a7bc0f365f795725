"""The whole boat: parse to saw list against the same members by plain kernel solids; STEP; growth past 2,000.

Run from the project's root:

    python tests/benchmarks/bench_boat.py

Everything is CPU time of this process in one run (OMP_NUM_THREADS=1, which `make bench` sets: helper
threads that spin would count too); only ratios mean something on another machine. Growth is
measured on long box-shaped hulls with one more framed deck for each step, so that everything a deck needs
(hull cuts, ring, openings, beams, posts, sheets, marks) grows with the number of members.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    sys.path.insert(0, str(Path(__file__).resolve().parent))

from bench_members import plain_kernel

from cutlists.saw_list import ShopSaw, saw_list
from cutlists.step_file import write_step
from model.boat import Boat, build_boat, load_boat
from model.member_mesh import member_meshes
from model.member_table import MemberTable
from model.prism_mesh import meshes as prism_meshes
from parts.yamlfile import read_text

DEMO = ROOT / "configs" / "lake16.yaml"
MODULE = 1200.0
"""Hull for each deck of the growth boats, mm; 24 of them keep within the longest hull that is read."""


def numbers_of(boat: Boat) -> int:
    """Meshes of everything and the saw list of a boat; the number of saw rows."""
    table = MemberTable(boat.members)
    member_meshes(boat.members, table)
    prism_meshes([panel.prism for panel in boat.panels] + [p for f in boat.fixtures for p in f.prisms])
    for strip in boat.strips:
        strip.mesh()
    return len(saw_list(boat.members, boat.marks, ShopSaw(), table).rows)


def growth_text(decks: int) -> str:
    """A boat file with a box-shaped hull and `decks` framed decks in a row."""
    length = decks * MODULE
    rows = "\n".join(
        f"    - {{at: {x:.0f}, keel: [0, 0], chine: [900, 0], gunwale: [1000, 700]}}"
        for x in (length * k / 8 for k in range(9))
    )
    parts = []
    for k in range(decks):
        x = k * MODULE
        parts.append(
            f"""  d{k}:
    height: 500
    aft: {x + 20:.0f}
    forward: {x + MODULE - 20:.0f}
    frame: {{beam_span: 100, post_span: 200}}
    openings:
      a: {{aft: {x + 200:.0f}, length: 350, centre: [{x + 350:.0f}, 420], width: 400, both_sides: true}}
      b: {{centre: [{x + 850:.0f}, 0], length: 300, width: 600}}""".replace(f"aft: {x + 200:.0f}, ", "")
        )
    return f"""boat: growth
units: mm
hull:
  lines: [keel, chine, gunwale]
  loft: straight
  thickness: 2.5
  stations:
{rows}
defaults: {{section: rect-25x50x3, sheet: 5052-0.090, fit_gap: 3, hull_gap: 6, ledger_gap: 12}}
decks:
""" + "\n".join(parts)


def cpu(work: object) -> tuple[float, object]:
    """CPU seconds of one call, and what it gave."""
    start = time.process_time()
    result = work()  # type: ignore[operator]
    return time.process_time() - start, result


def main_demo() -> None:
    """The demo boat: first and best time to the saw list, against kernel solids of the same members."""

    def whole() -> Boat:
        boat = load_boat(DEMO)
        numbers_of(boat)
        return boat

    first, boat = cpu(whole)
    assert isinstance(boat, Boat)
    best = min(cpu(whole)[0] for _ in range(5))
    kernel, _ = cpu(lambda: plain_kernel(boat.members))
    print(f"{DEMO.stem}: {len(boat.members)} members, {len(boat.panels) + len(boat.strips)} sheet pieces")
    print(f"  parse to saw list and meshes   first {first:.3f} s, best {best:.3f} s of CPU")
    print(f"  same members by plain kernel   {kernel:.2f} s: {kernel / best:.0f} times as long")
    with tempfile.TemporaryDirectory() as folder:
        step, _ = cpu(lambda: write_step(boat, Path(folder) / "boat.step"))
        size = (Path(folder) / "boat.step").stat().st_size
    print(f"  STEP                           {step:.2f} s, {size / 1e6:.1f} MB")


def growth() -> None:
    """CPU time for each member from about 140 to 3,400 members."""
    print("growth\n  members     s   ms a member")
    for decks in (1, 2, 4, 8, 16, 24):
        document = read_text(growth_text(decks), f"growth{decks}.yaml")
        seconds = []
        for _ in range(2):
            took, boat = cpu(lambda: build_boat(document, ROOT))  # noqa: B023
            assert isinstance(boat, Boat)
            seconds.append(took + cpu(lambda: numbers_of(boat))[0])  # noqa: B023
        count = len(boat.members)
        print(f"  {count:7d} {min(seconds):6.2f} {1000 * min(seconds) / count:8.2f}")


if __name__ == "__main__":
    main_demo()
    growth()
