"""The head of a PLY file, held against the file's length before it is read."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

from parts.faults import BadInput, Place

SIZES = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16"), 2),
    **dict.fromkeys(("int", "uint", "float", "int32", "uint32", "float32"), 4),
    **dict.fromkeys(("double", "float64"), 8),
}
LONGEST_HEAD = 200
CURE = "export or copy the scan anew"


def check_ply(path: Path, place: Place, most: int) -> None:
    """Refuses a PLY whose head is broken, that holds too many points, or that ends before its points do.

    Raises:
        BadInput: so.
    """
    with path.open("rb") as file:
        head = []
        for line in islice(file, LONGEST_HEAD):
            head.append(line.decode("ascii", "replace").split())
            if head[-1] == ["end_header"]:
                break
        else:
            raise BadInput.at(place, "its head has no end", CURE)
        start = file.tell()
        if head[0] != ["ply"]:
            raise BadInput.at(place, "this is no PLY file", CURE)
        kind, count, width = _vertices(head, place)
        if count > most:
            right = "thin it to a point every 3 mm, or crop it to the hull"
            raise BadInput.at(place, f"{count / 1e6:.1f} million points, more than {most / 1e6:.0f}", right)
        if kind == "ascii":
            there = sum(1 for _ in islice(file, count))
        else:
            there = (path.stat().st_size - start) // width
    if there < count:
        raise BadInput.at(place, f"it breaks off after {there} of {count} points", CURE)


def _vertices(head: list[list[str]], place: Place) -> tuple[str, int, int]:
    """Kind of the file, how many points, and the bytes of one."""
    kind, count, width, inside = "", 0, 0, False
    try:
        for words in head:
            if words[:1] == ["format"]:
                kind = words[1]
            elif words[:1] == ["element"]:
                inside = words[1] == "vertex"
                count = int(words[2]) if inside else count
            elif words[:1] == ["property"] and inside:
                width += SIZES[words[1]]
    except (IndexError, ValueError, KeyError) as error:
        raise BadInput.at(place, f"its head says '{' '.join(words)[:40]}'", CURE) from error
    if count <= 0 or width <= 0:
        raise BadInput.at(place, "its head names no points", CURE)
    return kind, count, width
