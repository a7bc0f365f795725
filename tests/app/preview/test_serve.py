"""The command as it is really run: it says where it is, and stops cleanly."""

import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from app import main
from tests.app.preview.live import pond

ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_serves_on_this_machine_and_stops_without_a_word(tmp_path, how):
    asked = [sys.executable, "-m", "app.main", "preview", str(pond(tmp_path)), "--no-open"]
    running = subprocess.Popen(asked, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        told = running.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", told)[0]
        running.stdout.readline()
        with urllib.request.urlopen(address, timeout=20) as page:
            assert b"<main>" in page.read()
        running.send_signal(how)
        _, said = running.communicate(timeout=20)
    finally:
        running.kill()
    assert (running.returncode, said) == (0, "")


def test_no_boat_and_a_taken_port_are_told_in_a_line(tmp_path, capsys):
    assert main.run(["preview", str(tmp_path / "none.yaml"), "--no-open"]) == 2
    assert "there is no such file" in capsys.readouterr().err
