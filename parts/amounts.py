"""Masses and volumes as people write them, to kilograms and litres."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

POUND = 0.45359237
"""The avoirdupois pound in kilograms, by definition (NIST SP 811, appendix B.8)."""

KILOGRAMS: dict[str, float] = {
    "kg": 1.0,
    "g": 1e-3,
    "lb": POUND,
    "lbs": POUND,
    "oz": POUND / 16,
}
LITRES: dict[str, float] = {"L": 1.0, "l": 1.0, "ml": 1e-3, "gal": 3.785411784, "qt": 0.946352946}
"""The US gallon is 231 cubic inches, 3.785411784 L (NIST SP 811, appendix B.8)."""

NEWTONS: dict[str, float] = {"N": 1.0, "kgf": 9.80665, "lbf": 4.4482216152605, "lb": 4.4482216152605}
"""Standard gravity 9.80665 m/s2 times the kilogram and the avoirdupois pound (NIST SP 811, appendix B.8)."""

_AMOUNT = re.compile(r"\+?([0-9]+\.?[0-9]*|\.[0-9]+)\s*([A-Za-z]*)")

_DEGREES = re.compile(r"([+-]?[0-9]+\.?[0-9]*)\s*([CF]?)")


def parse_mass(text: str | int | float) -> float:
    """Kilograms from `5.4 kg`, `12 lb`, `900 g`, or a bare number of kilograms.

    Raises:
        ValueError: it is no mass, or not above zero.
    """
    return _parsed(text, KILOGRAMS, "kg", "mass", "5.4 kg, 12 lb or a plain number of kilograms")


def parse_volume(text: str | int | float) -> float:
    """Litres from `45 L`, `12 gal` (US), or a bare number of litres.

    Raises:
        ValueError: it is no volume, or not above zero.
    """
    return _parsed(text, LITRES, "L", "volume", "45 L, 12 gal or a plain number of litres")


def parse_force(text: str | int | float) -> float:
    """Newtons from `80 lbf`, `356 N`, `36 kgf`, or a bare number of newtons.

    Raises:
        ValueError: it is no force, or not above zero.
    """
    return _parsed(text, NEWTONS, "N", "force", "80 lbf, 356 N or a plain number of newtons")


def parse_temperature(text: str | int | float) -> float:
    """Degrees Celsius from `25 C`, `77 F`, or a bare number of degrees Celsius.

    Raises:
        ValueError: it is no temperature.
    """
    found = _DEGREES.fullmatch(str(text).strip()) if not isinstance(text, bool) else None
    if found is None:
        raise ValueError(
            f"'{str(text)[:40]}' is not a temperature; write it like 25 C, 77 F or a plain number"
        )
    value = float(found[1])
    return (value - 32.0) / 1.8 if found[2] == "F" else value


def format_temperature(celsius: float, units: str) -> str:
    """A temperature for people: `77 F (25 C)` where the boat is in inches or feet, `25 C` elsewhere."""
    plain = f"{celsius:.0f} C"
    return f"{celsius * 1.8 + 32.0:.0f} F ({plain})" if units in ("in", "ft") else plain


def format_mass(kilograms: float, units: str) -> str:
    """A mass for people: `412 lb` where the boat is in inches or feet, `186.9 kg` elsewhere."""
    if units in ("in", "ft"):
        return f"{kilograms / KILOGRAMS['lb']:.0f} lb"
    return f"{kilograms:.1f} kg"


def format_force(newtons: float, units: str) -> str:
    """A force for people: `40 lbf (178 N)` where the boat is in inches or feet, `178 N` elsewhere."""
    if units in ("in", "ft"):
        pounds = newtons / NEWTONS["lbf"]
        return f"{pounds:.{0 if abs(pounds) >= 10.0 else 1}f} lbf ({newtons:.0f} N)"
    return f"{newtons:.0f} N"


def _parsed(text: str | int | float, units: Mapping[str, float], plain: str, what: str, how: str) -> float:
    found = _AMOUNT.fullmatch(str(text).strip()) if not isinstance(text, bool) else None
    if found is None or (found[2] or plain) not in units:
        raise ValueError(f"'{str(text)[:40]}' is not a {what} above zero; write it like {how}")
    amount = float(found[1]) * units[found[2] or plain]
    if not 0 < amount < 1e5 or not math.isfinite(amount):
        raise ValueError(f"'{str(text)[:40]}' is not a {what} above zero that a boat could carry")
    return amount
