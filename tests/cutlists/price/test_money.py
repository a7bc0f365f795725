"""Amounts are exact, rounded by the currency's coin, and split without a coin lost."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutlists.price.currencies import PLACES
from cutlists.price.money import Currency, exact, split, stepped

DOLLAR = Currency("CAD", "$")


def test_a_float_is_taken_as_it_was_written():
    assert exact(0.1) + exact(0.2) == Decimal("0.3")
    assert exact(58) == 58


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("0.005", "0.01"), ("0.0049999", "0.00"), ("-0.005", "-0.01"), ("2.675", "2.68"), ("-0.001", "0.00")],
)
def test_halves_go_away_from_zero_as_in_the_trade(amount, rounded):
    # Common practice of commerce; binary floats would give 2.67 for 2.675.
    found = DOLLAR.rounded(Decimal(amount))
    assert str(found) == rounded


def test_amounts_are_told_with_symbol_sign_and_thousands():
    assert DOLLAR.told(Decimal("-1234.5")) == "-$1,234.50"
    assert Currency("NOK", "kr", 2, after=True).told(Decimal("1234.5")) == "1,234.50 kr"
    assert Currency("JPY", "", PLACES["JPY"]).told(Decimal("1234.5")) == "1,235 JPY"
    assert Currency("KWD", "KD", PLACES["KWD"]).told(Decimal("0.0005")) == "KD 0.001"


def test_steps_go_the_way_they_are_told():
    assert [stepped(Decimal("4832.42"), Decimal(5), way) for way in ("nearest", "up", "down")] == [
        4830, 4835, 4830,
    ]  # fmt: skip
    assert stepped(Decimal("1.02"), Decimal("0.05")) == Decimal("1.00")
    assert stepped(Decimal("1.025"), Decimal("0.05")) == Decimal("1.05")
    assert stepped(Decimal("1.02"), Decimal(0)) == Decimal("1.02")


@settings(max_examples=80, deadline=None)
@given(
    st.integers(-(10**7), 10**7),
    st.lists(st.integers(0, 10**6), min_size=1, max_size=6),
)
def test_shares_add_up_and_are_within_a_coin_of_their_part(coins, weights):
    total = Decimal(coins) / 100
    shares = split(total, [Decimal(w) for w in weights], Decimal("0.01"))
    assert sum(shares) == total
    if sum(weights):
        for share, weight in zip(shares, weights, strict=True):
            # Exact rationals of the standard library are the judge.
            assert abs(Fraction(share) - Fraction(total) * Fraction(weight, sum(weights))) < Fraction(1, 100)
            assert share == share.quantize(Decimal("0.01"))


def test_currencies_have_the_decimals_of_iso_4217():
    # From memory of the published list: yen none, Kuwaiti dinar three, the rest of these two.
    assert {code: PLACES[code] for code in ("USD", "CAD", "EUR", "JPY", "KRW", "KWD", "TND", "SEK")} == {
        "USD": 2, "CAD": 2, "EUR": 2, "JPY": 0, "KRW": 0, "KWD": 3, "TND": 3, "SEK": 2,
    }  # fmt: skip
    assert all(len(code) == 3 and code.isupper() for code in PLACES)
    assert math.isclose(float(Currency("TND", "", 3).coin), 0.001)
