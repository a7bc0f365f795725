"""What the plans of a build cut up and leave over, as records and as the file `plans.json`."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, Protocol

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from cutlists.blank import Blank
from parts.faults import BadInput, Place

FORMAT = "athwart-plans"
VERSION = 1
"""Raised when a reader of the older form would misread the newer."""
NAME = "plans.json"


@dataclass(frozen=True)
class Use:
    """One stick or sheet that a plan cuts up.

    Attributes:
        blank: what it is before.
        source: where it comes from: `buy`, `stock` (the stock file) or `shop` (the shop file).
        label: what the plan calls it, where it is on hand.
        item: its number in the stock file.
        price: of one to buy; None where it is not known.
        used: what of it becomes pieces, mm or mm2.
        kept: offcuts worth keeping.
        pieces: marks of the pieces, in the order of the plan.
    """

    blank: Blank
    source: Literal["buy", "stock", "shop"] = "buy"
    label: str = ""
    item: int | None = None
    price: float | None = None
    used: float = 0.0
    kept: tuple[Blank, ...] = ()
    pieces: tuple[str, ...] = ()


class Uses(Protocol):
    """A plan of any kind, as the stock and the buy list see it."""

    def uses(self) -> Iterable[Use]:
        """Every stick or sheet that it cuts up."""


@dataclass(frozen=True)
class CutPlan:
    """All that a build cuts up.

    Attributes:
        boat: its short name.
        uses: every stick and sheet.
        stock: identity of the stock file that was counted on; empty where none was.
    """

    boat: str
    uses: tuple[Use, ...]
    stock: str = ""

    @property
    def identity(self) -> str:
        """A digest that tells the plan from others."""
        told = json.dumps(self._told(), sort_keys=True, ensure_ascii=False)
        return hashlib.sha256(told.encode()).hexdigest()[:24]

    def _told(self) -> dict[str, Any]:
        return {"boat": self.boat, "stock": self.stock, "uses": [_use_record(use) for use in self.uses]}

    def text(self) -> str:
        """The file: JSON, a line for each stick or sheet."""
        told = self._told()
        head = {
            "format": FORMAT,
            "version": VERSION,
            "units": {"length": "mm", "area": "mm2"},
            "plan": self.identity,
            "boat": told["boat"],
            "stock": told["stock"],
            "pieces": dict(sorted(Counter(mark for use in self.uses for mark in use.pieces).items())),
        }
        lines = [f"{json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}" for key, value in head.items()]
        rows = ",\n".join(json.dumps(row, ensure_ascii=False) for row in told["uses"])
        return "{\n" + ",\n".join([*lines, f'"uses": [\n{rows}\n]']) + "\n}\n"


def _use_record(use: Use) -> dict[str, Any]:
    return {
        **_blank_record(use.blank),
        "source": use.source,
        "label": use.label,
        "item": use.item,
        "price": None if use.price is None else float(use.price),
        "used": round(float(use.used), 1),
        "kept": [_blank_record(blank) for blank in use.kept],
        "pieces": list(use.pieces),
    }


def _blank_record(blank: Blank) -> dict[str, Any]:
    sides = {"length": round(float(blank.length), 3)}
    if blank.width:
        sides["width"] = round(float(blank.width), 3)
    rings = {"rings": [[list(point) for point in ring] for ring in blank.rings]} if blank.rings else {}
    return {"kind": blank.kind, "name": blank.name, **sides, **rings}


class _BlankRow(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    kind: Literal["stick", "sheet", "mat"]
    name: str
    length: float = Field(gt=0, le=1e6)
    width: float = Field(default=0.0, ge=0, le=1e6)
    rings: tuple[tuple[tuple[float, float], ...], ...] = ()

    def blank(self) -> Blank:
        """The record."""
        return Blank(self.kind, self.name, self.length, self.width, self.rings)


class _UseRow(_BlankRow):
    source: Literal["buy", "stock", "shop"]
    label: str
    item: int | None
    price: float | None
    used: float
    kept: tuple[_BlankRow, ...]
    pieces: tuple[str, ...]


class _PlanFile(BaseModel):
    plan: str
    boat: str
    stock: str
    uses: tuple[_UseRow, ...]


def read_plans(folder: Path) -> CutPlan:
    """The plan in a build folder.

    Raises:
        BadInput: there is none, it cannot be read, or it was changed after the build.
    """
    path = folder / NAME
    place = Place(str(path), None, "")
    if not path.is_file():
        raise BadInput.at(place, "there is no cut plan here", "give a folder that `athwart build` wrote")
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data.get("format") != FORMAT or data.get("version") != VERSION:
            raise BadInput.at(place, "another version of Athwart wrote this plan", "build again")
        file = _PlanFile.model_validate(data)
        plan = CutPlan(file.boat, tuple(_use(row) for row in file.uses), file.stock)
    except (ValueError, ValidationError, AttributeError, RecursionError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput.at(place, "this is no cut plan that can be read", "build again") from None
    if plan.identity != file.plan:
        raise BadInput.at(place, "the plan was changed after the build", "build again")
    return plan


def _use(row: _UseRow) -> Use:
    kept = tuple(blank.blank() for blank in row.kept)
    return Use(row.blank(), row.source, row.label, row.item, row.price, row.used, kept, row.pieces)
