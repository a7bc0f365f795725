"""The one-line diagram: from each battery over fuse, cut-off and box to every load, one line a circuit.

Only the positive side is drawn; where current comes back is written at the load. Symbols are those of the
trade, drawn by schemdraw as plain SVG.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from cutlists.drawing.drawing import Drawing
from cutlists.electrics.words import amps_told
from model.electrics.network import fed_from
from model.electrics.report import ElectricsReport, SizedCircuit
from model.electrics.settings import Circuit

STEP, DROP = 2.6, 1.4
"""From symbol to symbol and from line to line, in units of the drawing."""

INCHES = 0.42
"""Of a unit on paper."""

MARGIN = 0.9
"""Round the drawing, in units: letters may be wider than schemdraw takes them to be."""

LETTERS, SMALL = 9.0, 7.0
"""Sizes of lettering, pt."""


@dataclass
class _Row:
    """A circuit on its line: the line's number, and where it begins along it."""

    circuit: Circuit
    line: int
    start: float
    at: dict[str, float] = field(default_factory=dict)
    end: float = 0.0


def diagram_svg(report: ElectricsReport) -> str:
    """The diagram as an SVG document of its own."""
    import schemdraw

    schemdraw.use("svg")
    schemdraw.svgconfig.text = "text"
    rows = list(_rows(report))
    if not rows:
        return _nothing()
    drawing = schemdraw.Drawing(show=False)
    drawing.config(
        unit=STEP, inches_per_unit=INCHES, fontsize=LETTERS, font="DejaVu Sans", lw=1.0, margin=MARGIN
    )
    ends = max((row.end for row in rows), default=0.0)
    for bank in dict.fromkeys(row.circuit.start for row in rows):
        if report.electrics is not None and bank in report.electrics.banks:
            _bank(drawing, report, bank, [row for row in rows if row.circuit.start == bank])
    for row in rows:
        _circuit(drawing, report, row, rows, ends)
    return _on_white(bytes(drawing.get_imagedata("svg")).decode("utf-8"))


def _nothing() -> str:
    """What stands for the diagram of a boat without circuits."""
    drawing = Drawing(80.0, 20.0, "no circuits")
    drawing.text(40.0, 11.0, "no circuits", 4.0, "middle")
    return drawing.svg()


def _on_white(svg: str) -> str:
    """The document on white paper, so that it is read on a dark page too."""
    head, end, rest = svg.partition(">")
    box = re.search(r'viewBox="([^"]*)"', head)
    assert box is not None
    x, y, width, height = box[1].split()
    paper = f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="#ffffff" stroke="none"/>'
    return f"{head}{end}{paper}{rest}"


def _rows(report: ElectricsReport) -> Iterator[_Row]:
    """Each circuit on a line, what it feeds below it; banks one below the other."""
    electrics = report.electrics
    if electrics is None:
        return
    line = 0
    done: set[str] = set()
    roots = [c for c in electrics.circuits if c.start in electrics.banks]
    lost = [c for c in electrics.circuits if not (own := report.circuit(c.name)) or not own.fed.bank]
    for root in (*sorted(roots, key=lambda c: list(electrics.banks).index(c.start)), *lost):
        placed = list(_placed(report, root, line, 1.0, done))
        yield from placed
        line = max((row.line for row in placed), default=line - 1) + 1


def _placed(
    report: ElectricsReport, circuit: Circuit, line: int, start: float, done: set[str]
) -> Iterator[_Row]:
    """A circuit and all that is fed from it, lines downward."""
    electrics = report.electrics
    assert electrics is not None
    if circuit.name in done:
        return
    done.add(circuit.name)
    row = _Row(circuit, line, start, {circuit.start: start})
    x = start + (1.0 if electrics.kind(circuit.start) == "fuse_box" else 0.0)
    for name in circuit.through:
        x += 1.0
        row.at[name] = x
    row.end = x + 1.0
    row.at[circuit.to] = row.end
    yield row
    children = sorted(fed_from(electrics, circuit), key=lambda c: c.start != circuit.to)
    at, first = line, True
    for child in children:
        own = list(_placed(report, child, at if first and child.start == circuit.to else at + 1,
                           row.at[child.start], done))  # fmt: skip
        first = False
        at = max((r.line for r in own), default=at)
        yield from own


