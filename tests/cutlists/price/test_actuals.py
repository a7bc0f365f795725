"""What boats took is kept in the store, set beside the estimate, taught from; the log never changes."""

import sqlite3
from decimal import Decimal

import pytest

from cutlists.price.actuals import open_actuals
from cutlists.price.compare import compare_costs, compare_hours, compared_rows, finished_of
from cutlists.price.learn import Finished, learnt_of, rate_rows, rates_of
from cutlists.price.money import Currency
from cutlists.price.records import COST, Line, Quote, Step, summed
from cutlists.store.file import STEPS, opened
from cutlists.store.stock import open_stock
from parts.faults import BadInput


def labour(key, hours):
    return Line(
        "labour", key.partition(".")[0], key, key, Decimal(hours), "h", Decimal(60), Decimal(hours) * 60
    )


def quote(*lines):
    return Quote(
        "pond", "Pond", "1", "2026-11-25", "2026-12-25", Currency("CAD", "$"), lines,
        (Step(COST, summed(lines)),), amounts={"seam_m": 20.0, "cut": 90.0, "boat": 1.0},
    )  # fmt: skip


TUBE = Line("materials", "tube", "buy tube", "tube, 6 m", Decimal(4), "stick", Decimal(50), Decimal(200))
QUOTE = quote(labour("weld.bow", 6), labour("weld.aft", 4), labour("cut.bow", 5), TUBE)


def test_what_is_recorded_stands_until_it_is_undone_and_is_never_changed(tmp_path):
    path = tmp_path / "stock.sqlite"
    with open_actuals(path, create=True) as log:
        log.record("pond", "hours", "weld", "weld.bow", Decimal("6.55"), "overhead")
        log.record("lake", "hours", "weld", "", Decimal(9))
        cost = log.record("pond", "cost", "materials", "tube", Decimal("412.80"))
        assert [one.amount for one in log.of("pond")] == [Decimal("6.55"), Decimal("412.80")]
        assert log.undo("pond") == cost
        assert [one.note for one in log.of("pond")] == ["overhead"]
        assert log.undo("pond").name == "weld.bow"
        with pytest.raises(BadInput, match="nothing is recorded"):
            log.undo("pond")
        assert len(log.of("lake")) == 1
        for statement in ("UPDATE actuals SET amount = '1'", "DELETE FROM actuals", "DELETE FROM finished"):
            if "finished" in statement:
                log.finish(Finished("lake", {}, {}, {}))
            with pytest.raises(sqlite3.IntegrityError, match="the log is not changed"):
                log.db.execute(statement)


def test_a_store_of_before_is_brought_up_with_what_it_held(tmp_path, monkeypatch):
    path = tmp_path / "stock.sqlite"
    monkeypatch.setattr("cutlists.store.file.STEPS", STEPS[:2])
    with open_stock(path, create=True) as stock:
        identity = stock.identity
    monkeypatch.setattr("cutlists.store.file.STEPS", STEPS)
    with open_actuals(path) as log:
        log.record("pond", "hours", "weld", "", Decimal(1))
    with opened(path) as db:
        assert db.execute("PRAGMA user_version").fetchone()[0] == len(STEPS)
        assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    with open_stock(path) as stock:
        assert stock.identity == identity


def test_estimate_and_actual_stand_beside_each_other(tmp_path):
    with open_actuals(tmp_path / "s.sqlite", create=True) as log:
        log.record("pond", "hours", "weld", "weld.bow", Decimal(9))
        log.record("pond", "hours", "weld", "weld.bow", Decimal(1))
        log.record("pond", "cost", "materials", "tube", Decimal("250"))
        log.record("pond", "cost", "materials", "", Decimal("10"))
        noted = log.of("pond")
    # The checklist's 7 h of the bow give way to the 10 h noted by hand; those of the aft frame count.
    hours = compare_hours(QUOTE, noted, {("weld", "weld.bow"): Decimal(7), ("cut", "cut.bow"): Decimal(5)})
    by_kind = {row.kind: row for row in hours}
    assert (by_kind["weld"].estimated, by_kind["weld"].actual) == (10, 10)
    assert by_kind["weld"].lacking == ("weld.aft",)
    assert by_kind["cut"].off == 0
    (costs,) = compare_costs(QUOTE, noted)
    assert (costs.estimated, costs.actual, costs.off) == (200, 260, 30)
    assert compared_rows(hours)[-1] == ("of those with an actual", "15.00 h", "15.00 h", "+0 %", "")
    # Half a kind teaches nothing: it would make the shop look fast.
    assert finished_of(QUOTE, hours).took == {"cut": 5.0}
    whole = compare_hours(QUOTE, [], {("weld", "weld.bow"): Decimal(7), ("weld", "weld.aft"): Decimal(5)})
    assert finished_of(QUOTE, whole).took == {"weld": 12.0}


