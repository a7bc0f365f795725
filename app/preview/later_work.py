"""What takes longer than a picture, as tasks for a process of its own: checks one by one, then the plans."""

from __future__ import annotations

import os
import signal
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from app.preview.pieces import ShownPiece, loose_piece
from app.preview.values import Values, with_values
from parts.faults import BadInput, one_line
from parts.yamlfile import read_text

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.listed import Report
    from model.findings import Finding

NEST_SECONDS = 1.5
"""Time for quick nests."""

PLANS = "plans"


@dataclass(frozen=True)
class Order:
    """The boat that a task is about; equal orders are one boat."""

    path: str
    text: str
    values: tuple[tuple[str, str], ...]
    marks: tuple[tuple[str, str, str], ...]

    @classmethod
    def of(cls, path: Path, text: str, values: Values, marks: dict[str, tuple[str, str]]) -> Order:
        """The order of a boat file with some of its values moved."""
        told = tuple((name, *pair) for name, pair in sorted(marks.items()))
        return cls(str(path), text, tuple(sorted(values.items())), told)


@dataclass(frozen=True)
class Answer:
    """What a task came to.

    Attributes:
        findings: of a check.
        summary: what it looked at.
        sections: to show.
        pieces: to show besides those of the boat, by name.
        wrong: why it came to nothing; empty if it did not.
    """

    findings: tuple[Finding, ...] = ()
    summary: tuple[str, ...] = ()
    sections: dict[str, Any] = field(default_factory=dict)
    pieces: dict[str, ShownPiece] = field(default_factory=dict)
    wrong: str = ""


def set_up() -> None:
    """Begins the process: it gives way to the one that draws, and leaves stopping to it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.nice(10)


def tasks() -> list[tuple[str, str]]:
    """Name of every task and what to say while it is done, the quick ones first."""
    from model.checks.listed import CHECKS

    quick = ("rods", "struts", "float")
    checks = sorted(CHECKS, key=lambda check: quick.index(check.name) if check.name in quick else len(quick))
    return [*((check.name, check.doing) for check in checks), (PLANS, "planning sticks and sheets")]


def work(order: Order, task: str) -> Answer:
    """Does one task; what goes wrong in it is said, not raised."""
    try:
        boat, shop = _boat_of(order)
        return _plans(boat, shop) if task == PLANS else _check(boat, shop, task)
    except BadInput as error:
        return Answer(wrong=str(error.faults[0]))
    except Exception as error:
        return Answer(wrong=one_line(f"a fault of Athwart itself, {type(error).__name__}: {error}"))


_LAST: dict[str, Any] = {}


def _boat_of(order: Order) -> tuple[Boat, Shop]:
    """The boat of an order; the last one is kept, for all tasks of a boat come in a row."""
    if _LAST.get("order") != order:
        from cutlists.shop_file import shop_beside
        from model.boat import build_boat

        path = Path(order.path)
        document = with_values(read_text(order.text, order.path), dict(order.values))
        marks = {name: (mark, signature) for name, mark, signature in order.marks}
        shop = shop_beside(path)
        if shop.stock is not None and not shop.stock.resolve().is_relative_to(path.parent.resolve()):
            shop = replace(shop, stock=None)  # nothing outside the boat's folder is opened
        boat = build_boat(document, path.parent, None, marks, shop.catalogue, limber=shop.limber)
        _LAST.update(order=order, boat=boat, shop=shop)
    return _LAST["boat"], _LAST["shop"]


def _check(boat: Boat, shop: Shop, name: str) -> Answer:
    from model.checks.listed import CHECKS

    check = next(check for check in CHECKS if check.name == name)
    report = check.run(boat, shop.asked)
    said = report.summary()
    lines = (said,) if isinstance(said, str) else said
    sections, pieces = extras(boat, name, report)
    return Answer(tuple(_placed(f, boat) for f in report.findings), lines, sections, pieces)


def _placed(finding: Finding, boat: Boat) -> Finding:
    """The finding with its line of the file."""
    place = finding.place or next(filter(None, (boat.place(name) for name in finding.pieces)), None)
    return replace(finding, place=place)


def extras(boat: Boat, name: str, report: Report) -> tuple[dict[str, Any], dict[str, ShownPiece]]:
    """What a check has to show besides its findings: sections, and pieces such as rods in their locker."""
    from app.preview.plan_tables import afloat_section
    from app.preview.uses import strength_sections
    from model.capacity.float_report import FloatReport
    from model.rods.check import RodReport
    from model.strength.check import StrengthReport
    from model.ways.check import WaysReport

    if isinstance(report, FloatReport):
        return {"afloat": afloat_section(boat, report)}, {}
    if isinstance(report, RodReport):
        return {}, rod_pieces(report)
    if isinstance(report, WaysReport):
        return {}, run_shown(report)
    if isinstance(report, StrengthReport):
        return strength_sections(boat, report), {}
    return {}, {}


def rod_pieces(report: Any) -> dict[str, ShownPiece]:
    """Every rod that was stowed, where it lies."""
    from model.rods.stow import rod_triangles

    found = {}
    for place in report.places:
        for number, stowed in enumerate(place.stowed, start=1):
            if stowed.pose is None:
                continue
            triangles = rod_triangles(stowed.rod, stowed.pose)
            name = f"rod.{stowed.rod.name}.{place.place.name}.{number}"
            kind = f"rod in {place.place.name}"
            found[name] = loose_piece(name, ("rods",), kind, "#7a3b12", np.asarray(triangles))
    return found


def run_shown(report: Any) -> dict[str, ShownPiece]:
    """Every wire, hose and chase as it lies."""
    from cutlists.run_pieces import chase_pieces, run_pieces

    kinds = {
        run.name: f"{run.kind}, {run.diameter:.0f} mm thick, {run.length / 1000.0:.2f} m long"
        for run in report.runs
    }
    pieces = (*run_pieces(report.runs), *chase_pieces(report.passages))
    return {
        piece.name: loose_piece(
            piece.name, piece.path, kinds.get(piece.name, "chase"), piece.colour.hexadecimal,
            piece.mesh.triangles,
        )
        for piece in pieces
    }  # fmt: skip


def _plans(boat: Boat, shop: Shop) -> Answer:
    from app.preview.plan_tables import plan_sections
    from cutlists.plans import make_plans

    plans = make_plans(boat, shop.searching(NEST_SECONDS))
    return Answer(sections=plan_sections(plans, boat.units, shop.saw.denominator))
