"""What is told of passages and runs: each fault once, with its pieces and how much is lacking."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from model.boat import Boat, build_boat
from model.findings import Finding
from model.ways.check import check_ways
from model.ways.route import Run, Wanted, Ways
from parts.yamlfile import read_text
from tests.model.ways.punts import PUNT, punt

RISER = "deck.aft/riser.forward.1"
HOLE = f"passages:\n  hole: {{at: [1000, 0, 200], diameter: 20, through: [{RISER}]}}\n"

HATCH = """\
        hatch: {centre: [550, 0], length: 300, width: 300, lid: {flange: 10}, hinge: aft}
"""


def hatched(more: str = "") -> Boat:
    text = PUNT.replace("    risers: {forward", "    openings:\n" + HATCH + "    risers: {forward", 1)
    return build_boat(read_text(text.replace("MORE", more), "punt.yaml"), Path("."))


def told(boat: Boat, *runs: Run) -> tuple[Finding, ...]:
    return check_ways(boat, runs, hands=False).findings


def wire(*points: tuple[float, float, float], diameter: float = 6.0, passages: tuple[str, ...] = ()) -> Run:
    return Run("wires.lamp", "wire", np.array(points, float), diameter, passages=passages)


def test_a_lid_that_touches_a_run_as_it_opens():
    across = wire((550, -300, 480), (550, 300, 480))
    found = told(hatched(), across)
    assert [f.pieces for f in found] == [("wires.lamp", "deck.aft/hatch/lid")]
    # the lid's forward part sweeps up through it: the touch is on the run, above the hatch
    assert found[0].where == pytest.approx([550, 0, 480], abs=200)
    assert told(hatched(), wire((550, -300, 340), (550, 300, 340))) == ()


RODS = """\
rods:
  lockers: [aft.hatch]
  kinds:
    short: {length: 500, butt: 30, tip: 8, count: 1}
"""


def test_a_run_where_a_rod_is_stowed(monkeypatch):
    """The rod is laid by hand: finding its place takes seconds and is tested elsewhere."""
    from model.rods.rod import Pose, Rod
    from model.rods.stow import Stowed

    rod = Rod("short", 500.0, 30.0, 8.0)
    pose = Pose.along(np.array([300.0, 0, 150]), np.array([780.0, 0, 150]))
    place = SimpleNamespace(place=SimpleNamespace(name="deck.aft/hatch"), stowed=(Stowed(rod, pose),))
    monkeypatch.setattr("model.rods.check.check_rods", lambda boat: SimpleNamespace(places=(place,)))
    boat = hatched(RODS)
    found = told(boat, wire((500, -80, 150), (500, 80, 150)))
    assert [f.pieces for f in found] == [("wires.lamp", "rod.short.deck.aft/hatch.1")]
    # a wire of 6 mm right across a rod lies in it by its own thickness, nearly
    assert found[0].short == pytest.approx(6.0, abs=0.6)
    assert told(boat, wire((500, -80, 170), (500, 80, 170))) == ()
    assert told(boat, wire((900, 500, 300), (900, 300, 300))) == ()


PASSAGES = {
    "misses": ("tube: {points: [[300, 0, 100], [600, 0, 100]], diameter: 20, through: [" + RISER + "]}",
               "does not go through"),
    "unnamed": ("tube: {points: [[900, 0, 100], [1100, 0, 100]], diameter: 20}", "meets the second"),
    "edge": ("hole: {at: [1000, 0, 394], diameter: 30, through: [deck.aft/riser.forward.1]}", "is not cut"),
}  # fmt: skip


@pytest.mark.parametrize("case", PASSAGES)
def test_a_passage_that_is_not_as_it_says(case):
    text, words = PASSAGES[case]
    found = [f for f in told(punt(f"passages:\n  {text}")) if words in f.what]
    assert len(found) == 1
    assert found[0].pieces[1] == "deck.aft/riser.forward.1"
    assert found[0].place is not None


def test_a_passage_that_is_too_full_is_told_with_the_size_that_does():
    boat = punt(
        "passages:\n  hole: {at: [1000, 0, 200], diameter: 20, through: [deck.aft/riser.forward.1]}\n"
    )
    ends = ((950, 0, 200), (1050, 0, 200))
    runs = [
        Run(f"wires.{n}", "wire", np.array(ends, float), 9.0, passages=("passage.hole",))
        for n in ("a", "b", "c")
    ]
    found = told(boat, *runs[:2])
    assert found == ()  # 2 x 9 mm go in, and fill 40 %
    found = told(boat, *runs)
    assert [f.pieces for f in found] == [("passage.hole",)]
    # three of 9 mm that touch lie in 9 (1 + 2 / sqrt(3)) = 19.4 mm; they fill 61 % of 60 % allowed
    assert "61%" in found[0].what
    assert found[0].short == pytest.approx(20.0 * (np.sqrt(3 * 81 / 400 / 0.6) - 1.0), rel=1e-6)


def test_given_points_are_taken_and_what_they_meet_is_told():
    boat = punt()
    given = np.array([(800.0, 0, 200), (1200.0, 0, 200)])
    run = Ways(boat).route([Wanted("wires.lamp", "wire", given[0], given[1], 6.0, given=given)])[0]
    assert isinstance(run, Run)
    assert np.array_equal(run.corners, given)
    assert [hit.piece for hit in run.hits] == ["deck.aft/riser.forward.1"]
    found = told(boat, run)
    assert [f.pieces for f in found] == [("wires.lamp", "deck.aft/riser.forward.1")]
    holed = punt(
        "passages:\n  hole: {at: [1000, 0, 200], diameter: 20, through: [deck.aft/riser.forward.1]}\n"
    )
    again = Ways(holed).route([Wanted("wires.lamp", "wire", given[0], given[1], 6.0, given=given)])[0]
    assert isinstance(again, Run)
    assert again.hits == ()
    assert again.passages == ("passage.hole",)


def test_the_summary_tells_what_was_looked_at():
    report = check_ways(punt(), [wire((200, 0, 100), (700, 0, 100))], hands=False)
    assert report.summary() == ("1 run laid, 500.0 mm in all; 0 bundles",)
    assert check_ways(punt(), ()).summary() == ()


CONSOLE = """\
  sole: {height: 120, aft: 1010, forward: 1990}
consoles:
  helm: {on: sole, centre: [1500, 0], length: 350, width: 400, height: 450, face_from: 250, face_angle: 20}
"""


def test_an_end_in_a_closed_console_asks_for_an_access_panel():
    text = PUNT.replace("fixtures:\n", CONSOLE + "fixtures:\n", 1)
    boat = build_boat(read_text(text.replace("MORE", ""), "punt.yaml"), Path("."))
    inside = check_ways(boat, [wire((1500, 0, 200), (1500, 50, 300))])
    assert [own.runs for own in inside.unreached] == [("wires.lamp",)]
    assert inside.unreached[0].panel.startswith("console.helm/")
    assert any("access panel" in line for line in inside.summary())
    assert inside.findings == ()


def test_an_end_below_a_hatch_is_reached_by_hand():
    below = wire((550, 0, 200), (560, 100, 200))
    assert check_ways(hatched(), [below]).unreached == ()