def boats(*pairs):
    return [
        Finished(
            f"b{k}", {"seam_m": metres, "boat": 1.0}, {"weld": metres / 4}, {"weld": hours, "strip": 4 + k}
        )
        for k, (metres, hours) in enumerate(pairs)
    ]


def test_finished_boats_are_read_back_and_a_later_note_stands(tmp_path):
    first, second = boats((10.0, 5.0), (20.0, 11.0))
    with open_actuals(tmp_path / "s.sqlite", create=True) as log:
        log.finish(first)
        log.finish(second)
        assert log.finished() == [first, second]
        log.reopen("b0")
        assert log.finished() == [second]
        with pytest.raises(BadInput, match="not noted as finished"):
            log.reopen("b0")
        log.finish(first)
        assert log.finished() == [second, first]


def test_a_rate_is_told_with_its_error_its_boats_and_its_range():
    told = boats((10.0, 5.1), (20.0, 9.7), (30.0, 15.4), (40.0, 19.9))
    rate = rates_of(told)["weld"]
    # Through the origin: sum(x y) / sum(x x) = 1503 / 3000 (the normal equation, by hand).
    assert rate.each == pytest.approx(1503 / 3000)
    left = [y - rate.each * x for x, y in ((10, 5.1), (20, 9.7), (30, 15.4), (40, 19.9))]
    spread = (sum(r * r for r in left) / 3) ** 0.5
    assert rate.error == pytest.approx(spread / 3000**0.5)
    low, high = rate.within(25.0)
    # t of 3 degrees of freedom at 97.5 % is 3.182 (printed tables of Student's t).
    assert (high - low) / 2 == pytest.approx(3.182 * spread * (1 + 625 / 3000) ** 0.5, rel=1e-3)
    assert rate.cautions(25.0) == ["from 4 boats only"]
    assert "this boat has 80, they had 10 to 40" in rate.cautions(80.0)
    # What goes with no measure is so much a boat: the mean of 4, 5, 6 and 7.
    assert rates_of(told)["strip"].each == pytest.approx(5.5)
    row = next(row for row in rate_rows(told, {"seam_m": 25.0}, {"weld": 6.25}) if row[0] == "weld")
    assert row[2:7] == ("0.250 h", "0.501 h", f"{rate.error:.3f}", "4", "12.5 h")


def test_hours_beside_the_rate_are_found_where_they_are_sure():
    steady = boats((10.0, 13.0), (20.0, 18.1), (30.0, 22.9), (40.0, 28.0), (50.0, 33.0))
    assert rates_of(steady)["weld"].beside == pytest.approx(8.0, abs=0.2)
    assert any("+8.0 h a boat" in told for told in rates_of(steady)["weld"].cautions())
    assert rates_of(boats((10.0, 5.1), (20.0, 9.7), (30.0, 15.4), (40.0, 19.9)))["weld"].beside is None


def test_learnt_hours_are_used_only_with_enough_boats_and_are_told():
    told = boats((10.0, 5.0), (20.0, 10.0), (30.0, 15.0), (40.0, 20.0))
    learnt = learnt_of(told, {"seam_m": 24.0, "boat": 1.0}, {"weld": 6.0, "mat": 3.0}, 4)
    assert learnt.factors == {"weld": Decimal("2.0")}
    assert "welding: 12.0 h learnt from 4 boats, in place of 6.0 h" in learnt.notes[0]
    few = learnt_of(told[:3], {"seam_m": 24.0}, {"weld": 6.0}, 4)
    assert few.factors == {}
    assert "hours are the shop's own" in few.notes[0]
    assert set(rates_of(told[:1])) == set()


def test_numbers_that_cannot_be_read_are_told(tmp_path):
    with open_actuals(tmp_path / "s.sqlite", create=True) as log:
        log.db.execute("INSERT INTO finished (at, boat, told) VALUES ('', 'pond', '{\"amounts\": 3}')")
        with pytest.raises(BadInput, match="cannot be read; finish it again"):
            log.finished()
