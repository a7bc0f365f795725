"""Sheet nests against the engine alone, best-known densities, an area bound and a shelf layout.

Run from the project's root:

    python tests/benchmarks/bench_nests.py [seconds]

The open instances are in ../shared/benchdata/nesting (its NOTICE.txt tells where they come from); without
that folder only the demo boat is measured. Each instance is scaled to a strip 1219 mm high, laid as one
long sheet, and measured by the length used; best-known densities are those of its index.csv. Every plan is
judged by the checker, overlap of the engine's own layouts by shapely.
"""

from __future__ import annotations

import csv
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import affinity

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from cutlists.nests.check import faults_of
from cutlists.nests.engine import Limits, StripTask, run_engine
from cutlists.nests.pieces import nest_pieces, stock_for
from cutlists.nests.plan import plan_nests
from cutlists.nests.records import NestPiece, NestPlan, Stock
from cutlists.nests.settings import NestSettings
from model.boat import load_boat
from parts.outline import Loop

DATA = ROOT.parent / "shared" / "benchdata" / "nesting"
HEIGHT = 1219.0
CUT = 0.01
"""Spacing for the open instances, whose pieces may touch, mm."""
FAIR = {"swim": 0.90, "shirts": 0.94, "marques": 0.95}
"""Share of the best-known density to ask for in 10 s on 2 cores."""


def instance(name: str) -> tuple[list[NestPiece], float]:
    """Pieces of an open instance and the factor to mm."""
    data = json.loads((DATA / f"{name}.json").read_text())
    scale = HEIGHT / data["strip_height"]
    pieces = []
    for item in data["items"]:
        corners = np.array(item["shape"]["data"], dtype=float) * scale
        shape = shapely.Polygon(corners)
        loop = Loop.polygon(
            shapely.get_coordinates(shapely.remove_repeated_points(shape.exterior))[:-1]
        ).ccw()
        turns = tuple(round(angle) % 360 for angle in item["allowed_orientations"])
        mark = str(item["id"])
        pieces += [NestPiece(f"{mark}.{k}", mark, name, loop, (), turns) for k in range(item["demand"])]
    return pieces, scale


def engine_alone(pieces: Sequence[NestPiece], seconds: float, height: float) -> float:
    """Length of the engine's strip with both cores, by its own outlines checked for overlap."""
    outlines = tuple(tuple((float(x), float(y)) for x, y in piece.outline.points) for piece in pieces)
    turns = tuple(tuple(float(turn) for turn in piece.turns) for piece in pieces)
    task = StripTask(height, outlines, turns, 0.0, 1, workers=2)
    answer = run_engine(task, Limits(time.monotonic() + seconds))
    assert answer.strip is not None, answer.fault
    laid = [
        affinity.translate(affinity.rotate(shapely.Polygon(xy), turn, origin=(0, 0)), *move)
        for xy, turn, move in zip(outlines, answer.strip.turns, answer.strip.moves, strict=True)
    ]
    overlap = sum(shape.area for shape in laid) - shapely.union_all(laid).area
    assert overlap < 1e-4 * sum(shape.area for shape in laid)
    return answer.strip.length


def used_length(plan: NestPlan) -> float:
    """How far pieces reach along the only sheet, or across it if that leaves more, as a length along it."""
    (nest,) = plan.materials[0].sheets
    ends = np.array([placement.polygon().bounds for placement in nest.placements])[:, 2:].max(axis=0)
    length, width = nest.stock.size
    return float(min(ends[0], length * ends[1] / width))


def strips(seconds: float) -> None:
    """The open instances as strips."""
    print(f"strips, {seconds:g} s each: density of ours, of the engine alone, best known (all in %)")
    rows = list(csv.DictReader((DATA / "index.csv").open()))
    for row in rows:
        name = row["file"].removesuffix(".json")
        pieces, scale = instance(name)
        area = sum(piece.area for piece in pieces)
        sheet = Stock.sheet("strip", HEIGHT, 2.2 * area / HEIGHT)
        settings = NestSettings(CUT, 0.0, seconds, 1.0, repeatable=False)
        start = time.monotonic()
        plan = plan_nests(pieces, {name: [sheet]}, settings)
        took = time.monotonic() - start
        assert not faults_of(plan, pieces)
        if len(plan.materials[0].sheets) > 1:
            print(f"  {name:9} ours did not fit a strip of {sheet.size[0] / scale:.1f}")
            continue
        ours = area / HEIGHT / used_length(plan)
        alone = area / HEIGHT / engine_alone(pieces, seconds, HEIGHT)
        best = float(row["best_known_density_pct"]) / 100
        fair = f", fair {100 * FAIR[name]:.0f} %" if name in FAIR else ""
        shares = f"ours / alone {ours / alone:.3f}   ours / best {100 * ours / best:.1f} %{fair}"
        densities = " ".join(f"{100 * density:6.2f}" for density in (ours, alone, best))
        print(f"  {name:9} {densities}   {shares}   in {took:.1f} s", flush=True)


