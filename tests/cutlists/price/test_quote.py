"""A quote adds up on paper, prices what is cut and bought, and never hides what has no price."""

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.blank import Blank
from cutlists.buy_list import BuyLine
from cutlists.packet.paper import PAPERS
from cutlists.plan_file import Use
from cutlists.plans import make_plans
from cutlists.price import pages
from cutlists.price.change import change_of, cut_in_vain
from cutlists.price.files import write_quote
from cutlists.price.material import material_lines
from cutlists.price.money import Currency
from cutlists.price.quote import payments_of, quote_of, steps_of, taxes_of
from cutlists.price.quote_file import quote_json, read_quote
from cutlists.price.records import KINDS, Line
from cutlists.price.settings import Discount, Due, Offcuts, QuoteSettings, TaxRule
from cutlists.price.tables import quote_csv
from cutlists.scene import scene_of
from cutlists.shop_file import read_shop
from cutlists.work.records import Task, WorkPlan
from parts.faults import BadInput, Place
from tests.model.boats import DECK, build

SHOP = """
units: mm
sticks: {seconds: 0.2, lengths: [{length: 6 m, price: 61.10}]}
nests:
  seconds: 0.4
  sheets: {5052-2mm: {sizes: [{width: 1500 mm, length: 3000 mm, price: 152.35}]}}
mat: {sheets: {grey: {length: 2000, width: 1000, price: 118.05}}}
quote:
  shop: [The shed by the lake]
  currency: {code: CAD, symbol: $}
  rates: {usual: 61.5, weld: 73.25}
  consumables:
    filler: {per: filler_kg, unit: kg, price: 19.5}
    blade: {per: cut, lasts: 800, price: 84}
    cans: {per: mat_m2, lasts: 3, price: 31, whole: true}
  offcuts: {kept: credit, value: 50}
  extras: {haulage: {amount: 140}}
  overhead: {materials: 6.5, labour: 18}
  margin: {materials: 14, fittings: 10, labour: 11.5}
  discount: {percent: 3, why: a second boat}
  rounding: {total: 0.05}
  tax:
    - {name: sales tax, percent: 7.775, of: [materials, fittings, consumables]}
    - {name: service tax, percent: 5, of: [labour, extras]}
  payments: [{name: deposit, percent: 33, when: now}, {name: half way, percent: 33}, {name: rest}]
  excluded: [the motor]
"""
COIN = Decimal("0.01")


def task(name, kind, hours):
    return Task(name, f"{kind} {name}", kind, hours, basis="by the hour")


def plan(*tasks):
    return WorkPlan(
        boat="pond", tasks=tasks, slots=(), critical=(), chain=0.0, least=0.0, hands=1, day=8.0, opens=8.0,
        start=date(2026, 11, 25),
    )  # fmt: skip


WORK = plan(task("cut.main", "cut", 3.217), task("weld.main", "weld", 11.4049), task("look", "survey", 0.0))


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    path = tmp_path_factory.mktemp("shop") / "shop.yaml"
    path.write_text(SHOP)
    return read_shop(path)


@pytest.fixture(scope="module")
def boat():
    hatch = {"aft": 1000, "forward": 1600, "port": 200, "starboard": -200, "lid": {"flange": 20}}
    return build(decks={"main": {**DECK, "openings": {"hatch": hatch}}}, mat={})


@pytest.fixture(scope="module")
def plans(boat, shop):
    return make_plans(boat, shop)


@pytest.fixture(scope="module")
def quote(boat, shop, plans):
    return quote_of(boat, shop, plans, WORK, today=date(2026, 11, 25))


