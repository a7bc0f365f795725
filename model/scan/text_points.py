"""Points as text: x, y and z first on each line, by spaces, commas, semicolons or tabs."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

import numpy as np

from model.geometry import Array
from parts.faults import BadInput, Place

LOOKED_AT = 50
"""Lines at the top among which the first point must be."""
CURE = "write x, y and z first on each line, with points as decimal marks"


def read_text_points(path: Path, most: int) -> Array:
    """The points, `(n, 3) float`; one more than `most` at most.

    Raises:
        BadInput: the text holds something else than numbers, told with its line.
    """
    place = Place(str(path), None, "")
    try:
        with path.open(encoding="utf-8-sig", errors="strict") as file:
            top = list(islice(file, LOOKED_AT))
        skipped, mark = _shape(top, place)
        return np.loadtxt(
            path,
            delimiter=mark,
            comments=("#", "//"),
            skiprows=skipped,
            usecols=(0, 1, 2),
            ndmin=2,
            max_rows=most + 1,
            encoding="utf-8-sig",
        ).reshape(-1, 3)
    except UnicodeDecodeError as error:
        raise BadInput.at(place, "this is no text", "export the scan as PLY or as text") from error
    except ValueError as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput.at(place, f"the points cannot be read ({str(error)[:100]})", CURE) from error


def _shape(top: list[str], place: Place) -> tuple[int, str | None]:
    """How many lines stand above the first point, and what parts its numbers; None for spaces."""
    for row, line in enumerate(top):
        words = line.strip()
        if not words or words.startswith(("#", "//")):
            continue
        for mark in (";", ",", None):
            if mark is None or mark in words:
                cells = words.split(mark)
                if len(cells) >= 3 and all(_is_number(cell) for cell in cells[:3]):
                    return row, mark
                break
    raise BadInput.at(place, f"no point stands on the first {len(top)} lines", CURE)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
