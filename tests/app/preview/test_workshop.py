"""The workshop: newest values win, the last good boat stays, steps are taken back, values kept."""

import asyncio
import json

import pytest

from app.preview.history import History
from app.preview.rebuild import Rebuilder
from app.preview.versions import FILE
from app.preview.workshop import Refused, Workshop
from model.boat import load_boat
from tests.app.preview.live import POND, pond


def told(shop, section):
    return json.loads(shop.shown.sections[section])


def moved(shop):
    return {row["name"]: row["text"] for row in told(shop, "dimensions") if row["before"] is not None}


def at_work(path, does, marks=None):
    """Runs `does(workshop)` beside the workshop's own work, from the moment its first boat is there."""

    async def run():
        shop = Workshop(path, marks)
        work = asyncio.create_task(shop.run())
        try:
            await asyncio.wait_for(shop.settled(), 20)
            return await asyncio.wait_for(does(shop), 30)
        finally:
            work.cancel()

    return asyncio.run(run())


def test_a_move_changes_boat_and_tables_and_says_what_it_did(tmp_path):
    async def does(shop):
        before = told(shop, "saw")
        shop.move("deck", "12-1/2")
        await shop.settled()
        assert told(shop, "saw") != before
        assert moved(shop) == {"deck": "12-1/2"}
        change = told(shop, "change")
        assert change["rows"]
        posts = [row for row in change["rows"] if any("post" in name for name in row["names"])]
        assert posts
        assert all(row["before"]["size"] != row["after"]["size"] for row in posts)
        assert any(sum_["before"] != sum_["after"] for sum_ in change["sums"])

    at_work(pond(tmp_path), does)


def test_weight_and_trim_follow_the_picture_before_the_longer_lists(tmp_path):
    async def does(shop):
        first = {name: shop.shown.sections[name] for name in ("weights", "saw")}
        pieces, came = shop.shown.pieces, []

        def hears():
            came.extend(name for name, was in first.items() if shop.shown.sections[name] != was)
            came.extend(["picture"] if shop.shown.pieces != pieces else [])

        shop.listeners.add(hears)
        shop.move("deck", "12-1/2")
        await shop.settled()
        assert list(dict.fromkeys(came)) == ["picture", "weights", "saw"]

    at_work(pond(tmp_path), does)


def test_marks_of_an_older_build_do_not_make_untouched_pieces_seem_changed(tmp_path):
    """Pieces that are new since that build have new numbers, which go to nobody else."""
    path = pond(tmp_path)
    boat = load_boat(path)
    marks = {name: (mark, boat.signatures[name]) for name, mark in boat.marks.items()}
    # Then this one was cut otherwise; the rims, which come before it and turn with the slant, were not.
    marks["deck.bow/ledger.starboard.2"] = (marks["deck.bow/ledger.starboard.2"][0], "as it was")

    async def does(shop):
        shop.move("slant", "61")
        await shop.settled()
        named = {name for row in told(shop, "change")["rows"] for name in row["names"]}
        base = Rebuilder(shop.source, shop._marks).build({})
        after = shop.boat
        changed = {n for n in base.signatures if base.signatures[n] != after.signatures.get(n)}
        assert named == changed | (set(after.signatures) - set(base.signatures))

    at_work(path, does, marks)


def test_of_many_values_only_the_first_and_the_newest_are_built(tmp_path):
    async def does(shop):
        built = []
        build = shop._rebuilder.build
        shop._rebuilder.build = lambda values: built.append(dict(values)) or build(values)
        for step in range(40):
            shop.move("deck", to=(12 + step / 20) * 25.4, rest=False)
            await asyncio.sleep(0)
        shop.move("deck", "14-1/4")
        await shop.settled()
        assert built[-1] == {"deck": "14-1/4"}
        assert len(built) <= 3
        assert (shop.history.undos, shop.history.now) == (1, {"deck": "14-1/4"})

    at_work(pond(tmp_path), does)


