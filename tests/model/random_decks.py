"""Decks made at random in the box and the flared hull, for what must hold of any frame."""

from __future__ import annotations

from typing import Any

import numpy as np

from tests.model.boats import BOX, FLARED

SECTIONS = ("rect-25x50x3", "rect-50x25x3", "square-25x25x3")


def random_boat(rng: np.random.Generator, openings: int = 4) -> dict[str, Any]:
    """Sections of a boat file with one deck `main`; some are refused, as openings may overlap."""
    aft, forward = rng.uniform(150, 700), rng.uniform(1500, 2850)
    deck: dict[str, Any] = {
        "height": float(rng.uniform(200, 450)),
        "aft": float(aft),
        "forward": float(forward),
        "frame": {
            "section": str(rng.choice(SECTIONS)),
            "beam_span": float(rng.uniform(250, 600)),
            "post_span": float(rng.uniform(400, 1000)),
            "direction": str(rng.choice(["athwart", "athwart", "fore_aft"])),
        },
        "openings": {f"o{k}": _opening(rng, aft, forward) for k in range(int(rng.integers(0, openings + 1)))},
    }
    way = rng.integers(4)
    if way == 0:
        deck["port"] = float(rng.uniform(150, 550))
    elif way == 1:
        inner, turn = float(rng.uniform(-500, -150)), float(rng.uniform(aft + 400, forward - 200))
        deck["starboard"] = [
            [float(forward), inner],
            [turn, inner],
            {"angle": float(rng.uniform(195, 260)), "to_y": -700},
        ]
    elif way == 2:
        at, tip = float(aft), float(rng.uniform(50, 250))
        deck["aft"] = [[at, -300], [at + tip, -50], [at + tip, 50], [at, 300]]
    return {"hull": BOX if rng.random() < 0.5 else FLARED, "decks": {"main": deck}}


def _opening(rng: np.random.Generator, aft: float, forward: float) -> dict[str, Any]:
    length, width = float(rng.uniform(120, 500)), float(rng.uniform(120, 400))
    middle = [float(rng.uniform(aft + 100, forward - 100)), float(rng.uniform(-400, 400))]
    found: dict[str, Any] = {"centre": middle, "length": length, "width": width}
    if rng.random() < 0.2:
        found["rotate"] = float(rng.choice([10, 30, 45, 60]))
    if rng.random() < 0.3:
        found["radius"] = float(rng.uniform(5, 50))
    return found
