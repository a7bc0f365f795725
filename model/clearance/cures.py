"""Which single dimension of the boat file, moved by how much, parts two pieces that clash."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from model.clearance.bodies import Body, boat_bodies
from model.clearance.pairs import measure
from model.clearance.report import Clash
from model.findings import Finding
from parts.expressions import ExpressionError, evaluate
from parts.faults import BadInput
from parts.lengths import format_length
from parts.yamlfile import Document

if TYPE_CHECKING:
    from model.boat import Boat

Rebuild = Callable[[Document], "Boat"]
"""Builds the boat of a document; raises BadInput where that cannot be."""

TRIED = 1.0
"""A dimension is moved by this, mm, to see what it does."""

LEAST_RATE = 0.05
"""Gaps that grow by less than this share of a dimension's move are not its doing."""

FURTHEST = 300.0
"""No dimension is moved further than this, mm."""

INCH_STEP = 25.4 / 16.0
MM_STEP = 1.0


@dataclass(frozen=True)
class DimensionCure:
    """A dimension that cures a clash: from what to what, mm, and the same in words."""

    name: str
    before: float
    after: float
    told: str


def dimension_cures(
    boat: Boat, clashes: Sequence[Clash], rebuild: Rebuild, least_share: float = LEAST_RATE
) -> dict[tuple[str, ...], tuple[DimensionCure, ...]]:
    """For each clash by its pieces, the dimensions that cure it by themselves, the least move first.

    Each named dimension with a value of its own is moved a little and the boat built again, which tells how
    fast each gap grows; what that promises is then tried, and kept only if the clash is gone.

    Args:
        boat: the boat as it is.
        clashes: of its report.
        rebuild: builds a boat from a document.
        least_share: growth of a gap to the move of a dimension below which it is left alone.
    """
    found: dict[tuple[str, ...], list[DimensionCure]] = {clash.finding.pieces: [] for clash in clashes}
    if not clashes:
        return {}
    before = {clash.finding.pieces: _signed(clash) for clash in clashes}
    for name, value in _dimensions(boat):
        moved = _gaps(boat, name, value + TRIED, clashes, rebuild)
        way = 1.0
        if moved is None:
            moved, way = _gaps(boat, name, value - TRIED, clashes, rebuild), -1.0
        if moved is None:
            continue
        for clash in clashes:
            pieces = clash.finding.pieces
            rate = way * (moved[pieces] - before[pieces]) / TRIED
            if abs(rate) >= least_share and math.isfinite(rate):
                cure = _tried(boat, name, value, clash, rate, rebuild)
                if cure is not None:
                    found[pieces].append(cure)
    return {
        pieces: tuple(sorted(cures, key=lambda c: abs(c.after - c.before))) for pieces, cures in found.items()
    }


def with_cures(
    findings: Sequence[Finding], cures: Mapping[tuple[str, ...], Sequence[DimensionCure]]
) -> tuple[Finding, ...]:
    """The findings, each with the least move of a dimension that cures it, where there is one."""
    return tuple(
        replace(finding, cure=f"{finding.cure}, or {cures[finding.pieces][0].told}")
        if cures.get(finding.pieces)
        else finding
        for finding in findings
    )


def _signed(clash: Clash) -> float:
    near = clash.nearness
    return -near.depth if near.shared is not None else near.gap


def _tried(
    boat: Boat, name: str, value: float, clash: Clash, rate: float, rebuild: Rebuild
) -> DimensionCure | None:
    """The cure that a rate promises, if it holds; overlaps may shrink first one way, then the other."""
    for share in (1.0, 1.5):
        after = _rounded(value, share * clash.short / rate, boat.units)
        if abs(after - value) > FURTHEST:
            return None
        gaps = _gaps(boat, name, after, [clash], rebuild)
        if gaps is not None and gaps[clash.finding.pieces] >= clash.least - 0.05:
            text = [format_length(v, boat.units) for v in (value, after)]
            return DimensionCure(name, value, after, f"set `{name}` to {text[1]} (it is {text[0]})")
    return None


def _rounded(value: float, move: float, units: str) -> float:
    """The value moved at least so far, to a sixteenth of an inch or a whole millimetre."""
    step = INCH_STEP if units in ("in", "ft") else MM_STEP
    count = (value + move) / step
    return step * (math.ceil(count - 1e-6) if move > 0 else math.floor(count + 1e-6))


def _dimensions(boat: Boat) -> Iterator[tuple[str, float]]:
    """Named dimensions whose value is a length by itself, mm."""
    for name, entry in boat.document.data.get("dimensions", {}).items():
        text: str | int | float = entry["value"] if isinstance(entry, dict) else entry
        try:
            yield name, evaluate(text, {}, boat.units)
        except ExpressionError:
            continue


def _with_dimension(document: Document, name: str, value: float) -> Document:
    given: dict[str, Any] = dict(document.data["dimensions"])
    text = f"{value:.6f} mm"
    given[name] = {**given[name], "value": text} if isinstance(given[name], dict) else text
    return replace(document, data={**document.data, "dimensions": given})


def _gaps(
    boat: Boat, name: str, value: float, clashes: Sequence[Clash], rebuild: Rebuild
) -> dict[tuple[str, ...], float] | None:
    """The gap of each clash with one dimension changed, below zero where the two overlap; nan if one is gone.

    None where the boat cannot be built so.
    """
    try:
        changed = rebuild(_with_dimension(boat.document, name, value))
    except BadInput:
        return None
    bodies = {body.name: body for body in boat_bodies(changed)}
    return {clash.finding.pieces: _gap(clash, bodies) for clash in clashes}


def _gap(clash: Clash, bodies: dict[str, Body]) -> float:
    pair = [bodies.get(body.name) for body in (clash.nearness.first, clash.nearness.second)]
    first, second = pair
    if first is None or second is None:
        return math.nan
    near = measure(first, second, [(a, b) for a in first.solids for b in second.solids], FURTHEST)
    if near is None:
        return FURTHEST
    return -near.depth if near.shared is not None else near.gap
