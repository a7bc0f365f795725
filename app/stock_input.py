"""What is typed after `athwart stock`, read to records."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cutlists.blank import Blank, Kind, rings_fault
from cutlists.shop_file import Shop, read_shop
from parts.faults import BadInput, FaultList, Place, did_you_mean
from parts.lengths import parse_length

if TYPE_CHECKING:
    import shapely

HOW = "write a line `x, y` for each corner"
_HEAD = re.compile(r"\s*x\s*[,;]\s*y\s*", re.IGNORECASE)
MOST = 1000
"""Of one kind in one go, and corners of an outline; more is a slip of the finger."""


def shop_of(given: Path | None) -> Shop:
    """The shop whose stock is meant: of a shop file, of a folder, or of the folder one is in.

    Raises:
        BadInput: there is no shop file, or it has faults.
    """
    path = given or Path()
    path = path / "shop.yaml" if path.is_dir() else path
    if not path.is_file():
        raise BadInput.at(
            Place(str(path), None, ""), "there is no shop file", "name it or its folder with --shop"
        )
    return read_shop(path)


def stick_of(shop: Shop, section: str, length: Sequence[str]) -> Blank:
    """A stick as typed: the name of a section, and a length."""
    if section not in shop.catalogue.sections:
        raise _fault(
            "section",
            f"the catalogue has no section '{section}'",
            did_you_mean(section, shop.catalogue.sections),
        )
    return Blank("stick", shop.catalogue.sections[section].stock, _side(" ".join(length), "length", shop))


def sheet_of(shop: Shop, kind: Kind, name: str, size: Sequence[str], outline: Path | None) -> Blank:
    """A sheet as typed: its name, and `WIDTH x LENGTH` or a file with its outline."""
    if kind == "sheet" and name not in shop.catalogue.sheets:
        raise _fault(
            "sheet", f"the catalogue has no sheet '{name}'", did_you_mean(name, shop.catalogue.sheets)
        )
    if (outline is None) == (not size):
        raise _fault("size", "one size is wanted", "write `4ft x 8ft`, width first, or give --outline FILE")
    if outline is not None:
        return Blank.of_polygon(kind, name, read_outline(outline, shop.units))
    sides = [part.strip() for part in re.split(r"[xX×]", " ".join(size))]
    if len(sides) != 2 or not all(sides):
        raise _fault("size", f"'{' '.join(size)}' is no size", "write `4ft x 8ft`, width first")
    width, length = (_side(text, "size", shop) for text in sides)
    return Blank(kind, name, length, width)


def _side(text: str, key: str, shop: Shop) -> float:
    try:
        found = parse_length(text, shop.units)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        raise _fault(key, wrong, right) from None
    if found < 1.0:
        raise _fault(key, f"{text} is too short to lie in a rack", "give a length above 1 mm")
    return found


def _fault(key: str, wrong: str, right: str) -> BadInput:
    return BadInput.at(Place("stock add", None, key), wrong, right)


def item_numbers(words: Iterable[str]) -> list[int]:
    """Numbers from words such as `3` and `5-8`.

    Raises:
        BadInput: a word is something else.
    """
    found: list[int] = []
    for word in " ".join(words).replace(",", " ").split():
        run = re.fullmatch(r"(\d{1,9})(?:-(\d{1,9}))?", word)
        low, high = (int(run[1]), int(run[2] or run[1])) if run else (1, 0)
        if not low <= high < low + MOST:
            raise BadInput.at(
                Place("stock take", None, "item"), f"'{word}' is no item number", "write 3 or 5-8"
            )
        found += range(low, high + 1)
    return found


def read_outline(path: Path, units: str) -> shapely.Polygon:
    """The outline in a file: a line `x, y` for each corner, x along the grain; after a blank line, a hole.

    Raises:
        BadInput: a line is no corner, or the outline is none that a sheet can have.
    """
    import shapely

    place = Place(str(path), None, "")
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise BadInput.at(place, "this is no text", HOW) from None
    if len(lines) > 2 * MOST:
        raise BadInput.at(place, f"it has {len(lines)} lines", f"{2 * MOST} are the most")
    faults, rings = FaultList(), [list[tuple[float, float]]()]
    for number, line in enumerate(lines, start=1):
        if not line.strip(" ,;\t"):
            rings.append([])
        elif not (line.startswith("#") or _HEAD.fullmatch(line)):
            rings[-1].append(_corner(line, units, Place(str(path), number, ""), faults))
    faults.raise_if_any()
    rings = [ring[:-1] if len(ring) > 3 and ring[0] == ring[-1] else ring for ring in rings if ring]
    wrong = rings_fault(rings) if rings else "there are no corners"
    if wrong:
        raise BadInput.at(place, wrong, "list the corners once, in order round the edge")
    return shapely.Polygon(rings[0], rings[1:])


def _corner(line: str, units: str, place: Place, faults: FaultList) -> tuple[float, float]:
    parts = re.split(r"[,;]", line)
    if len(parts) != 2:
        faults.add(place, f"'{line.strip()[:40]}' is no corner", HOW)
        return 0.0, 0.0
    try:
        x, y = (parse_length(part.strip(), units) for part in parts)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        faults.add(place, wrong, right)
        return 0.0, 0.0
    return x, y
