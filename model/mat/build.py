"""All mat of a boat: its pieces with their marks, and the surfaces that are left bare, with the reason."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from model.marks import assign_marks
from model.mat.grooves import laid
from model.mat.piece import MatPiece
from model.mat.regions import region
from model.mat.sameness import mat_signature
from model.mat.settings import MatSettings
from model.mat.shapes import wide_parts
from model.mat.split import MatSplitError, parted
from model.mat.surfaces import Surface, deck_tops, lid_tops, linings, upright_faces

if TYPE_CHECKING:
    from model.boat import Boat

PREFIX = "T"


@dataclass(frozen=True)
class Bare:
    """A surface, or part of one, that carries no mat, and why."""

    surface: str
    why: str


@dataclass(frozen=True, eq=False)
class Matting:
    """The mat of a boat.

    Attributes:
        pieces: in the order of the boat file's decks: deck tops, lids, uprights, linings.
        marks: piece mark by the piece's name; pieces that can stand in for each other share one.
        signatures: what tells a piece from others, by name.
        bare: what carries no mat though it could.
        settings: what was asked for.
    """

    pieces: tuple[MatPiece, ...]
    marks: dict[str, str]
    signatures: dict[str, str]
    bare: tuple[Bare, ...]
    settings: MatSettings

    @property
    def area(self) -> float:
        """Area that is glued, mm2."""
        return sum(piece.area for piece in self.pieces)


def mat_of(
    boat: Boat,
    settings: MatSettings,
    previous: Mapping[str, tuple[str, str]] | None = None,
    tell: Callable[[str], None] | None = None,
) -> Matting:
    """The mat of a boat.

    Args:
        boat: the finished boat.
        settings: of the mat.
        previous: mark and signature by name of an earlier build, whose marks are kept.
        tell: hears what is being worked on.
    """
    known = _LAID.setdefault(boat, {})
    if settings not in known:
        known[settings] = _laid_on(boat, settings, tell or (lambda _: None))
    pieces, signatures, bare = known[settings]
    return Matting(pieces, assign_marks(signatures, PREFIX, previous), signatures, bare, settings)


_Laid = tuple[tuple[MatPiece, ...], dict[str, str], tuple[Bare, ...]]
_LAID: WeakKeyDictionary[Boat, dict[MatSettings, _Laid]] = WeakKeyDictionary()
"""Plans, areas and prices of one boat ask for its mat."""


def _laid_on(boat: Boat, settings: MatSettings, say: Callable[[str], None]) -> _Laid:
    """The pieces, what tells each from others, and what stays bare."""
    pieces: list[MatPiece] = []
    bare: list[Bare] = []
    for surface, area in _regions(boat, settings, bare):
        say(f"mat: {surface.name}")
        pieces += _pieces(surface, area, settings, bare)
    return tuple(pieces), {piece.name: mat_signature(piece) for piece in pieces}, tuple(bare)


def surface_names(boat: Boat) -> list[str]:
    """What `leave_out` may name: every surface that is matted unless it is left out."""
    return [s.name for s in (*deck_tops(boat), *lid_tops(boat), *upright_faces(boat))]


def lining_names(boat: Boat) -> list[str]:
    """What `line` may name: flat panels that are no surface of their own."""
    return [p.name for p in boat.panels if p.role not in ("deck", "seat", "riser")]


def unknown_names(boat: Boat, settings: MatSettings) -> list[tuple[str, str]]:
    """Entries of `leave_out` and `line`, as (key, name), that name nothing in the boat."""
    found = []
    for key, names_of in (("leave_out", surface_names), ("line", lining_names)):
        named = getattr(settings, key)
        known = names_of(boat) if named else ()
        found += [
            (key, name)
            for name in named
            if not any(own == name or own.startswith((f"{name}/", f"{name}.")) for own in known)
        ]
    return found


def _regions(boat: Boat, settings: MatSettings, bare: list[Bare]) -> Iterator[tuple[Surface, BaseGeometry]]:
    """Every surface that carries mat, with the part of it that does; the others go into `bare`."""
    lined = [name for name in lining_names(boat) if settings.names("line", name)]
    uprights = {s.name: (s, region(boat, s, settings, ())) for s in _wanted(upright_faces(boat), settings)}
    matted = [face for face, area in uprights.values() if not area.is_empty]
    for surface in (
        *_wanted(deck_tops(boat), settings),
        *_wanted(lid_tops(boat), settings),
        *(face for face, _ in uprights.values()),
        *linings(boat, lined),
    ):
        known = uprights.get(surface.name)
        area = known[1] if known else region(boat, surface, settings, matted)
        if area.is_empty:
            bare.append(Bare(surface.name, "nothing as wide as `least_width` is left of it"))
        else:
            yield surface, area


def _wanted(surfaces: list[Surface], settings: MatSettings) -> list[Surface]:
    return [s for s in surfaces if not settings.names("leave_out", s.name)]


def _pieces(surface: Surface, area: BaseGeometry, settings: MatSettings, bare: list[Bare]) -> list[MatPiece]:
    frame, lines = laid(surface.frame, settings)
    turn = np.stack([frame.x, frame.y]) @ np.stack([surface.frame.x, surface.frame.y]).T
    shapes = []
    for part in shapely.get_parts(shapely.transform(area, lambda p: p @ turn.T)):
        try:
            shapes += parted(part, lines, settings)
        except MatSplitError as error:
            bare.append(Bare(surface.name, str(error)))
    kept = [part for shape in shapes for part in wide_parts(shape, settings.least_width)]
    names = (
        [f"{surface.name}/mat"]
        if len(kept) == 1
        else [f"{surface.name}/mat.{i + 1}" for i in range(len(kept))]
    )
    return [
        MatPiece.cut(name, surface.name, surface.kind, frame, part, settings.thickness, lines)
        for name, part in zip(names, kept, strict=True)
    ]
