"""The `access:` part of a shop file."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutlists.shop_file import read_shop
from model.access.settings import AccessSettings
from parts.faults import BadInput


def shop(tmp_path: Path, text: str) -> AccessSettings:
    path = tmp_path / "shop.yaml"
    path.write_text(text)
    return read_shop(path).asked.access


def test_what_is_not_said_is_as_usual(tmp_path: Path) -> None:
    assert shop(tmp_path, "units: mm\n") == AccessSettings()
    given = shop(tmp_path, "units: mm\naccess: {reach: 20 in, hand: 5 in, gap: 5, arm: 90}\n")
    assert (given.reach, given.hand, given.gap, given.arm) == (508.0, 127.0, 5.0, 90.0)


@pytest.mark.parametrize(
    ("text", "key", "wrong"),
    [
        ("reach: 0", "access.reach", "out of bounds"),
        ("reach: 3 m", "access.reach", "out of bounds"),
        ("hand: long", "access.hand", "long"),
        ("gap: -1", "access.gap", "out of bounds"),
        ("grip: 40", "access.grip", "unknown key"),
        ("arm: true", "access.arm", ""),
    ],
)
def test_what_no_arm_has_is_refused(tmp_path: Path, text: str, key: str, wrong: str) -> None:
    with pytest.raises(BadInput) as caught:
        shop(tmp_path, f"units: mm\naccess:\n  {text}\n")
    told = [fault for fault in caught.value.faults if fault.place.key == key]
    assert told, [str(fault) for fault in caught.value.faults]
    assert wrong in told[0].wrong
    assert told[0].place.line == 3
