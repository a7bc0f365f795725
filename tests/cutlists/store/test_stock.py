"""The stock file keeps what came and went, refuses what cannot be, and takes changes back."""

import sqlite3

import pytest
import shapely

from cutlists.blank import Blank, rings_fault
from cutlists.store.file import MARK, STEPS
from cutlists.store.records import numbers
from cutlists.store.stock import open_stock
from parts.faults import BadInput

TUBE = "rect-2x1x0.125"
STICK = Blank("stick", TUBE, 2451.1)
L_SHAPE = Blank.of_polygon(
    "sheet",
    "5052-0.090",
    shapely.Polygon([(10, 10), (710, 10), (710, 210), (310, 210), (310, 510), (10, 510)]),
)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "stock.sqlite"


@pytest.fixture
def stock(path):
    with open_stock(path, create=True) as found:
        yield found


def ids(stock):
    return [item.id for item in stock.items()]


def refused(call, *arguments):
    with pytest.raises(BadInput) as caught:
        call(*arguments)
    return [str(fault) for fault in caught.value.faults]


def test_what_is_added_is_read_back_the_same_by_another_opening(stock, path):
    stock.add([STICK, STICK], "rack 2", "bought in May")
    stock.add([L_SHAPE], thickness=2.286)
    with open_stock(path) as other:
        *sticks, sheet = other.items()
    assert [item.blank for item in sticks] == [STICK, STICK]
    assert {item.place for item in sticks} == {"rack 2"}
    assert sticks[0].origin == "bought in May"
    assert sheet.blank == L_SHAPE
    assert sheet.thickness == 2.286
    # Area of the L by hand: 700 x 200 + 300 x 300 mm.
    assert sheet.blank.extent == pytest.approx(700 * 200 + 300 * 300)
    assert (sheet.blank.length, sheet.blank.width) == (700, 500)


def test_a_listing_begins_no_file(path):
    assert "no stock file yet" in refused(lambda: open_stock(path).__enter__())[0]
    assert not path.exists()


def test_taking_is_all_or_nothing_and_tells_where_things_went(stock):
    stock.add([STICK] * 3)
    stock.take([2], "gate for the dock")
    told = refused(stock.take, [1, 2, 9])
    assert len(told) == 2
    assert "item 2: it is gone: entry 2, take gate for the dock" in told[0]
    assert "item 9: there is no item of this number" in told[1]
    assert ids(stock) == [1, 3]
    assert len(stock.log()) == 2


def test_undo_takes_back_the_last_change_then_the_one_before(stock):
    stock.add([STICK] * 2)
    stock.take([1])
    assert stock.undo().what == "take"
    assert ids(stock) == [1, 2]
    assert stock.undo().what == "add"
    assert ids(stock) == []
    assert "nothing to undo" in refused(stock.undo)[0]
    assert [(e.what, e.undoes, e.undone_by) for e in reversed(stock.log())] == [
        ("add", None, 4), ("take", None, 3), ("undo", 2, None), ("undo", 1, None),
    ]  # fmt: skip


def test_an_entry_that_a_later_one_builds_on_stays_until_that_is_undone(stock):
    stock.add([STICK] * 2, note="first")
    stock.take([2], "mast step")
    told = refused(stock.undo, 1)
    assert "its item 2 is gone: entry 2, take mast step; undo that entry first" in told[0]
    stock.undo(2)
    stock.undo(1)
    assert ids(stock) == []
    assert "entry 4 undid it already" in refused(stock.undo, 1)[0]
    assert "an undo is not undone" in refused(stock.undo, 3)[0]
    assert "no such entry" in refused(stock.undo, 99)[0]


def test_numbers_are_never_given_twice(stock):
    stock.add([STICK] * 2)
    stock.undo()
    stock.add([STICK])
    assert ids(stock) == [3]


