"""Runs as bodies that are measured against the rest of the boat."""

from __future__ import annotations

from collections.abc import Sequence

from model.clearance.bodies import Body, body_of_mesh
from model.ways.run import Run
from model.ways.tube import tube

WIRE, HOSE = "wire", "hose"
KINDS = (WIRE, HOSE)
"""Kinds of bodies of runs."""


def bodies(runs: Sequence[Run]) -> list[Body]:
    """A body for each run, its kind `wire` or `hose`."""
    return [body_of_mesh(run.name, run.kind, tube(run.path, run.diameter)) for run in runs]
