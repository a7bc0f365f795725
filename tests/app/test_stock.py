"""`athwart stock` as the shop types it: what comes and goes, what is refused, and how it reads."""

import subprocess
import sys
from pathlib import Path

import pytest

from app import main
from app.columns import columns
from app.stock import stock
from cutlists.blank import Blank
from cutlists.plan_file import NAME, CutPlan, Use
from cutlists.store.stock import open_stock

ROOT = Path(__file__).parents[2]
TUBE = "rect-2x1x0.125"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A folder with a shop file, which one is in."""
    (tmp_path / "shop.yaml").write_text("units: in\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def run(shop, capsys):
    """Runs a line; its exit code, what it said and what it said on stderr."""

    def typed(line, *more):
        code = main.run(["stock", *line.split(), *more])
        said = capsys.readouterr()
        return code, said.out.splitlines(), said.err.splitlines()

    return typed


def fine(told):
    code, out, err = told
    assert (code, err) == (0, [])
    return out


def bad(told):
    code, out, err = told
    assert (code, out) == (2, [])
    return err


def plan_in(folder, *uses, identity=""):
    (folder / NAME).write_text(CutPlan("loon", uses, identity).text())
    return folder


def test_sticks_are_added_under_the_section_they_are_bought_as(run):
    assert fine(run("add stick rect-1x2x0.125 96-1/2 -n 3", "--place", "rack 2", "--note", "May order")) == [
        'added: items 1-3, rect-2x1x0.125 96-1/2"'
    ]
    head, line, total = fine(run("list"))
    assert head.split() == ["item", "no", "name", "size", "place", "from"]
    assert line.split() == ["1-3", "3", "stick", TUBE, '96-1/2"', "rack", "2", "May", "order"]
    assert total == "3 sticks, 24' 1-1/2\""


def test_sheets_are_width_by_length_in_any_spelling(run, shop):
    for size in ("4ft x 8ft", "48x96", "48 X 96", "1219.2mm × 2438.4 mm"):
        assert fine(run(f"add sheet 5052-0.090 {size}"))[0].endswith('5052-0.090 48" x 96"')
    with open_stock(shop / "stock.sqlite") as held:
        assert {(item.blank.length, item.blank.width) for item in held.items()} == {(2438.4, 1219.2)}
        assert [item.thickness for item in held.items()] == pytest.approx([0.09 * 25.4] * 4)


def test_an_outline_with_a_hole_is_read_from_a_file(run, shop):
    (shop / "l.csv").write_text("x, y\n# along, across\n0,0\n40,0\n40,20\n0,508 mm\n\n5,5\n10,5\n10,10\n")
    assert fine(run("add sheet 5052-0.090 --outline l.csv")) == ['added: item 1, 5052-0.090 within 20" x 40"']
    with open_stock(shop / "stock.sqlite") as held:
        # 40 x 20 in less a triangle with two sides of 5 in.
        assert held.items()[0].blank.extent == pytest.approx((800 - 12.5) * 645.16)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "0,0\n10,10\n10,0\n0,10\n",
            "l.csv: the outline crosses itself at (127.0, 127.0) mm; list the corners",
        ),
        ("0,0\n10,0\n10,10\n0,10\n\n5,5\n20,5\n5,8\n", "l.csv: a hole leaves the outline or meets another"),
        ("0,0\n10,0\n", "l.csv: the outline has 2 corners; three are the least"),
        ("0,0\nten,0\n10,10\n", "l.csv:2: 'ten' is not a length; write it like"),
        ("0,0\n1 2\n10,10\n", "l.csv:2: '1 2' is no corner; write a line `x, y` for each corner"),
        ("0,0\n" * 3000, "l.csv: it has 3000 lines"),
        ("", "l.csv: there are no corners"),
        ("\xff", "l.csv: this is no text"),
    ],
)
def test_a_bad_outline_is_refused_with_its_spot_and_begins_no_file(run, shop, text, said):
    (shop / "l.csv").write_bytes(text.encode("latin-1"))
    assert bad(run("add sheet 5052-0.090 --outline l.csv"))[0].startswith(said)
    assert not (shop / "stock.sqlite").exists()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "add stick rect-2x1x0.12 96",
            "stock add section: the catalogue has no section 'rect-2x1x0.12'; did you",
        ),
        (f"add stick {TUBE} long", "stock add length: 'long' is not a length; write it like"),
        (f"add stick {TUBE} 0", "stock add length: 0 is too short to lie in a rack"),
        (
            "add sheet 5052-0.09 48x96",
            "stock add sheet: the catalogue has no sheet '5052-0.09'; did you mean",
        ),
        ("add sheet 5052-0.090 48", "stock add size: '48' is no size; write `4ft x 8ft`"),
        ("add sheet 5052-0.090", "stock add size: one size is wanted"),
        ("add sheet 5052-0.090 48 x 96 x 2", "stock add size: '48 x 96 x 2' is no size"),
        ("take 3", "stock.sqlite: there is no stock file yet; `athwart stock add` begins one"),
        ("take three", "stock take item: 'three' is no item number; write 3 or 5-8"),
        ("take 8-5", "stock take item: '8-5' is no item number"),
        ("take 1-999999999", "stock take item: '1-999999999' is no item number"),
        ("list", "stock.sqlite: there is no stock file yet"),
        ("undo", "stock.sqlite: there is no stock file yet"),
        ("cut .", "plans.json: there is no cut plan here"),
    ],
)
def test_what_is_wrong_is_one_line_with_its_cure_and_begins_no_file(run, shop, line, said):
    (told,) = bad(run(line))
    assert told.startswith(said)
    assert not (shop / "stock.sqlite").exists()


@pytest.mark.parametrize(
    "line", [f"add stick {TUBE} 96 -n 0", f"add stick {TUBE}", "undo x", "log -n 0", "lst"]
)
def test_wrong_use_ends_with_2(run, line):
    code, _, err = run(line)
    assert code == 2
    assert "Error:" in err[-1]


def test_a_shop_elsewhere_is_named_by_file_or_folder(run, shop, tmp_path_factory, monkeypatch):
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    assert bad(run("list")) == ["shop.yaml: there is no shop file; name it or its folder with --shop"]
    fine(run(f"add stick {TUBE} 96 --shop {shop}"))
    assert len(fine(run(f"list --shop {shop / 'shop.yaml'}"))) == 3
    assert (shop / "stock.sqlite").exists()


def test_the_shop_file_names_the_stock_file(run, shop):
    (shop / "shop.yaml").write_text("units: mm\nstock: kept/rack.sqlite\n")
    assert "rack.sqlite: the stock file cannot be written" in bad(run(f"add stick {TUBE} 2400"))[0]
    (shop / "kept").mkdir()
    fine(run(f"add stick {TUBE} 2400"))
    assert (shop / "kept" / "rack.sqlite").exists()
    assert "2400.0 mm" in fine(run("list"))[1]


def test_a_build_is_marked_told_and_undone(run, shop):
    fine(run(f"add stick {TUBE} 100 -n 2"))
    with open_stock(shop / "stock.sqlite") as held:
        identity = held.identity
    stick = Blank("stick", TUBE, 2540.0)
    plan_in(
        shop,
        Use(stick, "stock", "stock 1", 1, used=2000.0, kept=(Blank("stick", TUBE, 508.0),)),
        Use(Blank("stick", TUBE, 6096.0), "buy"),
        Use(stick, "shop", "bent one"),
        identity=identity,
    )
    assert fine(run("cut .", "--place", "rack 4")) == [
        "marked as cut: ., entry 2 of the log",
        "  out of the stock: item 1",
        "  bought and cut at once: 1",
        "  offcuts into the stock: item 3",
        "  cut up: 'bent one' of the shop file; strike it out there",
    ]
    assert [line.split()[0] for line in fine(run("list"))[1:3]] == ["3", "2"]
    assert "rack 4  left of loon" in fine(run("list"))[1]
    assert "marked as cut already, by entry 2" in bad(run("cut ."))[0]
    assert fine(run("undo")) == ["undone: entry 2, cut loon"]
    newest, marked, _ = fine(run("log"))[1:]
    assert newest.split()[3:] == ["undo", "of", "2:", "loon", "-", "3", "+", "1", TUBE]
    assert marked.endswith("undone by 3")
    assert len(fine(run("log -n 1"))) == 2


def test_taking_tells_the_entry(run):
    fine(run(f"add stick {TUBE} 100 -n 5"))
    assert fine(run("take 1 3-4,5", "--note", "bunks")) == ["taken: 1, 3-5, entry 2 of the log"]
    assert "item 3: it is gone: entry 2, take bunks" in bad(run("take 2 3"))[0]
    assert fine(run("list"))[1].split()[:2] == ["2", "1"]


def test_tables_keep_to_100_columns_and_hostile_text_stays_off_the_terminal(run):
    fine(run(f"add stick {TUBE} 100", "--place", "behind " * 30, "--note", "\x1b[2J\nfrom " * 20))
    fine(run(f"add stick {TUBE} 101 -n 9"))
    for line in (*fine(run("list")), *fine(run("log"))):
        assert len(line) <= 100
        assert line.isprintable()


def test_columns_are_cut_widest_first():
    head, row = columns(("a", "b", "c"), [("x" * 5, "y" * 300, "7")], right=(2,))
    assert len(row) == 100
    assert row.startswith("xxxxx  yyyy")
    assert row.endswith("yy..  7")
    assert head.split() == ["a", "b", "c"]


def test_in_a_pipe_there_is_nothing_but_the_table(shop):
    main.run(["stock", "add", "stick", TUBE, "96"])
    ran = subprocess.run(
        [sys.executable, "-m", "app.main", "stock", "list", "--shop", str(shop)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stderr == ""
    assert len(ran.stdout.splitlines()) == 3
    assert "\x1b" not in ran.stdout


@pytest.mark.parametrize("name", ["list", "take", "cut", "undo", "log", "add stick", "add sheet", "add mat"])
def test_every_command_of_the_stock_is_told_with_an_example(name, capsys):
    assert main.run(["stock", *name.split(), "--help"]) == 0
    assert f"Example: athwart stock {name}" in capsys.readouterr().out
    assert set(stock.commands) == {"list", "add", "take", "cut", "undo", "log"}


def test_a_stock_file_that_cannot_be_read_is_told(run, shop):
    (shop / "stock.sqlite").write_text("not a stock " * 100)
    assert bad(run("list")) == [
        "stock.sqlite: this is no stock file; name another under `stock:` in the shop file"
    ]
