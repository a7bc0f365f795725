"""The `bending:` part of a shop file, and that a boat is bent by it."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutlists.shop_file import Shop, read_shop
from parts.bending import Bending
from parts.faults import BadInput


def shop(folder: Path, text: str) -> Shop:
    (folder / "shop.yaml").write_text(text)
    return read_shop(folder / "shop.yaml")


def test_a_test_bend_tells_the_k_factor(tmp_path: Path) -> None:
    """T 0.090, R 0.094, 90 degrees and an allowance of 0.2099 in belong to K 0.44.

    K = 180 BA / (pi A T) - R / T, bendallowance.com/fabrication-formulas.
    """
    text = "bending: {tested: {5052-0.090: {radius: 0.094, allowance: 0.2099}}}\n"
    catalogue = shop(tmp_path, text).catalogue
    assert catalogue.bending.k(catalogue.sheets["5052-0.090"]) == pytest.approx(0.44, abs=5e-4)
    assert catalogue.bending.k(catalogue.sheets["5052-0.125"]) == Bending().k_factor


def test_what_a_shop_says_is_taken(tmp_path: Path) -> None:
    text = "bending: {k_factor: 0.42, brake: 6 ft, relief: 1/8, radii: {5052-0.125: 1/4}}\n"
    found = shop(tmp_path, text).catalogue.bending
    assert (found.k_factor, found.brake, found.relief) == pytest.approx((0.42, 1828.8, 3.175))
    assert found.radii["5052-0.125"] == pytest.approx(6.35)


@pytest.mark.parametrize(
    ("text", "key", "told"),
    [
        ("{radii: {5052-0.126: 1/4}}", "radii.5052-0.126", "there is no sheet '5052-0.126'; did you mean"),
        ("{radii: {5052-0.125: 1/8}}", "radii.5052-0.125", "may crack 5052-H32 of 5052-0.125; give 4.76 mm"),
        ("{radii: {5052-0.125: 0}}", "radii.5052-0.125", "0 is not above zero"),
        ("{k_factor: 0.6}", "k_factor", "0.6"),
        ("{brake: -3}", "brake", "not above zero"),
        ("{brake: long}", "brake", "'long'"),
        (
            "{tested: {5052-0.090: {radius: 0.094, allowance: 0.3}}}",
            "tested.5052-0.090",
            "the neutral axis at 1.08 of the thickness; measure again: its allowance is 3.75 to 5.55 mm",
        ),
        (
            "{tested: {5052-0.090: {radius: 1/8, allowance: 0.3, angle: 180}}}",
            "tested.5052-0.090.angle",
            "no bend",
        ),
        ("{tested: {5052-0.090: {radius: 1/8}}}", "tested.5052-0.090", "allowance"),
    ],
)
def test_faults_are_told_by_key(tmp_path: Path, text: str, key: str, told: str) -> None:
    with pytest.raises(BadInput) as refused:
        shop(tmp_path, f"bending: {text}\n")
    (line,) = map(str, refused.value.faults)
    assert f"bending.{key}" in line
    assert told in line