def test_letting_go_where_the_slider_stands_builds_nothing_anew_but_rests(tmp_path):
    async def does(shop):
        rested = []
        shop.resting.append(rested.append)
        shop.move("deck", to=12 * 25.4, rest=False)
        await shop.settled()
        boat = shop.boat
        assert rested == []
        shop.move("deck", to=12 * 25.4)
        await shop.settled()
        assert shop.boat is boat
        assert [dict(asked.values) for asked in rested] == [{"deck": "12"}]
        assert told(shop, "history")["undos"] == 1
        assert told(shop, "change")["rows"]
        shop.undo()
        await shop.settled()
        assert shop.boat is not boat

    at_work(pond(tmp_path), does)


def test_a_drag_compares_with_the_boat_before_the_hand_was_laid_on(tmp_path):
    async def does(shop):
        first = {row["key"]: row["cells"] for row in told(shop, "saw")["rows"]}
        for inches in (12.5, 12.0, 11.5):
            shop.move("deck", to=inches * 25.4, rest=inches == 11.5)
            await shop.settled()
        rows = told(shop, "change")["rows"]
        assert {row["before"]["mark"] for row in rows if row["before"]["mark"].startswith("F")} <= set(first)

    at_work(pond(tmp_path), does)


@pytest.mark.parametrize("text", ["many", "20", "(deck_aft", "1e9", "deck"])
def test_a_wrong_value_leaves_the_last_good_boat_and_says_why(tmp_path, text):
    async def does(shop):
        boat, pieces = shop.boat, shop.shown.pieces
        shop.move("deck", text)
        await shop.settled()
        assert shop.boat is boat
        assert shop.shown.pieces is pieces
        (fault, *_) = told(shop, "faults")
        assert fault["wrong"]
        assert fault["right"]
        assert fault["key"].startswith("dimensions.")
        assert fault["line"]
        assert "deck" in fault["text"]
        with pytest.raises(Refused, match="nothing was written"):
            await shop.keep()
        shop.undo()
        await shop.settled()
        assert told(shop, "faults") == []

    at_work(pond(tmp_path), does)


@pytest.mark.parametrize(
    ("name", "text", "to"),
    [
        ("keel", "1", None),
        (None, "1", None),
        ("deck", "", None),
        ("deck", None, None),
        ("deck", "1\n2", None),
        ("deck", "9" * 201, None),
        ("deck", None, float("nan")),
        ("deck", None, 1e300),
        ("deck", None, True),
        (["deck"], "1", None),
        ("deck", {"value": 1}, None),
    ],
)
def test_what_is_no_value_is_refused(tmp_path, name, text, to):
    async def does(shop):
        with pytest.raises(Refused):
            shop.move(name, text, to)
        assert shop.history.undos == 0

    at_work(pond(tmp_path), does)


def test_undo_redo_and_drop_are_steps(tmp_path):
    async def does(shop):
        shop.move("deck", "12")
        shop.move("slant", "65")
        shop.undo()
        await shop.settled()
        assert moved(shop)["deck"] == "12"
        assert "slant" not in moved(shop)
        shop.redo()
        shop.drop()
        await shop.settled()
        assert moved(shop) == {}
        shop.undo()
        await shop.settled()
        assert set(moved(shop)) >= {"deck", "slant"}

    at_work(pond(tmp_path), does)


def test_keep_writes_the_values_and_can_still_be_taken_back(tmp_path):
    path = pond(tmp_path)

    async def does(shop):
        shop.move("deck", "12")
        await shop.keep()
        assert path.read_text() == POND.replace("value: 13", "value: 12")
        assert moved(shop) == {}
        shop.undo()
        await shop.settled()
        assert moved(shop)["deck"] == "13"
        await shop.keep()
        assert path.read_text() == POND

    at_work(path, does)


def test_a_saved_file_is_taken_in_and_moves_not_touched_by_it_stay(tmp_path):
    path = pond(tmp_path)

    async def does(shop):
        shop.move("deck", "12")
        shop.move("slant", "65")
        path.write_text(POND.replace("value: 13", "value: 14").replace("Pond 12", "Pond 13"))
        shop.look_again()
        await shop.settled()
        assert told(shop, "boat")["title"] == "Pond 13"
        assert "deck" not in moved(shop)
        assert moved(shop)["slant"] == "65"

    at_work(path, does)


