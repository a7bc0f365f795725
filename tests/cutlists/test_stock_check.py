"""What no stick or sheet holds is told before anything is planned, in the words a plan refuses it in."""

import json

import pytest

from app import main
from cutlists.plans import make_plans
from cutlists.shop_file import read_shop
from cutlists.stock_check import check_stock
from model.boat import load_boat
from parts.faults import BadInput
from tests.app.preview.live import pond

SHORT = "sticks: {seconds: 0.2, lengths: [{length: 36 in}]}\nnests: {seconds: 0.2}\n"
SMALL = "nests: {seconds: 0.2, sheets: {5052-0.100: {sizes: [{width: 24, length: 30}]}}}\n"
ENOUGH = "sticks: {seconds: 0.2}\nnests: {seconds: 0.2}\n"


@pytest.fixture
def shop(tmp_path):
    def made(text):
        (tmp_path / "shop.yaml").write_text(f"units: in\n{text}")
        return read_shop(tmp_path / "shop.yaml")

    return made


@pytest.fixture
def boat(tmp_path):
    return load_boat(pond(tmp_path))


def test_a_boat_that_the_stock_holds_has_nothing_to_tell(boat, shop):
    report = check_stock(boat, shop(ENOUGH))
    assert report.findings == ()
    assert report.summary().endswith("there is one for each")


@pytest.mark.parametrize("text", [SHORT, SMALL])
def test_what_is_told_is_what_a_plan_refuses(text, boat, shop):
    found = check_stock(boat, shop(text)).findings
    with pytest.raises(BadInput) as refused:
        make_plans(boat, shop(text))
    assert {finding.what for finding in found} == {fault.wrong for fault in refused.value.faults}
    names = {m.name for m in boat.members} if text == SHORT else {p.name for p in boat.panels}
    assert {finding.pieces[0] for finding in found} <= names


def test_members_longer_than_the_stick_and_no_others_are_told(boat, shop):
    usable = 36 * 25.4 - 2 * shop(SHORT).sticks.usual.end_trim
    long = {member.name for member in boat.members if member.length > usable}
    assert long
    assert {finding.pieces[0] for finding in check_stock(boat, shop(SHORT)).findings} == long


def test_check_tells_it(boat, shop, tmp_path, capsys):
    shop(SHORT)
    arguments = ["check", str(tmp_path / "pond12.yaml"), "--only", "stock", "--json", "--cures", "0"]
    assert main.run(arguments) == 1
    told = json.loads(capsys.readouterr().out)
    assert {row["kind"] for row in told["findings"]} == {"stock"}
    assert "splice it" in told["findings"][0]["cure"]
