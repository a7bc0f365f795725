"""Wires, hoses and chases as pieces to show."""

from __future__ import annotations

from collections.abc import Sequence

from cutlists.scene import Colour, Scene, ScenePiece
from model.ways.check import WaysReport
from model.ways.passages import Passage
from model.ways.run import Run, length_of
from model.ways.tube import tube

WIRES, HOSES, PASSAGES = "wires", "hoses", "passages"
"""Groups that they hang under."""

CHASE = Colour("chase", 0.60, 0.60, 0.56, 0.45)

WALL, STUB = 2.0, 60.0
"""Tubes and chases are shown with walls of this thickness; what is shorter than the second, mm, is a hole."""

COLOURS = {"wire": Colour("wire", 0.72, 0.30, 0.12), "hose": Colour("hose", 0.14, 0.16, 0.22)}


def run_pieces(runs: Sequence[Run]) -> tuple[ScenePiece, ...]:
    """Each run as a tube, under `wires` or `hoses`."""
    return tuple(
        ScenePiece(run.name, (group_of(run),), COLOURS[run.kind], tube(run.path, run.diameter))
        for run in runs
    )


def chase_pieces(passages: Sequence[Passage]) -> tuple[ScenePiece, ...]:
    """Each tube or chase, as wide as its opening and its walls; holes show in their pieces."""
    long = [p for p in passages if length_of(p.points) > STUB]
    return tuple(
        ScenePiece(p.name, (PASSAGES,), CHASE, tube(p.points, max(p.width, p.height) + 2.0 * WALL))
        for p in long
    )


def group_of(run: Run) -> str:
    """The group that a run hangs under."""
    return WIRES if run.kind == "wire" else HOSES


def with_runs(scene: Scene, report: object) -> Scene:
    """The scene with the runs of a report of the check `ways`; without one, as it was."""
    if not isinstance(report, WaysReport):
        return scene
    more = (*run_pieces(report.runs), *chase_pieces(report.passages))
    return Scene(scene.title, (*scene.pieces, *more), scene.lines) if more else scene
