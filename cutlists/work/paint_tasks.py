"""Tasks of paint: the bilge before decks cover it, and the coat systems that the boat file asks for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from cutlists.work.book import Book, Count
from cutlists.work.covers import owner_of, short, stands_on
from cutlists.work.facts import Facts
from cutlists.work.laid import Laid
from cutlists.work.settings import WorkSettings

if TYPE_CHECKING:
    from model.coverings.areas import FaceArea
    from model.coverings.painted import Painted

BILGE = "paint.bilge"
SQUARE_METRE = 1e6
"""mm2."""


def add_bilge(book: Book, facts: Facts, settings: WorkSettings) -> None:
    """The bilge cleaned and sealed before decks cover it, once what is welded in it is welded."""
    decks = facts.boat.layout.decks
    bare = [name for name in facts.frames if name in decks and decks[name].stands_on is None]
    area = sum(decks[name].plan_area().area for name in bare) / SQUARE_METRE
    if not area:
        return
    counts = [(area, settings.rates.paint, "m2 in plan")]
    title = "Clean, etch and seal what decks will cover"
    book.add(BILGE, title, counts, (), settings.cure.paint)
    book.follow(BILGE, "leak.hull", "a leak is mended bare")
    book.follow(BILGE, "order.paint", "it is painted with this")


def link_bilge(book: Book, facts: Facts, owner: str) -> None:
    """The bilge is painted once frames that stand in it are welded, and before a deck lies over it."""
    deck = facts.boat.layout.decks.get(owner)
    if deck is None or deck.stands_on is not None:
        return
    own = short(owner)
    if not any(what == "sheet" for what, _ in stands_on(facts.boat, owner)):
        book.follow(BILGE, f"weld.{own}", "paint burns beside a weld")
    for kind in ("close", "wire", "plumb"):
        book.follow(f"{kind}.{own}", BILGE, "it covers painted metal")


def add_finish(book: Book, settings: WorkSettings, laid: Laid) -> None:
    """A task for each coat system: faces that a deck will cover apart from those that stay in sight."""
    for own in laid.painted:
        for name, faces in _parts(own):
            area = sum(face.bare for face in faces) / SQUARE_METRE
            paint = own.paint
            coats = (paint.coats if paint.paint else 0) + (paint.primer_coats if paint.primer else 0)
            counts: list[Count] = [(area, settings.rates.paint, "m2")]
            counts.append((area * max(0, coats - 1), settings.rates.coat, "m2 of further coats"))
            where = "before it is covered" if name.endswith(".under") else "masked round what stays bare"
            pieces = dict.fromkeys(face.piece for face in faces if face.kind != "hull")
            task = book.add(name, f"Paint {paint.name}, {where}", counts, pieces, settings.cure.paint)
            book.follow(task, "order.paint", "it is painted with this")
            book.follow(task, "leak.hull", "a leak is mended bare")


def link_finish(book: Book, facts: Facts, laid: Laid) -> None:
    """Paint that is covered comes before a deck closes; paint in sight after sparks, before mat and lids."""
    for own in laid.painted:
        for name, faces in _parts(own):
            owners = dict.fromkeys(owner_of(face.piece) for face in faces if face.kind != "hull")
            if name.endswith(".under"):
                _link_under(book, facts, name, owners, any(face.kind == "hull" for face in faces))
            else:
                _link_in_sight(book, facts, name, owners, any(face.kind == "hull" for face in faces))


def _link_under(book: Book, facts: Facts, name: str, owners: Iterable[str], hull: bool) -> None:
    for owner in owners:
        for kind in ("weld", "sheet", "bend"):
            book.follow(name, f"{kind}.{short(owner)}", "it is painted once it is made")
        book.follow(f"close.{short(owner)}", name, "it covers painted metal")
    if hull:
        book.follow(name, BILGE, "it goes on the sealed metal")
        for owner in facts.boat.layout.decks:
            book.follow(f"close.{short(owner)}", name, "it covers painted metal")


def _link_in_sight(book: Book, facts: Facts, name: str, owners: Iterable[str], hull: bool) -> None:
    for owner in owners:
        own = short(owner)
        book.follow(name, f"close.{own}", "it is painted where it lies")
        for other in facts.frames:
            if ("sheet", owner) in stands_on(facts.boat, other):
                book.follow(name, f"weld.{short(other)}", "paint burns beside a weld")
        for kind in ("mat", "lids", "rig"):
            book.follow(f"{kind}.{own}", name, "paint comes before what lies on it")
    if hull:
        for task in list(book.tasks):
            if task.startswith("weld."):
                book.follow(name, task, "paint burns beside a weld")


def _parts(own: Painted) -> Iterable[tuple[str, list[FaceArea]]]:
    """Faces of a coat system that decks will cover, and those that stay in sight, by their tasks' names."""
    under = [face for face in own.faces if _is_covered(face)]
    sight = [face for face in own.faces if not _is_covered(face)]
    named = ((f"paint.{own.paint.name}.under", under), (f"paint.{own.paint.name}", sight))
    return [(name, faces) for name, faces in named if faces]


def _is_covered(face: FaceArea) -> bool:
    if face.kind == "hull":
        return face.piece == "hull"
    return face.kind == "frame" or (face.kind == "sheet" and face.face == "back")