def test_every_sum_is_that_of_the_amounts_shown(quote):
    rows = list(csv.reader(io.StringIO(quote_csv(quote))))[1:]
    lines = [row for row in rows if row[0] in KINDS]
    sums = {row[0]: Decimal(row[6]) for row in rows if row[0] not in KINDS}
    amounts = [Decimal(row[6]) for row in lines if row[6] != "no price"]
    assert sum(amounts) == sums["cost"]
    before = sums["cost"] + sums["overhead"] + sums["profit"] + sums["discount"]
    assert before == sums["price before tax"] == quote.price
    taxed = before + sums["sales tax"] + sums["service tax"]
    assert taxed + sums.get("rounding of the total", 0) == sums["total"] == quote.total
    assert sums["total"] % Decimal("0.05") == 0
    assert sum(pay.amount for pay in quote.payments) == quote.total
    # Quantity times price of each line, by exact rationals, is its amount to the coin.
    for row in lines:
        if row[5] and row[6] != "no price":
            worth = Fraction(row[3]) * Fraction(row[5])
            assert abs(worth - Fraction(row[6])) <= Fraction(1, 200)


def test_material_is_what_is_bought_less_half_of_the_offcuts_kept(quote, plans, boat):
    buys = [use for use in plans.cut.uses if use.source == "buy"]
    bought = sum(Fraction(str(use.price)) for use in buys)
    kept = sum(
        Fraction(str(use.price))
        * Fraction(sum(blank.extent for blank in use.kept))
        / Fraction(use.blank.extent)
        for use in buys
    )
    assert kept > 0
    # Each of the three materials rounds its credit once.
    assert abs(Fraction(quote.steps[0].amounts["materials"]) - (bought - kept / 2)) <= Fraction(3, 200)
    assert {p.mark for p in quote.pieces.values()} >= set(boat.marks.values())
    shares = sum(piece.amount for piece in quote.pieces.values())
    assert abs(shares - quote.steps[0].amounts["materials"]) < Decimal("0.05")


def test_labour_is_hours_by_the_rate_of_their_kind(quote):
    by_task = {line.key: line.amount for line in quote.lines if line.kind == "labour"}
    # 3.22 h x 61.50 = 198.03, 11.40 h x 73.25 = 835.05; a task without hours is no line.
    assert by_task == {"cut.main": Decimal("198.03"), "weld.main": Decimal("835.05")}
    assert quote.hours == {"cut": Decimal("3.22"), "weld": Decimal("11.40")}


def test_what_has_no_price_is_named_and_in_no_sum(quote, boat, shop, plans):
    assert [line.group for line in quote.unpriced] == ["lid"]
    assert any("no" in note and "made to order" in note for note in quote.notes)
    bare = quote_of(boat, shop, plans, None)
    assert {line.kind for line in bare.unpriced} == {"fittings", "labour"}
    nameless = quote_of(boat, shop, plans, plan(task("t", "weld", 2.0)), today=date(2026, 1, 1))
    assert nameless.total > bare.total


def test_what_other_lists_buy_is_priced_by_what_it_is(boat, shop, plans, quote):
    others = [
        BuyLine("wire", "AWG 10 red", "spool of 100 ft", "30480.0", 2, price=41.15),
        BuyLine("strut", "strut-64", "64 N", "80.0", 2),
        BuyLine("paint", "primer", "1 qt tin", "", 3, price=22.5),
    ]
    buying = replace(plans, buy=replace(plans.buy, lines=(*plans.buy.lines, *others)))
    more = quote_of(boat, shop, buying, WORK, today=date(2026, 11, 25))
    found = {line.key: (line.kind, line.amount) for line in more.lines if line not in quote.lines}
    assert found == {
        "wire AWG 10 red 30480.0": ("materials", Decimal("82.30")),
        "strut strut-64 80.0": ("fittings", None),
        "paint primer": ("consumables", Decimal("67.50")),
    }
    assert more.cost - quote.cost == Decimal("149.80")


def test_a_kind_of_task_without_a_rate_is_not_free(boat, plans, shop):
    poor = replace(shop, quote=replace(shop.quote, rates={"cut": Decimal(60)}))
    found = quote_of(boat, poor, plans, WORK)
    assert [line.key for line in found.unpriced if line.kind == "labour"] == ["weld.main"]


