"""Boats priced for the command `athwart price`: one, several, one with a dimension moved or since a build."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from app.earlier import Before, build_before, earlier_marks
from app.preview.values import path_of, with_values
from app.price_lines import beside_lines, change_lines, quote_lines
from cutlists.plans import Plans, make_plans
from cutlists.price.change import Change, change_of
from cutlists.price.of_boat import priced
from cutlists.price.quote_file import read_quote
from cutlists.price.records import Quote
from cutlists.price.tables import quote_csv
from cutlists.revision import Earlier, revision_of
from cutlists.shop_file import Shop, shop_beside
from model.boat import Boat, build_boat
from parts.faults import BadInput, FaultList, Place, did_you_mean
from parts.yamlfile import Document, read_yaml

Tell = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Priced:
    """A boat, the shop it is built in, its plans and its quote."""

    boat: Boat
    shop: Shop
    plans: Plans
    quote: Quote

    def kept(self, build: Earlier) -> Before:
        """What a variant of the boat takes over: piece marks, and the build that its revision counts from."""
        boat = self.boat
        own = {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}
        return Before({**own, **self.plans.mat_marks}, build, None)


@dataclass(frozen=True)
class Asked:
    """What is to be priced, and how.

    Attributes:
        boats: their files; several are set beside each other.
        values: texts in place of named dimensions of the first.
        since: folder of an earlier build of it.
        pdf: folder to write its quote into.
        every: tell every line.
        as_csv: tell it as CSV.
        learnt: hours by rates of finished boats; as the shop file says where None.
        today: the day; the real one where None.
        seconds: of search for sticks and nests; as in the shop file where None.
    """

    boats: tuple[Path, ...]
    values: Mapping[str, str] = field(default_factory=dict)
    since: Path | None = None
    pdf: Path | None = None
    every: bool = False
    as_csv: bool = False
    learnt: bool | None = None
    today: date | None = None
    seconds: float | None = None


def answer(asked: Asked, tell: Tell) -> list[str]:
    """What is told of the boats; writes their quote where that is asked for.

    Raises:
        BadInput: see `price_boat`; a dimension that the boat has not, or no quote of the earlier build.
    """
    if len(asked.boats) > 1:
        return _beside(asked, tell)
    file = asked.boats[0]
    if file.is_dir():
        return _told(_quote_in(file, asked), asked)
    _refuse_unknown(read_yaml(file), asked.values)
    old = None if asked.since is None else read_quote(asked.since)
    before = build_before(asked.since or usual_folder(file), shop_to_price(file).stock)
    first = price_boat(file, asked, tell, before)
    moved = None
    if asked.values:
        moved = price_boat(file, asked, tell, first.kept(before.build), asked.values)
    if asked.pdf is not None:
        _write(moved or first, asked.pdf, tell)
    title = first.boat.title
    if old is not None:
        what = f"{title}, since the quote of {old.date}"
        return list(change_lines(changed(old, first.quote), what, before.cut))
    if moved is not None:
        told = ", ".join(f"{name} = {text}" for name, text in asked.values.items())
        return list(change_lines(changed(first.quote, moved.quote), f"{title}, with {told}", before.cut))
    return _told(first.quote, asked)


def _told(quote: Quote, asked: Asked) -> list[str]:
    return quote_csv(quote).splitlines() if asked.as_csv else list(quote_lines(quote, asked.every))


def _quote_in(folder: Path, asked: Asked) -> Quote:
    """The quote that a build left in its folder.

    Raises:
        BadInput: there is none, or what is asked needs the boat's file.
    """
    if asked.values or asked.since or asked.pdf:
        wrong = "this is a folder, and a boat file is needed for --set, --since and --pdf"
        raise BadInput.at(Place(str(folder), None, ""), wrong, "give BOAT.yaml")
    return read_quote(folder)


def _beside(asked: Asked, tell: Tell) -> list[str]:
    """Several boats or builds; where asked, with the lines in which each differs from the first."""
    quotes: list[Quote] = []
    kept: Before | None = None
    for path in asked.boats:
        if path.is_dir():
            quotes.append(_quote_in(path, asked))
            kept = kept or Before(earlier_marks(path), Earlier(), None)
        else:
            one = price_boat(path, asked, tell, kept)
            quotes.append(one.quote)
            kept = kept or one.kept(Earlier())
    differences = [changed(quotes[0], quote) for quote in quotes[1:]]
    lines = list(beside_lines(quotes))
    for difference in differences if asked.every else ():
        lines += ["", *change_lines(difference, f"{difference.after.title}, beside {quotes[0].title}")]
    return lines


def check_folder(target: Path) -> None:
    """Refuses a folder that a quote must not replace; cheap, so that it can be asked before any work.

    Raises:
        BadInput: it is a build of a boat, or holds what no quote wrote.
    """
    from app.build_folder import check_target

    check_target(target)
    if (target / "boat.json").exists():
        wrong = "this is the build of a boat, which the quote would replace"
        raise BadInput.at(
            Place(str(target), None, ""), wrong, "give another folder; a build writes its own quote"
        )


def _write(one: Priced, target: Path, tell: Tell) -> None:
    """Writes the quote of a boat into a fresh folder that takes the place of `target`."""
    from app.build_folder import fresh_build
    from cutlists.price.files import write_quote
    from cutlists.scene import scene_of

    with fresh_build(target) as folder:
        tell("writing the quote")
        write_quote(one.boat, one.shop, one.plans, one.quote, scene_of(one.boat), folder)


def usual_folder(path: Path) -> Path:
    """The folder that a boat file is built into where none is named."""
    return Path("out") / path.stem


def price_boat(
    path: Path,
    asked: Asked,
    tell: Tell,
    before: Before | None = None,
    values: Mapping[str, str] | None = None,
) -> Priced:
    """The boat of a file, priced by the shop beside it.

    Args:
        path: the boat file.
        asked: how.
        tell: hears what is being done.
        before: the build whose piece marks it keeps and whose revision it counts from; that in the usual
            folder unless given.
        values: texts in place of the file's named dimensions and angles.

    Raises:
        BadInput: a file's faults, or no `quote:` in the shop file.
    """
    shop = shop_to_price(path)
    shop = shop.searching(asked.seconds) if asked.seconds else shop
    document = with_values(read_yaml(path), values or {})
    before = before or build_before(usual_folder(path), None)
    boat = build_boat(document, path.parent, tell, before.marks, shop.catalogue, limber=shop.limber)
    plans = make_plans(boat, shop, before.marks, tell)
    tell("pricing")
    revision = str(revision_of(boat, before.build).number)
    return Priced(boat, shop, plans, priced(boat, shop, plans, asked.learnt, asked.today, revision))


def shop_to_price(path: Path) -> Shop:
    """The shop beside a boat file, which must say how it prices.

    Raises:
        BadInput: it does not, or it has faults.
    """
    shop = shop_beside(path)
    if shop.quote is None:
        place = Place(str(path.parent / "shop.yaml"), None, "quote")
        raise BadInput.at(place, "it does not say how boats are priced", "`athwart new` lays out how")
    return shop


def _refuse_unknown(document: Document, values: Mapping[str, str]) -> None:
    faults = FaultList()
    groups = [document.data.get(group) for group in ("dimensions", "angles")]
    known = [str(name) for group in groups if isinstance(group, dict) for name in group]
    for name in values:
        if path_of(document, name) is None:
            place = Place("--set", None, name)
            faults.add(place, f"the boat has no dimension '{name}'", did_you_mean(name, known))
    faults.raise_if_any()


def values_of(words: Sequence[str]) -> dict[str, str]:
    """Names and texts of words such as `deck=13-1/2`.

    Raises:
        BadInput: a word is none.
    """
    found = {}
    for word in words:
        name, sign, text = word.partition("=")
        if not (sign and name.strip() and text.strip()):
            raise BadInput.at(Place("--set", None, ""), f"'{word}' sets nothing", "write deck=13-1/2")
        found[name.strip()] = text.strip()
    return found


def changed(before: Quote, after: Quote) -> Change:
    """The difference of two quotes.

    Raises:
        BadInput: they are in different currencies.
    """
    try:
        return change_of(before, after)
    except ValueError as error:
        place = Place("price", None, "")
        raise BadInput.at(place, f"they cannot be compared: {error}", "price both in one currency") from None
