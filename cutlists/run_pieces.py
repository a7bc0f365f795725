"""Wires and hoses as pieces to show."""

from __future__ import annotations

from collections.abc import Sequence

from cutlists.scene import Colour, Scene, ScenePiece
from model.ways.check import WaysReport
from model.ways.run import Run
from model.ways.tube import tube

WIRES, HOSES = "wires", "hoses"
"""Groups that they hang under."""

COLOURS = {"wire": Colour("wire", 0.72, 0.30, 0.12), "hose": Colour("hose", 0.14, 0.16, 0.22)}


def run_pieces(runs: Sequence[Run]) -> tuple[ScenePiece, ...]:
    """Each run as a tube, under `wires` or `hoses`."""
    return tuple(
        ScenePiece(run.name, (group_of(run),), COLOURS[run.kind], tube(run.path, run.diameter))
        for run in runs
    )


def group_of(run: Run) -> str:
    """The group that a run hangs under."""
    return WIRES if run.kind == "wire" else HOSES


def with_runs(scene: Scene, report: object) -> Scene:
    """The scene with the runs of a report of the check `ways`; without one, as it was."""
    if not isinstance(report, WaysReport) or not report.runs:
        return scene
    return Scene(scene.title, (*scene.pieces, *run_pieces(report.runs)), scene.lines)