def test_profit_is_told_as_margin_and_as_markup():
    lines = [Line("labour", "", "x", "x", Decimal(1), "h", Decimal(80), Decimal(80))]
    quarter = dict.fromkeys(KINDS, Decimal(25))
    markup, margin = (
        list(steps_of(lines, QuoteSettings(profit=quarter, is_margin=is_margin), None))[2].total
        for is_margin in (False, True)
    )
    # A markup of m is a margin of m / (1 + m) (arithmetic of any bookkeeping primer): 25 % on 80 is 20, a
    # fifth of the price 100; a margin of 25 % asks for 80 / 0.75.
    assert markup == 20
    assert margin == Decimal("26.67")
    assert abs(margin / (80 + margin) - Decimal("0.25")) < Decimal("0.0001")


amount = st.decimals(0, 99999, places=2)
percent = st.decimals(0, 99, places=3)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(amount, min_size=5, max_size=5),
    st.lists(percent, min_size=5, max_size=5),
    st.lists(percent, min_size=5, max_size=5),
    st.booleans(),
    percent,
    st.sampled_from([Decimal(0), Decimal("0.05"), Decimal(5), Decimal(100)]),
    st.lists(st.decimals(1, 24, places=2), min_size=1, max_size=4),
)
def test_steps_taxes_and_payments_add_up_whatever_the_shop_asks(
    costs, overhead, profit, is_margin, off, step, dues
):
    lines = [Line(k, "", k, k, Decimal(1), "", c, c) for k, c in zip(KINDS, costs, strict=True)]
    rules = QuoteSettings(
        currency=Currency("EUR", "", 2),
        overhead=dict(zip(KINDS, overhead, strict=True)),
        profit=dict(zip(KINDS, profit, strict=True)),
        is_margin=is_margin,
        round_to=step,
        taxes=(TaxRule("a", off, KINDS[:2]), TaxRule("b", Decimal(5), KINDS)),
        payments=(*(Due("p", due, "") for due in dues), Due("rest", None, "")),
    )
    found = list(steps_of(lines, rules, Discount(off, None, "", Place("shop", 1, "quote"))))
    price = {kind: sum(s.amounts[kind] for s in found) for kind in KINDS}
    total = sum(price.values())
    assert total == sum(s.total for s in found)
    assert not step or total % step == 0
    assert all(value == value.quantize(COIN) for s in found for value in s.amounts.values())
    for tax in taxes_of(price, rules):
        exact = Fraction(sum(price[k] for k in tax.of)) * Fraction(tax.percent) / 100
        assert abs(Fraction(tax.amount) - exact) <= Fraction(1, 200)
    payments = payments_of(total, rules)
    assert sum(pay.amount for pay in payments) == total


def test_a_discount_above_the_price_is_refused_where_it_is_written():
    lines = [Line("labour", "", "x", "x", Decimal(1), "h", Decimal(80), Decimal(80))]
    off = Discount(None, Decimal(81), "", Place("shop.yaml", 7, "quote.discount"))
    with pytest.raises(BadInput, match=r"shop.yaml:7 quote.discount: 81 is more than the price"):
        list(steps_of(lines, QuoteSettings(), off))


def test_what_lies_in_the_rack_is_charged_as_new_or_free(shop):
    uses = [
        Use(Blank("stick", "square-25x25x3", 3000.0), "stock", "stock 4", 4, None, 2000.0,
            (Blank("stick", "square-25x25x3", 900.0),), ("F1",)),
    ]  # fmt: skip
    charge = QuoteSettings(offcuts=Offcuts(credited=True))
    rack, credit = material_lines(uses, shop, charge, "mm")
    # 61.10 for 6 m is 10.1833 a metre, as shown: 3 m come to 30.55, 0.9 m to 9.16497.
    assert (rack.amount, credit.amount) == (Decimal("30.55"), Decimal("-9.16"))
    (free,) = material_lines(uses, shop, QuoteSettings(offcuts=Offcuts(True, Decimal(50), True)), "mm")
    assert free.amount == 0
    assert free.note == "not charged"


