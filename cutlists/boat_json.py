"""The whole boat as one JSON file: every piece with its numbers, joints, findings, and the marks in use.

Lengths in mm, areas in mm2, masses in kg, angles in degrees, points in the boat's frame. Numbers are rounded
for reading; geometry never reads them back. The marks are read back, by `marks_before`, so that pieces keep
theirs from build to build.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from cutlists.revision import Revision, revision_data
from cutlists.scene import Item, items
from model.end_cut import EndCut, SawLimits, cut_piece
from model.hole import Hole
from model.hull import Hull
from model.member import Member
from model.panel import Panel
from model.strip import Strip

if TYPE_CHECKING:
    from model.boat import Boat, Fixture, Joint
    from model.findings import Finding
    from model.geometry import Array, Plane

FORMAT = "athwart-boat"
VERSION = 1
"""Raised when a reader of the older form would misread the newer."""
UNITS = {"length": "mm", "area": "mm2", "mass": "kg", "angle": "degree"}

Known = Mapping[str, tuple[str, str]]
"""For each name of this and earlier builds its (mark, signature)."""


def boat_json(
    boat: Boat,
    previous: Known | None = None,
    saw: SawLimits | None = None,
    findings: Sequence[Finding] | None = None,
    revision: Revision | None = None,
) -> str:
    """The boat as JSON text, a line for each piece, always in the same order.

    Args:
        boat: the finished boat.
        previous: marks of earlier builds; those of pieces that are gone are handed on to the next build, so
            that their numbers are never given again.
        saw: what the shop's saw reaches, which decides the face that lies down; the usual reach unless given.
        findings: of all checks; the boat's own unless given.
        revision: of the build; the first unless given.
    """
    data = boat_data(boat, previous or {}, saw, findings, revision)
    return "{\n" + ",\n".join(f"{_text(key)}: {_rows(value)}" for key, value in data.items()) + "\n}\n"


def _rows(value: Any) -> str:
    """A list with each entry on a line of its own, so that a changed piece is a changed line."""
    if not isinstance(value, list) or not value:
        return _text(value)
    return "[\n" + ",\n".join(_text(row) for row in value) + "\n]"


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def boat_data(
    boat: Boat,
    previous: Known,
    saw: SawLimits | None = None,
    findings: Sequence[Finding] | None = None,
    revision: Revision | None = None,
) -> dict[str, Any]:
    """What `boat_json` writes, as plain dictionaries and lists."""
    pieces = [_piece(item, boat, saw) for item in items(boat)]
    present = {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}
    known = {**previous, **present}
    return {
        "format": FORMAT,
        "version": VERSION,
        "units": UNITS,
        "boat": {"name": boat.name, "title": boat.title, "shown_in": boat.units},
        **revision_data(revision or Revision()),
        "totals": _totals(pieces),
        "pieces": pieces,
        "joints": [_joint(joint) for joint in boat.joints],
        "findings": [_finding(finding) for finding in (boat.findings if findings is None else findings)],
        "marks": [
            {"name": name, "mark": mark, "signature": signature}
            for name, (mark, signature) in sorted(known.items())
        ],
    }


def marks_before(text: str) -> dict[str, tuple[str, str]]:
    """The marks of an earlier build from its JSON: for each name its (mark, signature).

    Raises:
        ValueError: the text is not a boat file of this version.
    """
    try:
        told = json.loads(text)
        if told["format"] != FORMAT or told["version"] != VERSION:
            raise ValueError(f"not a boat of format {FORMAT} {VERSION}")
        return {str(row["name"]): (str(row["mark"]), str(row["signature"])) for row in told["marks"]}
    except (KeyError, TypeError, json.JSONDecodeError) as fault:
        raise ValueError(f"not a boat of format {FORMAT} {VERSION}: {fault}") from fault


def _piece(item: Item, boat: Boat, saw: SawLimits | None) -> dict[str, Any]:
    """One piece: what all have, then what its kind has."""
    record = item.record
    found: dict[str, Any] = {"name": item.name, "mark": item.mark, "group": "/".join(item.path)}
    if isinstance(record, Member):
        found |= _member(record, saw)
    elif isinstance(record, Panel):
        found |= _panel(record)
    elif isinstance(record, Strip):
        found |= _strip(record)
    elif isinstance(record, Hull):
        found |= _hull(record)
    else:
        found |= _fixture(record)
    place = boat.place(item.name)
    if place is not None:
        found["from"] = {"file": Path(place.file).name, "line": place.line, "key": place.key}
    return found


def _member(member: Member, saw: SawLimits | None) -> dict[str, Any]:
    cuts = cut_piece(member, saw)
    section = member.section
    return {
        "kind": "member",
        "section": section.name,
        "alloy": section.alloy.name,
        "length": _mm(member.length),
        "short_lengths": [_mm(short) for short in member.short_lengths],
        "mass": _kg(member.mass),
        "centre": _point(member.centre),
        "axis": [_point(member.a), _point(member.b)],
        "roll": _degrees(member.roll),
        "ends": [
            {**_cut(cut), **_plane(plane)}
            for cut, plane in ((cuts.end_a, member.end_a), (cuts.end_b, member.end_b))
        ],
        "turn": None if cuts.turn is None else _degrees(cuts.turn),
        "holes": [_drilled(hole, member) for hole in member.holes],
        "box": [_point(corner) for corner in member.box],
    }


def _drilled(hole: Hole, member: Member) -> dict[str, Any]:
    """A hole through the piece: its middle from the long point of end A, and in the boat."""
    return {
        "from_a": _mm(hole.along - float(member.prism.near_long[0])),
        "off_axis": _mm(hole.off),
        "runs_across": hole.runs,
        "diameter": _mm(hole.diameter),
        "middle": _point(member.frame.to_boat(hole.middle)),
    }


def _cut(cut: EndCut) -> dict[str, Any]:
    return {
        "end": cut.end,
        "mitre": _degrees(cut.mitre),
        "bevel": _degrees(cut.bevel),
        "face_down": cut.face,
        "flags": list(cut.flags),
    }


def _plane(plane: Plane) -> dict[str, Any]:
    return {"normal": [_round(part, 9) for part in plane.normal], "offset": _mm(plane.offset)}


def _sheet_numbers(piece: Panel | Strip) -> dict[str, Any]:
    length, width = piece.extents
    return {
        "kind": "panel" if isinstance(piece, Panel) else "strip",
        "role": piece.role,
        "sheet": piece.sheet.name,
        "alloy": piece.sheet.alloy.name,
        "thickness": _mm(piece.sheet.thickness),
        "area": _round(piece.area, 1),
        "extents": [_mm(length), _mm(width)],
        "mass": _kg(piece.mass),
        "centre": _point(piece.centre),
        "box": [_point(corner) for corner in piece.box],
    }


def _panel(panel: Panel) -> dict[str, Any]:
    frame = panel.frame
    return _sheet_numbers(panel) | {
        "holes": len(panel.holes),
        "frame": {
            "origin": _point(frame.origin),
            **{name: [_round(part, 9) for part in getattr(frame, name)] for name in ("x", "y", "z")},
        },
        **_bends(panel),
    }


def _bends(panel: Panel) -> dict[str, Any]:
    """The size of the flat pattern of a bent piece, and its bends; nothing of a plain one."""
    if not panel.bend_lines:
        return {}
    length, width = panel.cut_extents
    bends = [
        {
            "direction": "up" if bend.up else "down",
            "angle": _degrees(bend.angle),
            "inside_radius": _mm(bend.radius),
            "line": [_point(end) for end in bend.ends],
            **({"step": bend.step} if bend.step else {}),
        }
        for bend in panel.bend_lines
    ]
    flat: dict[str, Any] = {"extents": [_mm(length), _mm(width)], "bends": bends}
    if panel.corner_cuts:
        flat["mitres"] = [
            {"at": _point(cut.at), "off_square": _degrees(cut.angle), "gap": _mm(cut.gap)}
            for cut in panel.corner_cuts
        ]
    return {"flat": flat}


def _strip(strip: Strip) -> dict[str, Any]:
    flat = strip.flattening
    errors = {"edge": flat.edge_error, "ruling": flat.ruling_error, "twist": flat.twist}
    return _sheet_numbers(strip) | {"flattening_error": {name: _mm(size) for name, size in errors.items()}}


def _hull(hull: Hull) -> dict[str, Any]:
    return {
        "kind": "hull",
        "length": _mm(hull.length),
        "thickness": _mm(hull.thickness),
        "symmetrical": hull.symmetrical,
        "lines": list(hull.lines),
    }


def _fixture(fixture: Fixture) -> dict[str, Any]:
    volumes = np.array([prism.volume for prism in fixture.prisms])
    centres = np.array([prism.centre for prism in fixture.prisms])
    # As if of one even density, which is all that is known of a bought part.
    centre = volumes @ centres / volumes.sum() if len(volumes) else fixture.frame.origin
    boxes = [prism.box for prism in fixture.prisms]
    low = np.min([box[0] for box in boxes], axis=0) if boxes else fixture.frame.origin
    high = np.max([box[1] for box in boxes], axis=0) if boxes else fixture.frame.origin
    return {
        "kind": fixture.kind,
        "part": getattr(fixture.part, "name", ""),
        "mass": _kg(fixture.mass),
        "centre": _point(centre),
        "box": [_point(low), _point(high)],
    }


def _totals(pieces: list[dict[str, Any]]) -> dict[str, Any]:
    """Count and mass of the pieces by top group, in order of appearance."""
    found: dict[str, dict[str, Any]] = {}
    for piece in pieces:
        row = found.setdefault(piece["group"].partition("/")[0], {"count": 0, "mass": 0.0})
        row["count"] += 1
        row["mass"] = _kg(row["mass"] + piece.get("mass", 0.0))
    return found


def _joint(joint: Joint) -> dict[str, Any]:
    return {
        "kind": joint.kind,
        "member": joint.member,
        "end": joint.end,
        "other": joint.other,
        "point": _point(joint.point),
        "gap": _mm(joint.gap),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "pieces": list(finding.pieces),
        "what": finding.what,
        "cure": finding.cure,
        "where": None if finding.where is None else _point(finding.where),
    }


def _round(value: float, places: int) -> float | None:
    """Rounded, minus zero made zero; None for what is no number, which JSON cannot say."""
    return round(float(value), places) + 0.0 if math.isfinite(value) else None


def _mm(value: float) -> float | None:
    return _round(value, 3)


def _kg(value: float) -> float:
    return _round(value, 4) or 0.0


def _degrees(angle: float) -> float | None:
    return _round(math.degrees(angle), 4)


def _point(point: Array) -> list[float | None]:
    return [_mm(part) for part in point]
