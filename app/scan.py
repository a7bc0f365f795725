"""The command `athwart scan`: a mesh or a point cloud of the bare hull to the survey a tape would give."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

import click

from parts.faults import BadInput, FaultList, Place, did_you_mean
from parts.lengths import UNITS, parse_length

if TYPE_CHECKING:
    from model.geometry import Array
    from model.scan.asked import Asked
    from model.scan.survey_scan import ScanReport

AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
THICKNESS = 2.54
UNIT = click.Choice(tuple(UNITS))


@click.command(
    short_help="Survey a hull from a mesh or a point cloud.",
    epilog="Example: athwart scan hull.ply --lines keel,chine,knuckle,gunwale --length '16 ft'",
)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("-o", "--out", type=click.Path(path_type=Path), metavar="DIR",
              help="Folder; out/<file's name>-scan if not given.")  # fmt: skip
@click.option("--lines", default="keel,chine,gunwale", show_default=True, metavar="NAMES",
              help="Lines from the keel up: a corner of the section each, or one of its ends.")  # fmt: skip
@click.option(
    "--stations",
    metavar="LENGTHS",
    help="Distances from the transom, such as 0,24,48; else as many as the lines need.",
)
@click.option("--spacing", metavar="LENGTH", help="Or one every so far.")
@click.option("--units", type=UNIT, help="Unit of the scan; found by the size of the hull if not given.")
@click.option(
    "--length", metavar="LENGTH", help="Her length inside, about, such as '15 ft 6 in': tells the unit."
)
@click.option("--beam", metavar="LENGTH", help="Her greatest beam, about; likewise.")
@click.option(
    "--write", type=UNIT, default="in", show_default=True, help="Unit that the survey is written in."
)
@click.option(
    "--up", metavar="AXIS", help="Which way is up in the scan: z, -z, y ... or a,b,c; found if not given."
)
@click.option("--level", type=click.Choice(("keel", "up")), default="keel", show_default=True,
              help="What lies level: the straight run of the keel, or the scan as --up says.")  # fmt: skip
@click.option("--point", "points", multiple=True, metavar="NAME=X,Y,Z",
              help="A point: transom (its foot amidships), bow, port, starboard; three do.")  # fmt: skip
@click.option(
    "--half",
    type=click.Choice(("port", "starboard")),
    help="Only this side was scanned: mirror it; needs --up.",
)
@click.option("--outside", metavar="LENGTH", help="The outside was scanned, of sheet so thick.")
@click.option("--keel-height", default="0", metavar="LENGTH", show_default=True,
              help="Height of the keel at the transom above the baseline.")  # fmt: skip
def scan(
    file: Path,
    out: Path | None,
    lines: str,
    stations: str | None,
    spacing: str | None,
    units: str | None,
    length: str | None,
    beam: str | None,
    write: str,
    up: str | None,
    level: str,
    points: Sequence[str],
    half: str | None,
    outside: str | None,
    keel_height: str,
) -> int:
    """Survey the bare hull in FILE: a mesh or a point cloud (PLY, OBJ, STL, or x y z as text) in any pose.

    Transom and centreline are found and the scan is laid straight on them, ribs are told from the skin, and
    lines are fitted to all points. Written are the survey as CSV, a boat file that reads it, the report of
    how well all of it fits, and a picture of the sections. Bare lengths here are in the unit of --write.
    """
    from app.build_folder import check_target, fresh_build
    from app.progress import Progress

    target = out or Path("out") / f"{file.stem}-scan"
    check_target(target)
    reader = _Reader(write)
    asked = reader.asked(
        lines, stations, spacing, units, length, beam, up, level, points, half, outside, keel_height
    )
    with Progress() as progress:
        progress("starting")
        from model.scan.read_scan import read_scan
        from model.scan.survey_scan import survey_scan

        progress(f"reading {file.name}")
        report = survey_scan(read_scan(file), asked, write, progress)
        progress("writing")
        with fresh_build(target) as folder:
            _write(report, folder, _name(file), asked)
    return _tell(report, target)


def _write(report: ScanReport, folder: Path, name: str, asked: Asked) -> None:
    from cutlists.scan.boat_start import boat_start
    from cutlists.scan.picture import sections_svg
    from cutlists.scan.report_text import report_text
    from cutlists.scan.survey_file import survey_csv

    survey = f"{name}-survey.csv"
    texts = {
        survey: survey_csv(report),
        "boat.yaml": boat_start(report, name, survey, asked.outside or THICKNESS),
        "scan-report.txt": report_text(report),
        "sections.svg": sections_svg(report),
    }
    for file, text in texts.items():
        (folder / file).write_text(text, encoding="utf-8")


def _tell(report: ScanReport, target: Path) -> int:
    """Prints what was found; 1 if there is something to look after."""
    from textwrap import wrap

    from app.columns import WIDTH
    from cutlists.scan.report_text import CAUTION, stiffener_lines

    for line in (*report.summary(), *report.notes, *stiffener_lines(report)):
        click.echo("\n".join(wrap(line, WIDTH, subsequent_indent="    ")))
    for finding in report.findings:
        click.echo("\n".join(wrap(f"{finding.kind} {finding}", WIDTH, subsequent_indent="    ")))
    click.echo("\n".join(wrap(CAUTION, WIDTH)))
    click.echo(f"written: {target}/, begin with scan-report.txt and sections.svg")
    click.echo(f"next: athwart check {target / 'boat.yaml'}")
    return 1 if report.findings else 0


def _name(file: Path) -> str:
    """A boat's short name after the file's."""
    name = re.sub(r"[^A-Za-z0-9_-]+", "-", file.stem).strip("-_")[:40]
    return name if name[:1].isalpha() else f"boat-{name}".rstrip("-")


class _Reader:
    """Options as records; what cannot be read is gathered and told at once."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.faults = FaultList()

    def asked(
        self,
        lines: str,
        stations: str | None,
        spacing: str | None,
        units: str | None,
        length: str | None,
        beam: str | None,
        up: str | None,
        level: str,
        points: Sequence[str],
        half: str | None,
        outside: str | None,
        keel_height: str,
    ) -> Asked:
        """All of them together.

        Raises:
            BadInput: some cannot be read, or do not go together.
        """
        import numpy as np

        from model.scan.asked import Asked

        places = tuple(self._length(text, "--stations") for text in stations.split(",")) if stations else None
        direction = self._direction(up) if up else None
        if level == "up" and up is None:
            self._wrong("--level", "nothing says which way is up", "give --up too")
        if stations and spacing:
            self._wrong("--spacing", "stations are listed already", "give one of --stations and --spacing")
        sizes = {
            "length": self._size(length, "--length"),
            "beam": self._size(beam, "--beam"),
            "spacing": self._size(spacing, "--spacing"),
        }
        found = Asked(
            lines=self._lines(lines),
            stations=places,
            units=units,
            up=direction,
            level=cast(Literal["keel", "up"], level),
            points={name: np.array(at) for name, at in map(self._point, points)},
            half=cast(Literal["port", "starboard"] | None, half),
            outside=self._size(outside, "--outside") or 0.0,
            keel_height=self._length(keel_height, "--keel-height"),
            **sizes,
        )
        self.faults_raise()
        return found

    def faults_raise(self) -> None:
        """Raises what was gathered."""
        if len(self.faults):
            raise BadInput(self.faults.faults)

    def _wrong(self, option: str, wrong: str, right: str) -> None:
        self.faults.add(Place(option, None, ""), wrong, right)

    def _lines(self, text: str) -> tuple[str, ...]:
        names = tuple(name.strip() for name in text.split(","))
        if len(names) < 2 or len(names) > 6:
            self._wrong(
                "--lines",
                f"{len(names)} lines",
                "name two to six, from the keel up, such as keel,chine,gunwale",
            )
        for name in names:
            if not re.fullmatch(r"[A-Za-z][\w -]{0,30}", name) or name in (
                "at",
                "between",
                "port",
                "starboard",
            ):
                self._wrong("--lines", f"'{name}' cannot name a line", "name it like keel, chine, gunwale")
        if len(set(names)) < len(names):
            self._wrong("--lines", "a line stands twice", "keep one")
        return names

    def _length(self, text: str, option: str) -> float:
        try:
            return parse_length(text.strip(), self.units)
        except ValueError as error:
            wrong, _, right = str(error).partition("; ")
            self._wrong(option, wrong, right)
            return math.nan

    def _size(self, text: str | None, option: str) -> float | None:
        if text is None:
            return None
        found = self._length(text, option)
        if found <= 0.0:
            self._wrong(option, f"{text} is not above zero", "give a length such as 15 ft or 4.6 m")
        return found

    def _numbers(self, text: str, option: str) -> tuple[float, float, float] | None:
        try:
            x, y, z = (float(part) for part in text.split(","))
            if all(abs(value) < 1e9 for value in (x, y, z)):
                return x, y, z
        except ValueError:
            pass
        self._wrong(option, f"'{text}' is not three numbers", "write them as x,y,z")
        return None

    def _direction(self, text: str) -> Array | None:
        import numpy as np

        sign = -1.0 if text.startswith("-") and text[1:] in AXES else 1.0
        found = AXES.get(text.lstrip("+-")) or self._numbers(text, "--up")
        if found is None:
            return None
        size = float(np.linalg.norm(found))
        if size < 1e-9:
            self._wrong(
                "--up", f"'{text}' points nowhere", "give x, y or z, such as z or -y, or three numbers"
            )
        turned: Array = sign * np.array(found) / max(size, 1e-9)
        return turned

    def _point(self, text: str) -> tuple[str, tuple[float, float, float]]:
        from model.scan.asked import POINTS

        name, _, at = text.partition("=")
        if name not in POINTS:
            self._wrong("--point", f"unknown point '{name}'", did_you_mean(name, POINTS))
        return name, self._numbers(at, "--point") or (0.0, 0.0, 0.0)