def _bank(drawing: Any, report: ElectricsReport, name: str, rows: list[_Row]) -> None:
    """The battery before the first line that starts at it, and the bar down to its others."""
    import schemdraw.elements as elm

    assert report.electrics is not None
    bank = report.electrics.banks[name]
    top, low = (-DROP * f(row.line for row in rows) for f in (min, max))
    many = f", {len(bank.spots)} in {bank.joined}" if len(bank.spots) > 1 else ""
    drawing.add(elm.BatteryCell().at((0.0, top)).to((STEP, top)).reverse())
    drawing.add(elm.Line().at((-0.3, top)).to((0.0, top)))
    _words(drawing, -0.45, top + 0.12, f"{name}", "right", LETTERS)
    _words(drawing, -0.45, top - 0.32, f"{bank.volts:g} V{many}", "right", SMALL)
    if low < top:
        drawing.add(elm.Line().at((STEP, top)).to((STEP, low)))


def _circuit(drawing: Any, report: ElectricsReport, row: _Row, rows: list[_Row], ends: float) -> None:
    """The line of one circuit with its symbols, sizes and what stands at its end."""
    import schemdraw.elements as elm

    electrics = report.electrics
    assert electrics is not None
    sized = report.circuit(row.circuit.name)
    assert sized is not None
    y, x = -DROP * row.line, row.start
    ratings = {(fuse.at, fuse.circuit): amps_told(fuse.rating) for fuse in report.fuses}
    symbols = {"fuse": elm.FuseUS, "cutoff": elm.Switch, "switch": elm.Switch}
    if electrics.kind(row.circuit.start) == "fuse_box":
        _symbol(drawing, elm.FuseUS, x, y, ratings.get((row.circuit.start, row.circuit.name), ""), "")
        x += 1.0
    for name in row.circuit.through:
        kind = electrics.kind(name)
        told = ratings.get((name, row.circuit.name), "")
        _symbol(drawing, symbols[kind], x, y, told, name)
        x += 1.0
    if row.circuit.to in electrics.loads:
        drawing.add(elm.Line().at((STEP * x, y)).to((STEP * ends, y)))
        _words(drawing, STEP * (ends - 0.5), y + 0.1, _wire(report, sized), "center", SMALL)
        _load(drawing, report, sized, STEP * ends, y)
        return
    drawing.add(elm.Line().at((STEP * x, y)).to((STEP * row.end, y)))
    _words(drawing, STEP * (row.end - 0.5), y + 0.1, _wire(report, sized), "center", SMALL)
    below = [r.line for r in rows if r.circuit.start == row.circuit.to]
    low = -DROP * max(below, default=row.line)
    drawing.add(elm.Line(lw=3.0).at((STEP * row.end, y + 0.35)).to((STEP * row.end, low - 0.35)))
    _words(drawing, STEP * row.end, y + 0.62, row.circuit.to, "center", LETTERS)


def _symbol(drawing: Any, kind: Any, x: float, y: float, above: str, below: str) -> None:
    drawing.add(kind().at((STEP * x, y)).to((STEP * (x + 1.0), y)))
    middle = STEP * (x + 0.5)
    if above:
        _words(drawing, middle, y + 0.3, above, "center", SMALL)
    if below:
        _words(drawing, middle, y - 0.68, below, "center", SMALL)


def _load(drawing: Any, report: ElectricsReport, c: SizedCircuit, x: float, y: float) -> None:
    """A round end with the load's name and current, and where its current comes back to."""
    import schemdraw.elements as elm

    assert report.electrics is not None
    load = report.electrics.loads[c.fed.circuit.to]
    drawing.add(elm.Dot(open=True, radius=0.13).at((x, y)))
    _words(drawing, x + 0.35, y - 0.02, f"{load.name}, {load.amps:g} A", "left", LETTERS)
    back = c.fed.circuit.back or c.fed.bank
    _words(drawing, x + 0.35, y - 0.38, f"back to {back or 'nothing'}", "left", SMALL)


def _words(drawing: Any, x: float, y: float, words: str, side: str, size: float) -> None:
    import schemdraw.elements as elm

    drawing.add(elm.Label().at((x, y)).label(words, fontsize=size, halign=side, valign="bottom", ofst=0))


def _wire(report: ElectricsReport, c: SizedCircuit) -> str:
    colour = c.fed.circuit.colour or (report.electrics.positive if report.electrics else "")
    return f"AWG {c.gauge or '?'} {colour}"
