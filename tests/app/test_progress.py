"""Progress shows on a terminal after a while, and nowhere else."""

import io
import time

import pytest

from app.progress import Progress


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _terminal_kind(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")


def wait_until_shown(progress):
    deadline = time.monotonic() + 20
    while progress.bar is None and time.monotonic() < deadline:
        time.sleep(0.01)


def test_slow_work_shows_its_steps_on_a_terminal():
    terminal = Terminal()
    with Progress(terminal, patience=0.0) as progress:
        progress("cutting members")
        wait_until_shown(progress)
        progress("writing STEP")
    assert "writing STEP" in terminal.getvalue()


def test_quick_work_shows_nothing():
    terminal = Terminal()
    with Progress(terminal, patience=30) as progress:
        progress("cutting members")
    assert terminal.getvalue() == ""


def test_a_pipe_shows_nothing():
    pipe = io.StringIO()
    with Progress(pipe, patience=0.0) as progress:
        progress("cutting members")
        time.sleep(0.05)
    assert pipe.getvalue() == ""


def test_a_dumb_terminal_shows_nothing(monkeypatch):
    monkeypatch.setenv("TERM", "dumb")
    terminal = Terminal()
    with Progress(terminal, patience=0.0) as progress:
        progress("cutting members")
        time.sleep(0.05)
    assert terminal.getvalue() == ""


def test_the_terminal_is_left_clean_after_an_error():
    terminal = Terminal()
    progress = Progress(terminal, patience=0.0)
    with pytest.raises(ValueError, match="x"), progress:
        raise wait_until_shown(progress) or ValueError("x")
    # The last two writes erase the line and bring the cursor back.
    assert terminal.getvalue().rfind("\x1b[?25h") > terminal.getvalue().rfind("\x1b[?25l")
