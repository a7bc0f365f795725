"""The nesting engine, spyrrow, run as a process of its own: outlines into a strip as short as can be.

A process, since a run cannot be stopped from within and two of them use two cores. The file is also what
that process runs, so it imports nothing of ours. What the engine finds comes as a row of reports that for
one seed is always the same; only how far down the row it gets depends on the clock. A limit in reports
thus stops it where it always stops.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

_POLL = 0.01
_START = 5.0
"""Longest wait past the deadline for a process to answer, s."""


@dataclass(frozen=True)
class StripTask:
    """Outlines to lay in a strip along x.

    Attributes:
        height: of the strip, along y; with the spacing kept to its edges too, mm.
        outlines: of each item its corners.
        turns: of each item the turns allowed, degrees.
        spacing: least distance of items from each other and from the strip's edges, mm.
        seed: for the engine's random numbers.
        workers: threads; what is found depends on how many.
    """

    height: float
    outlines: tuple[tuple[tuple[float, float], ...], ...]
    turns: tuple[tuple[float, ...], ...]
    spacing: float
    seed: int
    workers: int = 1


@dataclass(frozen=True)
class Limits:
    """When to stop a run: at a strip of `target` mm or less, after `reports`, after `failures`, at the clock.

    `reports` and `failures` are counted by the engine's own row of reports; None sets no such limit.
    `deadline` is a reading of `time.monotonic`.
    """

    deadline: float
    target: float = 0.0
    reports: int | None = None
    failures: int | None = None


@dataclass(frozen=True)
class Strip:
    """The shortest strip found: for each item its turn, degrees, and the move after it, mm."""

    length: float
    turns: tuple[float, ...]
    moves: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Answer:
    """What a run came to: None if nothing was found; whether the clock stopped it; what went wrong."""

    strip: Strip | None
    by_clock: bool
    fault: str = ""


def run_engine(task: StripTask, limits: Limits) -> Answer:
    """The shortest strip found within the limits. The engine's word is not checked here."""
    seconds = max(0.05, limits.deadline - time.monotonic())
    whole = limits.reports is None and limits.failures is None
    order = {
        "height": task.height,
        "items": [[xy, turns] for xy, turns in zip(task.outlines, task.turns, strict=True)],
        "spacing": task.spacing,
        "seed": task.seed,
        "workers": task.workers,
        # The last fifth of a run that goes to the clock is for pressing the best strip together.
        "seconds": [seconds * 0.8, seconds * 0.2] if whole else [seconds, 0.0],
    }
    command = [sys.executable, "-P", __file__]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as child:
        guard = threading.Timer(seconds + (_START if whole else 0.0), child.kill)
        guard.start()
        try:
            return _listen(child, order, limits)
        finally:
            guard.cancel()
            child.kill()


def _listen(child: subprocess.Popen[str], order: dict[str, Any], limits: Limits) -> Answer:
    """Read reports until a limit is reached or the process ends."""
    assert child.stdin is not None
    assert child.stdout is not None
    try:
        child.stdin.write(json.dumps(order))
        child.stdin.close()
    except OSError:
        pass  # It ended before it read; what it said is told below.
    best: Strip | None = None
    failures = 0
    for reports, line in enumerate(child.stdout, start=1):
        report = json.loads(line)
        if report["kind"] == "end":
            return Answer(best, not report["fault"], report["fault"])
        failures += report["kind"] == "failed"
        if "length" in report and (best is None or report["length"] < best.length):
            best = _strip(report)
        if best is not None and best.length <= limits.target:
            return Answer(best, by_clock=False)
        if reports == limits.reports or failures == limits.failures:
            return Answer(best, by_clock=False)
    assert child.stderr is not None
    said = child.stderr.read().strip().splitlines()
    return Answer(best, by_clock=True, fault=said[-1] if said else "")


def _strip(report: dict[str, Any]) -> Strip:
    placed = sorted(report["placed"])
    return Strip(
        report["length"], tuple(turn for _, turn, _, _ in placed), tuple((x, y) for _, _, x, y in placed)
    )


# --- what runs in the process


def _serve() -> None:
    """Read one order, run it, and write its reports as lines of JSON."""
    import spyrrow

    order = json.load(sys.stdin)
    items = [
        spyrrow.Item(str(i), [(x, y) for x, y in xy], 1, list(turns))
        for i, (xy, turns) in enumerate(order["items"])
    ]
    instance = spyrrow.StripPackingInstance("strip", order["height"], items)
    config = _config(spyrrow, order)
    queue = spyrrow.ProgressQueue()
    said: list[str] = []

    def solve() -> None:
        try:
            instance.solve(config, queue)
        except BaseException as error:  # a panic of the engine is no Exception
            said.append(f"{type(error).__name__}: {error}")

    worker = threading.Thread(target=solve, daemon=True)
    worker.start()
    running = True
    while running:
        running = worker.is_alive()
        for kind, solution in queue.drain():
            print(json.dumps(_report(spyrrow, kind, solution)), flush=True)
        time.sleep(_POLL)
    print(json.dumps({"kind": "end", "fault": " ".join(said)}), flush=True)


def _config(spyrrow: Any, order: dict[str, Any]) -> Any:
    from datetime import timedelta

    config = spyrrow.StripPackingConfig(
        early_termination=False,
        total_computation_time=1,
        num_workers=order["workers"],
        seed=order["seed"],
        min_items_separation=order["spacing"] or None,
    )
    config.exploration_time, config.compression_time = (timedelta(seconds=s) for s in order["seconds"])
    return config


def _report(spyrrow: Any, kind: Any, solution: Any) -> dict[str, Any]:
    """A report with the layout if it is one that can be cut."""
    types = spyrrow.ReportType
    if kind not in (types.ExplFeas, types.CmprFeas, types.Final):
        return {"kind": "failed" if kind == types.ExplInfeas else "under way"}
    placed: Sequence[Any] = solution.placed_items
    rows = [(int(item.id), item.rotation, *item.translation) for item in placed]
    return {"kind": "found", "length": solution.width, "placed": rows}


if __name__ == "__main__":
    _serve()
