"""Paint and glue told on paper: areas by face, litres, tins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutlists.boxes.amounts import CoatingAmounts, area_told, tin_told
from model.coverings.areas import face_areas

if TYPE_CHECKING:
    from model.boat import Boat

CAUTIONS = (
    "Litres go by the coverage in the shop file; the tin's own sheet comes first. Bare aluminium is "
    "degreased, abraded and primed with what is made for it, the same day.",
    "No paint with copper on aluminium. Mask off; guard lungs and skin as the tin says.",
)
HEAD = ("surface", "face", "whole m2", "under other pieces m2", "under mat m2", "left bare m2", "painted by")
COAT_HEAD = ("on", "use", "of", "coats", "area", "litres")
TIN_HEAD = ("of", "litres", "tins")


def face_rows(boat: Boat, amounts: CoatingAmounts) -> list[list[str | float]]:
    """Rows of `coverings.csv`, heading first: every face of every piece, and what paints it."""
    systems: dict[tuple[str, str], list[str]] = {}
    for own in amounts.coverings.painted:
        for face in own.faces:
            systems.setdefault((face.piece, face.face), []).append(own.paint.name)
    rows: list[list[str | float]] = [list(HEAD)]
    for face in face_areas(boat):
        areas = [round(v * 1e-6, 4) for v in (face.whole, face.hidden, face.matted, face.bare)]
        by = ", ".join(systems.get((face.piece, face.face), []))
        rows.append([face.piece, face.face, *areas, by])
    return rows


def coat_rows(amounts: CoatingAmounts, units: str) -> list[tuple[str, ...]]:
    """What goes on where: coats, area, litres."""
    return [
        (coat.system, coat.use, coat.coating.name, str(coat.coats), area_told(coat.area, units),
         f"{coat.litres:.2f}")
        for coat in amounts.coats
    ]  # fmt: skip


def tin_rows(amounts: CoatingAmounts, units: str) -> list[tuple[str, ...]]:
    """Of each material litres and tins to buy."""
    return [
        (need.coating.name, f"{need.litres:.2f}",
         ", ".join(f"{count} x {tin_told(size, units)}" for size, count in need.tins))
        for need in amounts.needs
    ]  # fmt: skip


def coverage_lines(amounts: CoatingAmounts, units: str) -> list[str]:
    """How far each is taken to reach."""
    used = {coat.coating.name: coat.coating for coat in amounts.coats}
    return [
        f"{own.name}: {own.covers:g} m2 a litre and coat, {100 * own.loss:.0f} % lost"
        + (", on both faces" if own.sides == 2 else "")
        for own in used.values()
    ]
