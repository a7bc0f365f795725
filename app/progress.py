"""Progress on the terminal: only there, only on stderr, and only once half a second has passed."""

from __future__ import annotations

import os
import sys
import threading
from types import TracebackType
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

PATIENCE = 0.5
"""Seconds before anything is shown; quicker work stays quiet."""


class Progress:
    """Told of each step by a call, `progress("cutting members")`; shows the step and the time taken.

    In a pipe, in a dumb terminal or before `PATIENCE` seconds it shows nothing. Use as a context manager.
    """

    def __init__(self, stream: TextIO | None = None, patience: float = PATIENCE) -> None:
        self.stream = stream or sys.stderr
        self.step = "starting"
        self.bar: Bar | None = None
        self._done = False
        self._lock = threading.Lock()
        self._timer = threading.Timer(patience, self._show)
        self._timer.daemon = True

    def __call__(self, step: str) -> None:
        """Names the step that begins now."""
        with self._lock:
            self.step = step
            if self.bar is not None:
                self.bar.update(self.bar.task_ids[0], description=step)

    def __enter__(self) -> Progress:
        if self.stream.isatty() and os.environ.get("TERM", "") not in ("", "dumb"):
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._timer.cancel()
        with self._lock:
            # A timer that fires from here on finds no stream to show on.
            self._done = True
            if self.bar is not None:
                self.bar.stop()

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import Progress as Bar
        from rich.progress import SpinnerColumn, TextColumn, TimeElapsedColumn

        with self._lock:
            if self._done:
                return
            self.bar = Bar(
                SpinnerColumn("line"),
                TextColumn("{task.description}", markup=False),
                TimeElapsedColumn(),
                console=Console(file=self.stream),
                transient=True,
            )
            self.bar.add_task(self.step)
            self.bar.start()