def test_a_quote_is_read_back_as_it_was_and_costs_nothing_to_keep(quote, tmp_path):
    (tmp_path / "quote.json").write_text(quote_json(quote))
    again = read_quote(tmp_path)
    assert again.lines == quote.lines
    assert again.total == quote.total
    same = change_of(quote, again)
    assert (same.lines, same.marks, same.shared, same.total) == ((), (), 0, 0)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"format": "other"}', '{"format": "athwart-quote", "version": 1}']
)
def test_a_file_that_is_no_quote_is_refused(text, tmp_path):
    (tmp_path / "quote.json").write_text(text)
    with pytest.raises(BadInput, match="quote"):
        read_quote(tmp_path)


def test_a_change_adds_up_line_by_line_and_names_tasks_and_marks(boat, shop, plans, quote):
    wider = build(decks={"main": {**DECK, "forward": 2400}}, mat={})
    marks = {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}
    other = make_plans(wider, shop, marks)
    work = plan(task("cut.main", "cut", 4.0), task("paint.main", "paint", 2.0))
    after = quote_of(wider, shop, other, work, today=date(2026, 11, 26))
    change = change_of(quote, after)
    assert sum(one.money for one in change.lines) == change.cost == after.cost - quote.cost
    how = {one.line.key: one.how for one in change.lines if one.line.kind == "labour"}
    assert how == {"cut.main": "changed", "paint.main": "new", "weld.main": "gone"}
    told = {name for mark in change.marks for name in mark.names}
    assert told == {
        name
        for name in {*quote.pieces, *after.pieces}
        if name not in quote.pieces
        or name not in after.pieces
        or quote.pieces[name].signature != after.pieces[name].signature
    }
    material = sum(p.amount for p in after.pieces.values()) - sum(p.amount for p in quote.pieces.values())
    assert sum(mark.money for mark in change.marks) + change.shared == material
    here = {piece.mark for piece in after.pieces.values()}
    old = next(piece for piece in quote.pieces.values() if piece.mark not in here)
    (lost,) = cut_in_vain(change, {old.mark: 2, "F999": 1})
    assert (lost.mark, lost.count, lost.money) == (old.mark, 2, 2 * old.amount)
    foreign = replace(after, currency=Currency("USD"))
    with pytest.raises(ValueError, match="CAD"):
        change_of(quote, foreign)


def test_the_owners_pages_hide_the_working_and_the_shops_add_up(boat, shop, plans, quote, tmp_path):
    write_quote(boat, shop, plans, quote, scene_of(boat), tmp_path)
    texts = {}
    for name in ("quote.pdf", "quote-shop.pdf"):
        with pdfplumber.open(tmp_path / name) as pdf:
            texts[name] = "\n".join(page.extract_text() for page in pdf.pages)
    owner, working = texts["quote.pdf"], texts["quote-shop.pdf"]
    for word in ("overhead", "margin", "markup", "profit", "73.25", "per hour"):
        assert word not in owner
    for text in (owner, working):
        assert quote.currency.number(quote.total) in text
        assert "25 December 2026" in text
    for told in (
        "The shed by the lake",
        "the motor",
        "not in the sum: lid",
        "deposit",
        "capacity plate",
        "Main deck",
    ):
        assert told in owner
    assert "a second boat" in owner
    assert all(quote.currency.number(line.amount) in working for line in quote.lines if line.amount)


def test_a_symbol_that_paper_lacks_gives_way_to_the_code():
    # The letters on paper have no glyph for the rupee sign (U+20B9), which is younger than they are.
    assert pages.printable(Currency("INR", "\u20b9")).told(Decimal("12.5")) == "12.50 INR"
    assert pages.printable(Currency("EUR", "\u20ac")).told(Decimal("12.5")) == "\u20ac12.50"


def test_every_table_fits_the_narrower_paper():
    tables = [value for name, value in vars(pages).items() if name.endswith("_COLUMNS")]
    assert len(tables) >= 6
    room = min(paper.lists.room[2] for paper in PAPERS.values())
    assert all(sum(column.width for column in table) <= room for table in tables)
