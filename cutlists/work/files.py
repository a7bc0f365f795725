"""The work as files of a build: CSV and chart."""

from __future__ import annotations

from pathlib import Path

from cutlists.work.chart import chart_svg
from cutlists.work.standing import Standing
from cutlists.work.tables import work_csv


def write_work(standing: Standing, title: str, folder: Path) -> None:
    """Write `work.csv` and `work.svg` into an existing folder.

    Raises:
        OSError: a file cannot be written.
    """
    (folder / "work.csv").write_text(work_csv(standing), encoding="utf-8", newline="")
    (folder / "work.svg").write_text(chart_svg(standing.plan, f"{title}: work"), encoding="utf-8")
