"""Small boats for tests: hulls with straight sides, in mm, whose numbers can be worked out by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml
from shapely import MultiPoint, Polygon

from model.boat import Boat, build_boat
from model.member import Member
from parts.faults import BadInput, Fault
from parts.yamlfile import Document, read_text

CONFIGS = Path(__file__).parents[2] / "configs"

LENGTH, HALF, DEPTH = 3000.0, 600.0, 500.0
"""The box: 3 m long, 1.2 m wide, 0.5 m deep, square all over."""

BOTTOM, FLARE = 500.0, 0.4
"""The flared boat: half-breadth at the bottom, and how much it grows for each mm of height."""

SHEET, GAP, FIT = 2.0, 6.0, 3.0
"""Sheet thickness, gap of the sheet and gap of the frame from the skin."""

TUBE_WIDTH, TUBE_HEIGHT = 25.0, 50.0
LEDGER_GAP, BEAM_SPAN, POST_SPAN = 10.0, 400.0, 700.0

DEFAULTS = {
    "section": "rect-25x50x3",
    "post_section": "square-25x25x3",
    "sheet": "5052-2mm",
    "beam_span": BEAM_SPAN,
    "post_span": POST_SPAN,
    "fit_gap": FIT,
    "hull_gap": GAP,
    "ledger_gap": LEDGER_GAP,
    "seam_gap": 1,
}


def hull(bottom: float = HALF, flare: float = 0.0, **more: Any) -> dict[str, Any]:
    """The `hull:` of a boat with a flat bottom at height 0 and upright or flared sides all along."""
    lines = {"keel": [0, 0], "chine": [bottom, 0], "gunwale": [bottom + flare * DEPTH, DEPTH]}
    return {
        "lines": list(lines),
        "loft": "straight",
        "thickness": 2,
        "bow": {"rake": 0},
        "stations": [{"at": at, **lines} for at in (0, LENGTH / 2, LENGTH)],
        **more,
    }


BOX = hull()
FLARED = hull(BOTTOM, FLARE)
DECK = {"height": 300, "aft": 200, "forward": 2800}


def boat_file(**sections: Any) -> dict[str, Any]:
    """A boat file as a mapping: the box, the defaults above, and the sections given."""
    defaults = {**DEFAULTS, **sections.pop("defaults", {})}
    return {"boat": "test", "units": "mm", "hull": BOX, "defaults": defaults, **sections}


def document(data: Any, name: str = "test.yaml") -> Document:
    """What the reader makes of a mapping written out as YAML."""
    return read_text(yaml.safe_dump(data, sort_keys=False), name)


def build(previous: dict[str, tuple[str, str]] | None = None, **sections: Any) -> Boat:
    """The boat of `boat_file(**sections)`."""
    return build_boat(document(boat_file(**sections)), CONFIGS, previous=previous)


def build_text(text: str) -> Boat:
    """The boat of a boat file's text."""
    return build_boat(read_text(text, "test.yaml"), CONFIGS)


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults for which a boat file's text is refused; none if it is not."""
    try:
        build_text(text)
    except BadInput as refused:
        return refused.faults
    return ()


@cache
def demo(name: str) -> Boat:
    """A boat of `configs/`."""
    text = (CONFIGS / f"{name}.yaml").read_text(encoding="utf-8")
    return build_boat(read_text(text, f"{name}.yaml"), CONFIGS)


def deck_members(boat: Boat, deck: str) -> list[Member]:
    """The bars of a deck's frame, its posts left out."""
    return [m for m in boat.members if m.name.startswith(f"{deck}/") and "/post." not in m.name]


def footprint(boat: Boat, deck: str, member: Member) -> Polygon:
    """What a member covers in the plane of a deck."""
    corners = boat.layout.decks[deck].frame.to_frame(member.corners.reshape(-1, 3))[:, :2]
    return MultiPoint(corners).convex_hull


def named(boat: Boat, name: str) -> Any:
    """The member, panel or strip of a name."""
    return next(p for p in (*boat.members, *boat.panels, *boat.strips) if p.name == name)
