"""What may be left out, and the lightest frame: every answer is built and checked again here."""

from pathlib import Path

import pytest
from distributed import LocalCluster

from model.strength.check import check_strength
from model.strength.spare import spare_members
from model.strength.suggest import Choice, suggest_frame, with_choice
from model.strength.workers import Crew, crew
from parts.catalogue import starter
from tests.model.boats import DECK, build

SMALL = {**DECK, "forward": 1300}
STOUT = {"d": {**SMALL, "frame": {"section": "rect-40x60x3", "beam_span": 300, "post_span": 400}}}
SECTIONS = ["rect-25x50x3", "rect-40x60x3", "rect-20x40x2"]
SPANS = [250.0, 380.0]
HERE = Path()


def test_what_may_be_left_out_may_be_left_out():
    boat = build(decks=STOUT)
    names = [m.name for m in boat.members if "/post." in m.name][:3]
    found = spare_members(boat, jobs=1, names=names)
    assert found.tried == len(names)
    assert found.single
    assert found.together is not None
    mass = {m.name: m.mass for m in boat.members}
    for spare in (*found.single, found.together):
        again = check_strength(boat, without=spare.names)
        assert again.greatest == pytest.approx(spare.greatest)
        assert again.greatest <= 1.0
        assert spare.mass == pytest.approx(sum(mass[name] for name in spare.names))
    assert found.together.mass >= max(s.mass for s in found.single)


def test_a_beam_is_thought_away_with_its_posts_and_its_two_bays_become_one():
    boat = build(decks=STOUT)
    beam = next(m.name for m in boat.members if m.name.endswith("/beam.2"))
    found = spare_members(boat, jobs=1, names=[beam])
    assert found.tried == 1
    own = [beam, *(m.name for m in boat.members if m.name.startswith(f"{beam}/post."))]
    assert len(check_strength(boat, without=own).bays) == len(check_strength(boat).bays) - 1


def test_the_lightest_choice_carries_and_no_lighter_one_does():
    boat = build(decks={"d": SMALL})
    found = suggest_frame(boat, "d", HERE, starter(), sections=SECTIONS, spans=SPANS, jobs=1)
    assert found.built == len(SECTIONS) * len(SPANS)
    assert found.best is not None
    passed = []
    for section in SECTIONS:
        for span in SPANS:
            deck = {**SMALL, "frame": {"section": section, "beam_span": span}}
            made = build(decks={"d": deck})
            if not made.findings and check_strength(made).greatest <= 1.0:
                passed.append(sum(m.mass for m in made.members))
    assert found.best.mass == pytest.approx(min(passed), rel=1e-6)
    assert all(tried.why for tried in found.checked[:-1])


def test_the_draw_is_the_same_for_the_same_seed():
    boat = build(decks={"d": SMALL})

    def drawn(seed):
        found = suggest_frame(
            boat, "d", HERE, starter(), sections=SECTIONS, spans=SPANS, most=3, seed=seed, jobs=1
        )
        assert (found.built, found.left) == (3, 3)
        return [t.choice for t in found.checked]

    assert drawn(4) == drawn(4)


def test_where_nothing_carries_that_is_what_is_said():
    boat = build(decks={"d": SMALL}, strength={"person": "700 kg"})
    found = suggest_frame(boat, "d", HERE, starter(), sections=SECTIONS[:1], spans=SPANS[:1], jobs=1)
    assert found.best is None
    assert "use of" in found.checked[0].why
    assert "use of" in found.now.why


def test_a_choice_changes_its_deck_alone_and_not_the_boat_it_is_taken_from():
    boat = build(decks={"d": SMALL, "low": {"height": 100, "aft": 200, "forward": 2800}})
    before = str(boat.document.data)
    changed = with_choice(boat.document, "d", Choice("rect-40x60x3", 300.0))
    assert str(boat.document.data) == before
    assert changed.data["decks"]["d"]["frame"] == {"section": "rect-40x60x3", "beam_span": "300.000000 mm"}
    assert changed.data["decks"]["low"] == boat.document.data["decks"]["low"]


def _times(state, thing):
    return state["by"] * thing


def test_work_on_all_cores_comes_back_in_order():
    things = list(range(7))
    assert list(Crew(2).each(_times, {"by": 3}, things)) == [0, 3, 6, 9, 12, 15, 18]
    assert list(Crew(1).each(_times, {"by": 2}, things)) == [0, 2, 4, 6, 8, 10, 12]
    assert list(Crew(2).each(_times, {"by": 2}, [])) == []


@pytest.fixture(scope="module")
def cluster():
    """A cluster of Dask's own, of two workers in this process."""
    made = LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None, host="127.0.0.1",
        protocol="tcp://",
    )  # fmt: skip
    with made:
        yield made.scheduler_address


def test_work_on_a_cluster_comes_back_in_order(cluster):
    with crew(cluster=cluster) as workers:
        assert workers.count == 2
        assert list(workers.each(_times, {"by": 3}, range(7))) == [0, 3, 6, 9, 12, 15, 18]


def test_a_cluster_finds_the_same_frame_as_this_machine(cluster):
    given = {"sections": SECTIONS[:2], "spans": SPANS[:2]}
    boat = build(decks={"d": SMALL})
    here = suggest_frame(boat, "d", HERE, starter(), jobs=1, **given)
    there = suggest_frame(boat, "d", HERE, starter(), cluster=cluster, **given)
    assert there.best is not None
    assert (there.best.choice, there.best.mass) == (here.best.choice, pytest.approx(here.best.mass))
    assert there.best.greatest == pytest.approx(here.best.greatest)


def test_no_cluster_is_told(monkeypatch):
    monkeypatch.setattr("model.strength.workers.PATIENCE", 0.5)
    with pytest.raises(OSError, match=r"127\.0\.0\.1:9"), crew(cluster="tcp://127.0.0.1:9"):
        pass
