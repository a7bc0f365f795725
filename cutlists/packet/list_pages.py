"""Lists at the end of the packet: welds, what to buy, weights, findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutlists.buy_list import BuyList
from cutlists.packet.frame_pages import SECTION as FRAME
from cutlists.packet.leaf import Column
from cutlists.packet.page import Page, table_pages
from cutlists.packet.paper import PaperSet
from cutlists.scene import items
from cutlists.welds import WeldRates, weld_rows, welds_of
from model.clearance.settings import ACCEPTED_BY
from model.findings import Finding
from model.hull import Hull
from parts.amounts import POUND
from parts.lengths import format_length

if TYPE_CHECKING:
    from model.boat import Boat

BUY = "Buy list"
WEIGHTS = "Weights"
FINDINGS = "Findings"
BUY_COLUMNS = (
    Column("material", 19.0),
    Column("name", 45.0),
    Column("size", 42.0),
    Column("buy", 10.0, "right"),
    Column("there", 12.0, "right"),
    Column("each", 17.0, "right"),
    Column("cost", 18.0, "right"),
    Column("note", 24.0),
)
WEIGHT_COLUMNS = (
    Column("group", 46.0),
    Column("pieces", 16.0, "right"),
    Column("kg", 20.0, "right"),
    Column("lb", 20.0, "right"),
    Column("from transom", 28.0, "right"),
    Column("off centreline", 28.0, "right"),
    Column("above baseline", 28.0, "right"),
)
FINDING_COLUMNS = (
    Column("no", 9.0, "right"),
    Column("pieces", 48.0),
    Column("what is wrong", 66.0),
    Column("what would cure it", 64.0),
)
WELD_COLUMNS = (
    Column("of", 25.0),
    Column("joints", 29.0),
    *(Column(head, 19.4, "right") for head in ("in all", "flat", "level", "upright", "overhead")),
    Column("filler", 13.5, "right"),
    Column("gas", 11.0, "right"),
    Column("time", 10.0, "right"),
)
ACCEPTED_COLUMNS = (Column("piece", 58.0), Column("and", 58.0), Column("why, and by whom", 70.0))
GROUPS = {
    "members": "frame",
    "decks": "deck sheet",
    "panels": "other sheet",
    "lids": "lids",
    "fixtures": "fittings",
}


def weld_pages(boat: Boat, rates: WeldRates, papers: PaperSet) -> Iterator[Page]:
    """Seams by what they belong to, with filler, gas and time; nothing where nothing is welded."""
    welds = welds_of(boat, rates)
    if not welds:
        return
    leg = "the wall of the tube" if rates.leg is None else format_length(rates.leg, boat.units)
    note = (
        "All round each end and along both feet of hats, as the seams stand in the boat; turned on the "
        "bench more of them are flat. "
        f"Fillets of {leg}. Gas and time by the rates in the shop file. Try settings on scrap; a qualified "
        "procedure and the filler maker's data come first."
    )
    rows = list(weld_rows(welds, rates, boat.units))
    yield from table_pages(FRAME, "Welds", papers.lists, WELD_COLUMNS, rows, (note,), size=7.0)


def buy_pages(buy: BuyList, papers: PaperSet) -> Iterator[Page]:
    """What to buy, with prices where they are known."""
    rows = [
        (line.material, line.name, line.size, str(line.buy), str(line.on_hand) if line.on_hand else "",
         "" if line.price is None else f"{line.price:.2f}", "" if line.cost is None else f"{line.cost:.2f}",
         line.note)
        for line in buy.lines
    ]  # fmt: skip
    waste = [
        f"{material}: {shares.percent(shares.used):.0f} % becomes pieces, "
        f"{shares.percent(shares.kept):.0f} % is kept, {shares.percent(shares.waste):.0f} % is waste."
        for material in ("tube", "sheet", "mat")
        if (shares := buy.shares(material)) is not None
    ]
    yield from table_pages(
        BUY, "Buy list", papers.lists, BUY_COLUMNS, rows, (f"In all {buy.total_words()}.", *waste)
    )


def weight_pages(boat: Boat, papers: PaperSet) -> Iterator[Page]:
    """Mass and centre of each group and of all that is built in; the bare hull is not in it."""
    sums: dict[str, list[float]] = {}
    for item in items(boat):
        if item.path[0] not in GROUPS or isinstance(item.record, Hull):
            continue
        mass, centre = item.record.mass, item.record.centre.tolist()
        own = sums.setdefault(GROUPS[item.path[0]], [0.0] * 5)
        for k, value in enumerate((1.0, mass, *(mass * c for c in centre))):
            own[k] += value
    sums["all that is built in"] = [sum(own[k] for own in sums.values()) for k in range(5)]
    rows = []
    for name, (count, mass, *moments) in sums.items():
        x, y, z = (moment / mass if mass else 0.0 for moment in moments)
        side = " to port" if y > 0.5 else " to stbd" if y < -0.5 else ""
        told = [format_length(v, boat.units) for v in (x, abs(y), z)]
        told[1] += side
        rows.append((name, f"{count:.0f}", f"{mass:.1f}", f"{mass / POUND:.1f}", *told))
    notes = (
        "Centres of mass. The bare hull, engine, fuel and people are not in this table. The maker's capacity "
        "plate stands; weigh the boat before relying on any sum.",
    )
    yield from table_pages(WEIGHTS, "Weights", papers.lists, WEIGHT_COLUMNS, rows, notes)


def finding_pages(
    findings: Sequence[Finding],
    looked_at: Sequence[str],
    papers: PaperSet,
    accepted: Sequence[tuple[str, str, str]] = (),
) -> Iterator[Page]:
    """What the checks found, with room to sign, and what the files let off by name with the reason given.

    Args:
        findings: by harm.
        looked_at: what was checked, a line each.
        papers: drawn on.
        accepted: pairs of pieces let off, each with why.
    """
    rows = [
        (str(k), "\n".join(finding.pieces[:4]), finding.what, finding.cure)
        for k, finding in enumerate(findings, 1)
    ]
    if not rows:
        rows = [("", "none", "", "")]
    notes = (
        "What was looked at: " + "; ".join(looked_at) + "." if looked_at else "Nothing was looked at.",
        "A finding that is accepted as it is: write beside its number by whom and when.",
    )
    yield from table_pages(FINDINGS, "Findings", papers.lists, FINDING_COLUMNS, rows, notes)
    if accepted:
        let_off = [(one, other, _reason(why)) for one, other, why in accepted]
        note = (
            "Pairs that come closer than asked and are let off by name in the boat file or the shop file, "
            "with `why` and `by` whom as they are told there; where no name is told, sign."
        )
        yield from table_pages(
            FINDINGS, "Accepted as they are", papers.lists, ACCEPTED_COLUMNS, let_off, (note,)
        )


def _reason(why: str) -> str:
    """Why a pair was let off and by whom, with room to sign where nobody is named."""
    told = why or "no reason given"
    return told if ACCEPTED_BY in why else f"{told}\nby: {'.' * 40}"
