"""What a shop file says of prices is read to exact numbers, or refused by line and key."""

import re
from decimal import Decimal
from importlib import resources
from pathlib import Path

import pytest

from cutlists.price import schema
from cutlists.price.settings import USUAL
from cutlists.shop_file import read_shop
from parts.faults import BadInput

STARTER = resources.files("app").joinpath("starter", "shop.yaml").read_text(encoding="utf-8")


@pytest.fixture
def quote(tmp_path):
    def read(text):
        (tmp_path / "shop.yaml").write_text(text)
        return read_shop(tmp_path / "shop.yaml").quote

    return read


def test_without_the_key_nothing_is_priced(quote):
    assert quote("units: in\n") is None


def test_the_starter_names_the_key_and_what_it_shows_can_be_used(quote):
    assert quote(STARTER) is None
    shown = re.sub(r"(?m)^# (quote:|  )", r"\1", STARTER)
    found = quote(shown)
    assert found.currency.code == "USD"
    assert found.rates == {USUAL: 60, "weld": 70}
    assert found.profit["labour"] == 20
    assert not found.is_margin
    assert [due.percent for due in found.payments] == [40, None]


def test_numbers_are_exact_and_what_is_left_out_is_nothing(quote):
    found = quote("quote: {currency: JPY, overhead: {labour: 0.1}, tax: [{name: t, percent: 7.775}]}")
    assert found.currency.told(Decimal(1500)) == "1,500 JPY"
    assert found.overhead["labour"] == Decimal("0.1")
    assert found.overhead["materials"] == 0
    assert found.taxes[0].percent == Decimal("7.775")
    assert len(found.taxes[0].of) == 5
    assert found.rate("weld") is None


CASES = {
    "negative price": (
        "consumables: {gas: {per: gas_l, price: -3}}",
        "quote.consumables.gas.price: -3 does not fit",
    ),
    "negative rate": ("rates: {weld: -1}", "quote.rates.weld: -1 does not fit"),
    "margin of all": ("margin: 100", "quote.margin: a margin of 100 % leaves nothing of the price"),
    "margin of all of one kind": ("margin: {labour: 120}", "quote.margin: a margin of 120 % leaves"),
    "both": ("markup: 10\n  margin: 10", "quote.margin: `markup` and `margin` both set the profit"),
    "tax as text": ("tax: seven", "quote.tax: 'seven' does not fit; write a list"),
    "percent as text": ("tax: [{name: vat, percent: seven}]", "quote.tax[1].percent: 'seven' does not fit"),
    "tax on what there is not": ("tax: [{name: t, percent: 1, of: [labor]}]", "did you mean 'labour'?"),
    "kind of task": ("rates: {welt: 60}", "there is no kind of task 'welt'; did you mean 'weld'"),
    "measure": ("consumables: {gas: {per: cuts, price: 1}}", "as 'cuts'; did you mean 'cut'"),
    "two measures": (
        "consumables: {gas: {per: cut, price: 1, use: 2, lasts: 3}}",
        "`use` and `lasts` both say how much",
    ),
    "payments": ("payments: [{name: a, percent: 40}]", "quote.payments: they come to 40 %; let them"),
    "no rest": ("payments: [{name: a, percent: 100}, {name: b}]", "they come to 100 % before the rest"),
    "two rests": ("payments: [{name: a}, {name: b}]", "2 of them have no percent; one is the rest"),
    "half a discount": ("discount: {why: friend}", "quote.discount: it says nothing, or two things"),
    "coins": ("rounding: {price: 0.005}", "0.005 is no whole number of coins of 0.01 CAD"),
    "nan": ("overhead: .nan", "quote.overhead"),
    "days": ("valid: 0", "quote.valid"),
    "unknown key": ("margins: 3", "quote.margins: unknown key; did you mean 'margin'?"),
    "of one boat": ("boats: {lake: {discount: {percent: 101}}}", "quote.boats.lake.discount.percent"),
}


@pytest.mark.parametrize("name", CASES)
def test_what_cannot_be_is_told_by_line_and_key(name, quote):
    text, told = CASES[name]
    with pytest.raises(BadInput) as caught:
        quote(f"quote:\n  currency: CAD\n  {text}\n")
    said = "\n".join(str(fault) for fault in caught.value.faults)
    assert re.search(r"shop\.yaml:\d", said)
    assert told in said


@pytest.mark.parametrize(
    ("currency", "told"),
    [
        ("USS", "there is no currency 'USS'"),
        ("{code: dollars}", "there is no currency 'dollars'; give its code by ISO 4217"),
        ("12", "quote.currency: 12 does not fit"),
    ],
)
def test_an_unknown_currency_is_refused(currency, told, quote):
    with pytest.raises(BadInput) as caught:
        quote(f"quote: {{currency: {currency}}}")
    assert told in str(caught.value)
    with pytest.raises(BadInput, match=r"quote.currency: this key is missing"):
        quote("quote: {valid: 3}")


@pytest.mark.parametrize(
    "entry",
    [
        schema.QuoteEntry, schema.CurrencyEntry, schema.OffcutsEntry, schema.MadeLidsEntry,
        schema.ConsumableEntry, schema.DiscountEntry, schema.RoundingEntry, schema.TaxEntry,
        schema.PaymentEntry, schema.AgreedEntry, schema.LearnEntry,
    ],
)  # fmt: skip
def test_the_page_of_the_shop_file_names_every_key(entry):
    told = (Path(__file__).parents[3] / "docs" / "shop-file.md").read_text(encoding="utf-8")
    (row,) = re.findall(r"(?m)^\| `quote` \|.*$", told)
    assert set(entry.model_fields) <= set(re.findall(r"\w+", row))
