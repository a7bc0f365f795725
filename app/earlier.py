"""What a build takes over from the one it replaces: the piece marks, its revision, and what was cut of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from cutlists.boat_json import marks_before
from cutlists.revision import Earlier, earlier_build
from parts.faults import BadInput, Place


@dataclass(frozen=True)
class Before:
    """The build in a folder before it is replaced.

    Attributes:
        marks: mark and signature by name; None where there is no build.
        build: its revision and its pieces.
        cut: how many of each mark were cut, by the stock's log; None where no stock is kept.
    """

    marks: dict[str, tuple[str, str]] | None
    build: Earlier
    cut: dict[str, int] | None


def build_before(target: Path, stock: Path | None) -> Before:
    """The build in `target`.

    Args:
        target: folder of a build, there or not.
        stock: the shop's stock file, there or not.

    Raises:
        BadInput: there is a build, but its marks cannot be read; to go on would renumber pieces already cut.
    """
    path = target / "boat.json"
    marks = earlier_marks(target)
    if marks is None:
        return Before(None, Earlier(), None)
    return Before(marks, earlier_build(path.read_text(encoding="utf-8")), _cut(target, stock))


def _cut(target: Path, stock: Path | None) -> dict[str, int] | None:
    """How many of each mark of a build's plan were cut: all of them once the plan is marked so."""
    from cutlists.plan_file import read_plans
    from cutlists.store.stock import open_stock

    if stock is None or not stock.is_file():
        return None
    try:
        plan = read_plans(target)
    except BadInput:
        return None
    with open_stock(stock) as held:
        times = sum(entry.plan == plan.identity and entry.undone_by is None for entry in held.log())
    return {
        mark: times * n for mark, n in Counter(m for use in plan.uses for m in use.pieces).items() if times
    }


def earlier_marks(target: Path) -> dict[str, tuple[str, str]] | None:
    """Mark and signature by name of the build in `target`; None where there is none.

    Raises:
        BadInput: there is one, but its marks cannot be read; to go on would renumber pieces already cut.
    """
    path = target / "boat.json"
    if not path.is_file():
        return None
    try:
        return marks_before(path.read_text(encoding="utf-8"))
    except ValueError as error:
        wrong = f"the marks of the earlier build cannot be read ({error})"
        raise BadInput.at(
            Place(str(path), None, ""), wrong, "build into another folder to number anew"
        ) from None