def deck_panels(seconds: float) -> None:
    """25 invented deck panels with openings on sheets of 2438 x 1219 mm."""
    data = json.loads((DATA / "deck-panels-25.json").read_text())
    pieces = []
    for item in data["items"]:
        rings = [item["shape"]["data"], *item["shape"].get("holes", ())]
        outline, *holes = (Loop.polygon(ring).ccw() for ring in rings)
        turns = tuple(round(angle) for angle in item["allowed_orientations"])
        pieces.append(NestPiece(str(item["id"]), str(item["id"]), "panels", outline, tuple(holes), turns))
    sheet = Stock.sheet("2438 x 1219", 1219.0, 2438.0)
    print(f"deck panels on 2438 x 1219, {seconds:g} s: sheets of ours, bound, shelves")
    for spacing in (1.0, 6.0):
        settings = NestSettings(spacing, 0.0, seconds, 0.75 * seconds)
        plan = plan_nests(pieces, {"panels": [sheet]}, settings)
        assert not faults_of(plan, pieces)
        material = plan.materials[0]
        bound = round(material.bound / sheet.cost)
        shelved = len(shelves(pieces, [sheet], spacing, 0.0))
        rest = max(nest.rest_area for nest in material.sheets) * 1e-6
        used = 100 * material.used
        print(
            f"  spacing {spacing:g}: {len(material.sheets)}, {bound}, {shelved}"
            f"   {used:.1f} % used, {rest:.2f} m2 left in one rectangle",
            flush=True,
        )


def shelves(
    pieces: Sequence[NestPiece], stock: Sequence[Stock], spacing: float, margin: float
) -> list[Stock]:
    """The sheets of a layout by boxes on shelves, as a person does it.

    Tall ones first, each on the first shelf with room, with a new shelf or sheet where there is none; the
    cheapest of the ways to take one size for all that fit it and for others the least that they fit.
    """
    ways = [_shelved(pieces, first, stock, spacing, margin) for first in stock]
    return min(ways, key=lambda sheets: sum(sheet.cost for sheet in sheets))


def _shelved(
    pieces: Sequence[NestPiece], first: Stock, stock: Sequence[Stock], spacing: float, margin: float
) -> list[Stock]:
    boxes = [_box(piece) for piece in pieces]
    order = sorted(range(len(pieces)), key=lambda k: (-boxes[k][1], -boxes[k][0]))
    sheets: list[tuple[Stock, list[list[float]]]] = []  # of each shelf: foot, height, length used
    for k in order:
        long, high = boxes[k]
        if not any(_on_shelf(sheet, long, high, spacing, margin) for sheet in sheets):
            kinds = [first, *sorted(stock, key=lambda kind: kind.cost)]
            new = next(kind for kind in kinds if _holds(kind, long, high, margin))
            sheets.append((new, []))
            assert _on_shelf(sheets[-1], long, high, spacing, margin)
    return [stock for stock, _ in sheets]


def _box(piece: NestPiece) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = piece.outline.bounds
    sides = (high_x - low_x, high_y - low_y)
    return max(sides), min(sides)


def _holds(kind: Stock, long: float, high: float, margin: float) -> bool:
    return long <= kind.size[0] - 2 * margin + 1e-6 and high <= kind.size[1] - 2 * margin + 1e-6


def _on_shelf(
    sheet: tuple[Stock, list[list[float]]], long: float, high: float, spacing: float, margin: float
) -> bool:
    """Put a box on the first shelf with room, or on a new one; whether that went."""
    kind, rows = sheet
    if not _holds(kind, long, high, margin):
        return False
    length, width = (side - 2 * margin for side in kind.size)
    for row in rows:
        if high <= row[1] + 1e-9 and row[2] + spacing + long <= length + 1e-6:
            row[2] += spacing + long
            return True
    foot = rows[-1][0] + rows[-1][1] + spacing if rows else 0.0
    if foot + high > width + 1e-6:
        return False
    rows.append([foot, high, long])
    return True


def demo_boat(seconds: float) -> None:
    """The demo boat with the usual settings, without prices: m2 bought."""
    boat: Any = load_boat(ROOT / "configs" / "lake16.yaml")
    panels = [*boat.panels, *boat.strips]
    settings = NestSettings(seconds=seconds, effort=0.75 * seconds)
    pieces = nest_pieces(panels, boat.marks, settings)
    stock = {panel.sheet.name: stock_for(panel.sheet, settings, boat.units) for panel in panels}
    start = time.monotonic()
    plan = plan_nests(pieces, stock, settings)
    took = time.monotonic() - start
    assert not faults_of(plan, pieces)
    print(f"demo boat, {seconds:g} s: m2 bought by ours, by shelves, bound")
    for material in plan.materials:
        own = [piece for piece in pieces if piece.sheet == material.sheet]
        shelved = sum(
            sheet.cost for sheet in shelves(own, stock[material.sheet], settings.spacing, settings.margin)
        )
        rest = max(nest.rest_area for nest in material.sheets) * 1e-6
        print(
            f"  {material.sheet:12} {material.cost:.2f} {shelved:.2f} {material.bound:.2f}"
            f"   ours / shelves {material.cost / shelved:.3f}   {len(material.sheets)} sheets,"
            f" {100 * material.used:.1f} % used, {rest:.2f} m2 left in one rectangle, in {took:.1f} s"
        )


def main() -> None:
    """Everything, one after the other."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 10.0
    demo_boat(seconds)
    if not DATA.is_dir():
        print(f"{DATA} is not there: the open instances are left out")
        return
    deck_panels(seconds)
    strips(seconds)


if __name__ == "__main__":
    main()
