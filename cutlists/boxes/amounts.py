"""How much paint and glue a boat takes, coat system by coat system, and the tins of it in all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutlists.boxes.coverage import QUART, SQUARE_FOOT, USUAL, Coating
from model.coverings.painted import Coverings, coverings_of
from parts.faults import FaultList, Place, did_you_mean

if TYPE_CHECKING:
    from model.boat import Boat

MAT = "mat"


@dataclass(frozen=True)
class Coat:
    """One material on one set of faces.

    Attributes:
        system: name of the coat system, or `mat`.
        use: primer, paint or adhesive.
        coating: what it is.
        coats: of it.
        area: m2, once.
        litres: with loss.
    """

    system: str
    use: str
    coating: Coating
    coats: int
    area: float
    litres: float


@dataclass(frozen=True, eq=False)
class CoatingNeed:
    """All of one material that a boat takes, and the tins of it."""

    coating: Coating
    litres: float

    @property
    def tins(self) -> tuple[tuple[float, int], ...]:
        """Sizes in litres with their numbers."""
        return self.coating.tins_for(self.litres)


@dataclass(frozen=True, eq=False)
class CoatingAmounts:
    """What is painted and glued, how much that takes, and what to buy."""

    coverings: Coverings
    coats: tuple[Coat, ...]
    needs: tuple[CoatingNeed, ...]


def coating_amounts(boat: Boat, coatings: Mapping[str, Coating] | None = None) -> CoatingAmounts:
    """Paint and glue of a boat.

    Args:
        boat: the finished boat.
        coatings: those the shop knows; the usual ones unless given.

    Raises:
        BadInput: the boat asks for one that the shop does not know.
    """
    known = USUAL if coatings is None else coatings
    coverings = coverings_of(boat)
    _refuse_unknown(boat, known)
    coats: list[Coat] = []
    for own in coverings.painted:
        area = own.area * 1e-6
        for use, name, count in (
            ("primer", own.paint.primer, own.paint.primer_coats),
            ("paint", own.paint.paint, own.paint.coats),
        ):
            if name:
                coats.append(_coat(own.paint.name, use, known[name], count, area))
    if coverings.adhesive and coverings.mat > 0.0:
        coats.append(_coat(MAT, "adhesive", known[coverings.adhesive], 1, coverings.mat * 1e-6))
    sums: dict[str, float] = {}
    for coat in coats:
        sums[coat.coating.name] = sums.get(coat.coating.name, 0.0) + coat.litres
    needs = tuple(CoatingNeed(known[name], litres) for name, litres in sums.items())
    return CoatingAmounts(coverings, tuple(coats), needs)


def area_told(area: float, units: str) -> str:
    """An area in m2 for people: square feet too where the boat is in inches or feet."""
    plain = f"{area:.2f} m2"
    return f"{area / SQUARE_FOOT:.1f} ft2 ({plain})" if units in ("in", "ft") else plain


def tin_told(litres: float, units: str) -> str:
    """The size of a tin for people: in quarts or gallons where it is one of those and the boat in inches."""
    quarts = litres / QUART
    if units in ("in", "ft") and abs(quarts - round(quarts)) < 0.01:
        whole = round(quarts)
        return f"{whole // 4} gal" if whole % 4 == 0 else f"{whole} qt"
    return f"{litres:.3g} L"


def _coat(system: str, use: str, coating: Coating, coats: int, area: float) -> Coat:
    return Coat(system, use, coating, coats, area, coating.litres(area, coats))


def _refuse_unknown(boat: Boat, known: Mapping[str, Coating]) -> None:
    finish, faults = boat.finish, FaultList()
    if finish is None:
        return
    asked: list[tuple[str, Place | None]] = [
        (name, paint.place) for paint in finish.paints for name in (paint.primer, paint.paint) if name
    ]
    asked += [(finish.adhesive, finish.place)] if finish.adhesive else []
    for name, place in asked:
        if name not in known:
            right = f"{did_you_mean(name, list(known))}, or add it under `coverage` of the shop file"
            faults.add(place or Place("", None, "finish"), f"the shop knows no paint or glue '{name}'", right)
    faults.raise_if_any()
