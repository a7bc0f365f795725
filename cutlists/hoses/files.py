"""Writes the `plumbing/` folder of a build."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.afloat.leaf import leaf_lines
from cutlists.drawing.runs_drawing import runs_svg
from cutlists.hoses.goods import hose_buy_lines
from cutlists.hoses.hoses_json import hoses_json
from cutlists.hoses.leaves import cut_told, leaves, place_told, run_words
from cutlists.hoses.schematic import schematic
from model.hoses.check import CAUTIONS, HoseReport
from model.hoses.pump_curve import LITRE_AN_HOUR

if TYPE_CHECKING:
    from model.boat import Boat

SHEET = (400.0, 240.0)
"""Of the drawing of runs, mm of paper."""

Row = Sequence[str | float]

HOSES: Row = (
    "hose", "from", "to", "kind", "part", "inside mm", "outside mm", "cut", "cut mm", "way mm", "fall mm",
    "climb mm", "least slope %", "low spots", "elbows", "clips", "clamps at start", "clamps at end",
    "runs along",
)  # fmt: skip
SKINS: Row = (
    "name", "where", "x mm", "y mm", "z mm", "bore mm", "part", "over water empty mm", "heaviest case",
    "over water heaviest mm", "least over water mm", "least in", "shut by", "valve", "serves", "lets in l/h",
)  # fmt: skip
PUMPS: Row = (
    "pump", "part", "takes", "leads to", "case", "lifts mm", "works against mm", "litres an hour",
    "rated l/h", "speed m/s",
)  # fmt: skip


def write_plumbing(
    boat: Boat,
    report: object,
    folder: Path,
    prices: Mapping[str, float],
    tell: Callable[[str], None] = lambda _: None,
) -> None:
    """Writes lists, report and drawings of the hoses into a folder, made if need be; nothing without hoses.

    Args:
        boat: the boat.
        report: of the check of hoses; anything else writes nothing.
        folder: where to.
        prices: by name.
        tell: hears what is being done.

    Raises:
        OSError: a file could not be written.
    """
    if not isinstance(report, HoseReport) or report.asked is None:
        return
    folder.mkdir(parents=True, exist_ok=True)
    tell("writing lists of hoses")
    lines = hose_buy_lines(report, prices)
    _write(folder / "hoses.csv", [HOSES, *_hose_rows(report)])
    _write(folder / "through-hulls.csv", [SKINS, *_skin_rows(report)])
    _write(folder / "pumps.csv", [PUMPS, *_pump_rows(report)])
    buy: list[Row] = [("what", "name", "size", "buy", "price", "cost", "note")]
    for b in lines:
        money = ["" if amount is None else amount for amount in (b.price, b.cost)]
        buy.append((b.material, b.name, b.size, b.need, *money, b.note))
    _write(folder / "buy.csv", buy)
    text = [line for leaf in leaves(report, lines) for line in (*leaf_lines(leaf), "")]
    text += [f"- {remark}" for remark in report.remarks] + ["", *(f"- {caution}" for caution in CAUTIONS)]
    (folder / "plumbing.txt").write_text("\n".join(text) + "\n", encoding="utf-8")
    (folder / "plumbing.json").write_text(hoses_json(report), encoding="utf-8")
    tell("drawing hoses")
    (folder / "schematic.svg").write_text(schematic(report, boat.title), encoding="utf-8")
    runs = [hose.run for hose in report.hoses if hose.run is not None]
    if runs:
        drawn = runs_svg(boat, runs, SHEET, f"{boat.title}: runs of hose", run_words(report))
        (folder / "runs.svg").write_text(drawn, encoding="utf-8")


def _hose_rows(report: HoseReport) -> Iterable[Row]:
    for one in report.hoses:
        plan, profile = one.plan, one.profile
        way: Row = ("", "", "", "")
        if profile is not None:
            slope = round(100.0 * profile.slope, 1)
            way = (round(profile.fall, 1), round(profile.climb, 1), slope, len(profile.low_spots))
        along = "no way found" if one.run is None else " > ".join(one.run.through)
        yield (
            one.name, plan.start.name, plan.end.name, plan.kind, plan.hose.name, round(plan.hose.inside, 2),
            round(plan.hose.outside, 2), cut_told(one.to_cut, report.units), round(one.to_cut, 1),
            round(one.length, 1), *way, plan.elbows, one.clips, *one.clamps, along,
        )  # fmt: skip


def _skin_rows(report: HoseReport) -> Iterable[Row]:
    heaviest = report.waters.heaviest if report.waters is not None else ""
    for skin in report.skins:
        least: Row = ("", "") if skin.least is None else (round(skin.least[0], 1), skin.least[1])
        over = [round(skin.over[c], 1) if c in skin.over else "" for c in ("empty", heaviest)]
        yield (
            skin.name, place_told(skin, report.units), *(round(float(v), 1) for v in skin.at),
            "" if skin.bore is None else round(skin.bore, 2), skin.part, over[0], heaviest, over[1], *least,
            skin.shut, skin.wants, " ".join(skin.serves),
            "" if skin.lets_in is None else round(skin.lets_in / LITRE_AN_HOUR),
        )  # fmt: skip


def _pump_rows(report: HoseReport) -> Iterable[Row]:
    for line in report.lines:
        head = (line.pump.name, line.pump.part.name if line.pump.part else "", line.well or line.source,
                line.sink.name)  # fmt: skip
        rated = "" if line.rated is None else round(line.rated / LITRE_AN_HOUR)
        for case, one in line.works.items():
            if one is None:
                yield (*head, case, "", "", 0, rated, "")
            else:
                numbers = (round(one.static), round(one.head), round(one.flow / LITRE_AN_HOUR))
                yield (*head, case, *numbers, rated, round(one.speed / 1000.0, 2))
        if not line.works:
            yield (*head, "", "", "", "", rated, "")


def _write(path: Path, rows: Iterable[Row]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
