"""What the README says is so: its boat builds as it stands; the tables it leads to name every key."""

import re
from pathlib import Path

import pytest
from pydantic import BaseModel

from app import main
from cutlists import shop_schema
from model.boat import load_boat
from model.boatfile import schema

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DOCS = ROOT / "docs"
TABLES = [(DOCS / name).read_text(encoding="utf-8") for name in ("boat-file.md", "shop-file.md")]


@pytest.fixture
def boat_file(tmp_path):
    (text,) = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    path = tmp_path / "pond12.yaml"
    path.write_text(text)
    return path


def test_the_boat_in_the_readme_has_nothing_wrong_with_it(boat_file, capsys):
    assert main.run(["check", str(boat_file)]) == 0, capsys.readouterr()


def test_it_gives_what_the_readme_says_of_it(boat_file):
    boat = load_boat(boat_file)
    roles = {
        re.sub(r"[.\d]+$", "", member.name.rsplit("/", 1)[-1].partition(".")[0]) for member in boat.members
    }
    assert {"ledger", "rim", "header", "carling", "beam", "post"} <= roles


@pytest.mark.parametrize(
    "entry",
    [
        schema.BoatFile, schema.DefaultsEntry, schema.DeckEntry, schema.OpeningEntry, schema.FrameEntry,
        schema.CustomLidEntry, schema.BulkheadEntry, schema.FixtureEntry, schema.MemberEntry, schema.RunEntry,
        schema.DimensionEntry, shop_schema.ShopFile, shop_schema.SawEntry, shop_schema.NestsEntry,
        shop_schema.MatSheetEntry, schema.MatEntry, schema.FlangeEntry, schema.HatEntry,
        shop_schema.BendingEntry,
    ],
)  # fmt: skip
def test_every_key_is_named(entry: type[BaseModel]):
    named = set(re.findall(r"\w+", "".join(TABLES)))
    keys = {key for key in entry.model_fields if key not in ("sheet", "section")}
    assert keys - {"from_forward", "from_port", "from_starboard", "hull_gap"} <= named


def test_every_file_that_it_links_to_is_there():
    for folder, text in ((ROOT, README), *((DOCS, table) for table in TABLES)):
        links = re.findall(r"\]\(([^):]+)\)", text)
        assert links
        assert all((folder / link).is_file() for link in links)