def test_the_file_itself_refuses_a_second_taking_and_a_changed_log(stock, path):
    stock.add([STICK])
    stock.take([1])
    other = sqlite3.connect(path, isolation_level=None)
    entry = "INSERT INTO entries (at, what, note) VALUES ('', 'take', '')"
    other.execute(entry)
    for wrong in (
        "INSERT INTO moves VALUES (3, 1, -1)",
        "UPDATE moves SET way = 1",
        "DELETE FROM moves",
        "UPDATE entries SET note = 'x'",
        "DELETE FROM entries",
        "DELETE FROM items",
    ):
        with pytest.raises(sqlite3.IntegrityError):
            other.execute(wrong)
    other.close()


def test_the_file_is_marked_checked_and_logs_ahead(stock, path):
    stock.add([STICK])
    ask = lambda what: stock.db.execute(f"PRAGMA {what}").fetchone()[0]  # noqa: E731
    assert ask("application_id") == MARK
    assert ask("user_version") == len(STEPS)
    assert ask("journal_mode") == "wal"
    assert ask("foreign_keys") == 1
    assert ask("synchronous") == 2
    assert ask("integrity_check") == "ok"
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        stock.db.execute("INSERT INTO moves VALUES (99, 1, -1)")


@pytest.mark.parametrize("begin", ["CREATE TABLE songs (name TEXT)", "PRAGMA user_version = 3"])
def test_a_file_of_something_else_is_refused_and_left_alone(path, begin):
    other = sqlite3.connect(path)
    other.execute(begin)
    other.commit()
    other.close()
    before = path.read_bytes()
    assert (
        "this is no stock file; name another" in refused(lambda: open_stock(path, create=True).__enter__())[0]
    )
    assert path.read_bytes() == before


def test_text_and_a_newer_file_are_refused_in_words(path, tmp_path):
    (tmp_path / "note.txt").write_text("two sticks behind the door " * 40)
    assert "this is no stock file" in refused(lambda: open_stock(tmp_path / "note.txt").__enter__())[0]
    with open_stock(path, create=True) as stock:
        stock.db.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    assert "a newer Athwart wrote" in refused(lambda: open_stock(path).__enter__())[0]


def test_an_empty_file_left_by_a_kill_is_begun_anew(path):
    path.write_bytes(b"")
    with open_stock(path) as stock:
        assert stock.items() == []


def test_item_numbers_are_told_as_runs():
    assert numbers([7, 3, 5, 6]) == "3, 5-7"
    assert numbers([]) == ""


def test_blanks_are_alike_within_half_a_millimetre_and_only_of_one_shape():
    assert STICK.is_like(Blank("stick", TUBE, 2451.5))
    assert not STICK.is_like(Blank("stick", TUBE, 2452.0))
    assert not STICK.is_like(Blank("stick", "rect-3x1x0.125", 2451.1))
    box = Blank("sheet", "5052-0.090", 700, 500)
    assert not L_SHAPE.is_like(box)
    assert not Blank("sheet", "5052-0.090", 500, 700).is_like(box)
    turned = Blank.of_polygon("sheet", "5052-0.090", shapely.affinity.scale(L_SHAPE.polygon, -1.0, 1.0))
    assert not L_SHAPE.is_like(turned)
    assert box.size("in") == '19-11/16" x 27-9/16"'
    assert L_SHAPE.size("mm") == "within 500.0 mm x 700.0 mm"


def test_a_blank_without_size_is_refused():
    for kind, length, width in (("stick", 0, 0), ("stick", 5, 5), ("sheet", 5, 0), ("mat", -5, 5)):
        with pytest.raises(ValueError, match="sides above zero"):
            Blank(kind, "x", length, width)


def test_what_is_wrong_with_an_outline_is_told_with_its_spot():
    bow = [(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)]
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    inside = [(10.0, 10.0), (20.0, 10.0), (20.0, 20.0)]
    outside = [(90.0, 90.0), (120.0, 90.0), (120.0, 120.0)]
    assert rings_fault([bow]) == "the outline crosses itself at (50.0, 50.0) mm"
    assert rings_fault([square, inside]) == ""
    assert rings_fault([square, outside]).startswith("a hole leaves the outline or meets another")
    assert rings_fault([[(0.0, 0.0), (50.0, 0.0), (100.0, 0.0)]]) == "the outline encloses no area"
    assert "corners" in rings_fault([square[:2]])
