"""The unit a scan is in, held against the length or beam that are told, or against what a boat can be."""

from __future__ import annotations

from model.scan.pose import NoPose
from parts.lengths import UNITS

NAMES = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}
LENGTHS = (2_400.0, 9_000.0)
"""Millimetres: a boat is neither shorter nor longer, unless her length is told."""
ALIKE = 1.12
"""A size as far off as this still is that size: lengths are told over all, and taken inside."""
CLOSE = 1.03


def unit_of(
    length: float, beam: float, told: str | None, real_length: float | None, real_beam: float | None
) -> str:
    """The unit of a hull that is `length` long and `beam` wide in it; real sizes in mm.

    Raises:
        NoPose: what is told does not go with the scan, said by how much; or nothing says which unit it is.
    """
    size, real, what = (
        (beam, real_beam, "wide")
        if real_length is None and real_beam is not None
        else (length, real_length, "long")
    )
    if real is None:
        return _plausible(length, told)
    unit = told or min(UNITS, key=lambda name: _off(size * UNITS[name], real))
    if _off(size * UNITS[unit], real) <= ALIKE:
        return unit
    raise NoPose(*_told(size, real, unit, told is not None, what))


def _off(one: float, other: float) -> float:
    """How many times the larger is the smaller."""
    return max(one / other, other / one)


def _told(size: float, real: float, unit: str, given: bool, what: str) -> tuple[str, str]:
    made = size * UNITS[unit]
    best = min(UNITS, key=lambda name: _off(size * UNITS[name], real))
    way = "small" if made < real else "large"
    wrong = (
        f"in {NAMES[unit]} the hull comes out {made:.0f} mm {what} where {real:.0f} was told,"
        f" about {_off(made, real):.4g} times too {way}"
    )
    if best != unit and _off(size * UNITS[best], real) <= ALIKE:
        return f"{wrong}: {NAMES[best]}?", f"give --units {best}"
    see = "--units and " if given else ""
    near = f"{NAMES[best]} come nearest, {_off(size * UNITS[best], real):.3g} times off"
    return (
        f"{wrong}, which no unit accounts for: {near}",
        f"see to {see}the size told, or crop the scan to the hull",
    )


def _plausible(length: float, told: str | None) -> str:
    """The unit in which a boat could be so long."""
    fitting = [name for name, mm in UNITS.items() if LENGTHS[0] <= length * mm <= LENGTHS[1]]
    if told is not None:
        made = length * UNITS[told]
        if LENGTHS[0] / 1.3 <= made <= LENGTHS[1] * 1.5:
            return told
        wrong = f"in {NAMES[told]} the hull comes out {made:.0f} mm long"
        if fitting:
            times = UNITS[fitting[0]] / UNITS[told]
            way, times = ("small", times) if times > 1.0 else ("large", 1.0 / times)
            raise NoPose(
                f"{wrong}, about {times:.4g} times too {way}: {NAMES[fitting[0]]}?",
                f"give --units {fitting[0]}",
            )
        raise NoPose(f"{wrong}, which is no boat", "tell her --length, or crop the scan to the hull")
    if len(fitting) == 1:
        return fitting[0]
    wrong = f"the hull comes out {length:.4g} long, in no unit that is told"
    if fitting:
        wrong = f"the hull comes out {length:.4g} long, which may be {' or '.join(NAMES[n] for n in fitting)}"
    raise NoPose(wrong, "give --units, or --length")