def test_a_file_saved_wrong_is_told_with_its_line_and_mended_again(tmp_path):
    path = pond(tmp_path)

    async def does(shop):
        boat = shop.boat
        for wrong in (POND.replace("forward: 130", "forwards: 130"), "boat: [", "\x00"):
            path.write_text(wrong)
            shop.look_again()
            await shop.settled()
            assert told(shop, "faults")
            assert shop.boat is boat
        path.unlink()
        shop.look_again()
        await shop.settled()
        assert told(shop, "faults")
        path.write_text(POND)
        shop.look_again()
        await shop.settled()
        assert told(shop, "faults") == []
        assert shop.boat is not boat

    at_work(path, does)


def test_a_fault_of_our_own_is_told_and_the_boat_stays(tmp_path, monkeypatch):
    async def does(shop):
        boat = shop.boat
        shop._rebuilder.build = lambda values: 1 / 0
        shop.move("deck", "12")
        await shop.settled()
        assert "ZeroDivisionError" in told(shop, "faults")[0]["wrong"]
        assert shop.boat is boat
        monkeypatch.setattr("app.preview.workshop.read_source", lambda path: {}[path])
        shop.look_again()
        await shop.settled()
        assert "KeyError" in told(shop, "faults")[0]["wrong"]
        monkeypatch.undo()
        shop.look_again()
        await shop.settled()
        assert told(shop, "faults") == []

    at_work(pond(tmp_path), does)


def test_versions_are_held_against_each_other(tmp_path):
    path = pond(tmp_path)
    (tmp_path / "other.yaml").write_text(POND.replace("beam_span: 14", "beam_span: 7"))
    (tmp_path / "bad.yaml").write_text("boat: [")
    (tmp_path.parent / "outside.yaml").write_text(POND)
    (tmp_path / "link.yaml").symlink_to(tmp_path.parent / "outside.yaml")

    async def does(shop):
        assert told(shop, "versions") == [FILE, "bad.yaml", "other.yaml"]
        await shop.compare(FILE)
        assert told(shop, "compare")["changed"] == told(shop, "compare")["came"] == []
        shop.move("deck", "12")
        await shop.settled()
        found = told(shop, "compare")
        assert "deck.bow/sheet.1" in found["changed"]
        assert found["change"]["rows"]
        ghosts = {name for name in shop.shown.pieces if name.startswith("was/")}
        assert ghosts == {f"was/{name}" for name in (*found["changed"], *found["went"])}

        shop.hold()
        shop.drop()
        await shop.settled()
        await shop.compare("snapshot 1")
        assert "deck.bow/sheet.1" in told(shop, "compare")["changed"]
        await shop.compare("other.yaml")
        assert any("/beam" in name for name in told(shop, "compare")["went"])
        for label in ("link.yaml", "../outside.yaml", str(tmp_path / "other.yaml"), "shop.yaml", ""):
            with pytest.raises(Refused):
                await shop.compare(label)
        with pytest.raises(Refused, match=r"bad.yaml"):
            await shop.compare("bad.yaml")
        assert told(shop, "compare")["with"] == "other.yaml"
        await shop.compare(None)
        assert told(shop, "compare") is None
        assert not any(name.startswith("was/") for name in shop.shown.pieces)

    at_work(path, does)


def test_history_forgets_what_could_be_made_again_once_something_else_is_done():
    steps = History()
    steps.put({"a": "1"})
    steps.put({"a": "2"})
    assert steps.undo()
    steps.put({"a": "3"})
    assert not steps.redo()
    assert steps.undo()
    assert steps.now == {"a": "1"}


def test_history_is_told_anew_against_another_file():
    steps = History()
    steps.put({"a": "1"})
    steps.put({"a": "1", "b": "5"})
    steps.rebase({"a": "0", "b": "4"}, {"a": "1", "b": "4"})
    assert steps.now == {"b": "5"}
    steps.undo()
    assert steps.now == {}
    steps.undo()
    assert steps.now == {"a": "0"}
