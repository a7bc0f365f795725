# ruff: noqa: E501  (a table of odd values)
"""Whatever is done to a boat file, it gives a boat or is refused; nothing else ever comes out."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.boat import Boat, build_boat
from parts.faults import BadInput
from parts.yamlfile import read_text
from tests.model.boats import CONFIGS

ODD: list[Any] = [
    0, 1, -1, -40, 5, 1e-9, 1e5, 10**12, 0.3, "0", "", " ", "hull", "none", "opening", "main", "sole", "aft", "-3/8",
    "1/0", "12 mm", "5' 3\"", "1 km", "90 deg", "x", "a*a", "min()", "min(1, 2)", "(1", "../x", "front.pedal",
    "sole + 1", "sole * sole", "é", "nan", "inf", None, True, False, [], {}, [1], [0, 0], [[0, 0], [1, 1]], [[10, 5]],
    [[40, -5], [40, 5], [60, 5], [60, -5]], [[1, 2], {"angle": 45, "to_x": 50}], {"value": 3}, {"angle": 30, "length": 10},
    {"flange": 0}, {"depth": 3}, {"step": 10, "count": 3}, {"step": 0, "count": 2}, {"down_to": "sole"}, "rect-2x1x0.125",
    "lid-12x12", "square-1x1x0.125", "beam.1", "rim.aft.1", ["beam.1"], {"beam.1": 3}, {"rim.aft.1": 90}, {"beam.2": 45},
]  # fmt: skip


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The paths of all values in nested mappings and lists."""
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [p for key, value in steps for p in ((*path, key), *places(value, (*path, key)))]


def holder(data: Any, path: tuple[Any, ...]) -> Any:
    for step in path[:-1]:
        data = data[step]
    return data


def mutate(data: Any, rng: np.random.Generator) -> str:
    """Changes one thing in `data` and tells what."""
    known = places(data)
    path = known[rng.integers(len(known))]
    inside, key = holder(data, path), path[-1]
    way = rng.choice(["odd"] * 4 + ["drop"] + ["scale"] * 5 + ["swap", "swap", "copy", "rename"])
    if way == "odd":
        inside[key] = copy.deepcopy(ODD[rng.integers(len(ODD))])
    elif way == "drop":
        del inside[key]
    elif way == "scale":
        if isinstance(inside[key], (int, float)) and not isinstance(inside[key], bool):
            inside[key] = inside[key] * float(rng.choice([-1, 0, 0.1, 0.5, 0.9, 1.1, 1.5, 2, 10]))
        elif isinstance(inside[key], str):
            inside[key] = f"({inside[key]}) * {rng.choice([0.1, 0.5, 0.9, 1.1, 1.5, 3])}"
    elif way == "swap" and isinstance(inside, list) and len(inside) > 1:
        other = int(rng.integers(len(inside)))
        inside[key], inside[other] = inside[other], inside[key]
    elif way == "copy":
        source = known[rng.integers(len(known))]
        try:
            inside[key] = copy.deepcopy(holder(data, source)[source[-1]])
        except (KeyError, IndexError, TypeError):
            return "nothing"
    elif way == "rename" and isinstance(inside, dict):
        inside[f"{key}2"] = inside.pop(key)
    return f"{way} {path}"


def outcome(data: Any) -> Boat | BadInput:
    """What comes of a file; anything raised but `BadInput` is for the test to fail on."""
    try:
        return build_boat(read_text(yaml.safe_dump(data, sort_keys=False), "fuzz.yaml"), CONFIGS)
    except BadInput as refused:
        return refused


def dropped(boat: Boat) -> list[str]:
    """What the file tells of and the boat has nothing of: neither a piece nor a finding."""
    layout, data = boat.layout, boat.document.data
    made = {
        "decks": {d.base for d in layout.decks.values() if d.stands_on is None},
        "seat_boxes": {d.base for d in layout.decks.values() if d.stands_on is not None},
        "lockers": {locker.base for locker in layout.lockers.values()},
        "bulkheads": {b.name.split(".")[1] for b in layout.bulkheads},
        "consoles": {c.name.split(".")[1] for c in layout.consoles},
        "fixtures": {f.name.split(".")[1] for f in layout.fixtures},
        "members": {m.name.split(".")[1] for m in boat.members if m.name.startswith("member.")},
    }
    gone = [
        f"{part}.{key}" for part, found in made.items() for key in data.get(part) or {} if key not in found
    ]
    told = {piece for finding in boat.findings for piece in finding.pieces}
    pieces = {piece.name for piece in (*boat.members, *boat.panels, *boat.strips)} | told
    for deck in layout.decks.values():
        own = (data["decks"].get(deck.base) or {}) if deck.stands_on is None else {}
        opened = {opening.base for opening in deck.openings}
        gone += [f"{deck.name}/{key}" for key in own.get("openings") or {} if key not in opened]
        faces = {name for name in pieces if name.startswith(f"{deck.name}/riser")}
        gone += [f"{deck.name}/risers" for _ in [1] if own.get("risers") and not faces]
        added = (own.get("frame") or {}).get("add") or {}
        gone += [f"{deck.name}/{key}" for key in added if f"{deck.name}/{key}" not in pieces]
    sheeted = {name.partition("/")[0] for name in pieces}
    gone += [k for k in (*layout.lockers, *(b.name for b in layout.bulkheads)) if k not in sheeted]
    return gone


def source(name: str) -> Any:
    return read_text((CONFIGS / f"{name}.yaml").read_text(encoding="utf-8"), name).data


@pytest.mark.parametrize("name", ["lake16", "flat14", "vee18"])
@settings(
    max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck), database=None
)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_mangled_file_gives_a_boat_or_is_refused(name, seed):
    rng = np.random.default_rng(seed)
    data = copy.deepcopy(source(name))
    for _ in range(int(rng.choice([1, 1, 1, 2, 4]))):
        mutate(data, rng)
    found = outcome(data)
    if isinstance(found, BadInput):
        assert found.faults
        for fault in found.faults:
            assert fault.wrong
            assert len(str(fault)) <= 400
            assert "\n" not in str(fault)
    else:
        assert all(np.isfinite([*m.a, *m.b, m.length]).all() and m.length > 0 for m in found.members)
        assert all(np.isfinite(p.area) and p.area > 0 for p in found.panels)
        assert dropped(found) == []
