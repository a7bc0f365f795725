"""Lengths and angles as people write them, to millimetres and radians and back."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache

UNITS: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""Millimetres in one unit; the inch is 25.4 mm by definition (NIST SP 811, appendix B.8)."""

GREATEST = 1.0e6
"""Millimetres; nothing on a small boat is a kilometre long, so a longer one is a slip of the pen."""

HOW = """write it like 63-1/4 in, 5' 3-1/4", 1606 mm, 1.6 m or a plain number"""

_EXACT = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
_SPELLINGS = {
    "mm": "mm", "cm": "cm", "m": "m",
    "in": "in", "inch": "in", "inches": "in", '"': "in",
    "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft",
}  # fmt: skip

# Typographic marks that word processors and phones put in place of the plain ones.
_MARKS = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "ʹ": "'", "´": "'",
    "″": '"', "”": '"', "“": '"', "ʺ": '"',
    "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-",
    "⁄": "/", "∕": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\t": " ",
})  # fmt: skip
_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip

# `63-1/4` and `63 1/4` are mixed numbers; a lone `1/4` is one only in front of a unit, so that
# in an expression `a/1/4` stays two divisions.
MIXED = r"[0-9]+(?:-|[ ]+)[0-9]+[ ]?/[ ]?[0-9]+"
RATIO = r"[0-9]+/[0-9]+"
DECIMAL = r"[0-9]+\.?[0-9]*|\.[0-9]+"
_UNIT = r"""[ ]*(?P<{0}>mm|cm|m|inches|inch|in|feet|foot|ft|'|")(?![A-Za-z_0-9])"""
_FEET = rf"(?P<feet>{MIXED}|{RATIO}|{DECIMAL})[ ]*(?:feet(?![a-z])|foot(?![a-z])|ft(?![a-z])|')"
_INCHES = rf"""(?P<inches>{MIXED}|{RATIO}|{DECIMAL})[ ]*(?:inches|inch|in|")(?![A-Za-z_0-9])"""
FEET_AND_INCHES = re.compile(rf"{_FEET}(?:[ ]*|-){_INCHES}")
WITH_UNIT = re.compile(rf"(?P<number>{MIXED}|{RATIO}|{DECIMAL}){_UNIT.format('unit')}")
BARE = re.compile(rf"(?P<number>{MIXED}|{DECIMAL})(?![A-Za-z_0-9.])")
_LONE_RATIO = re.compile(rf"(?P<number>{RATIO})$")
_ANGLE = re.compile(rf"(?P<sign>[-+]?)[ ]*(?P<number>{MIXED}|{DECIMAL})[ ]*(?P<unit>[A-Za-z°]*)$")


def plain_text(text: str) -> str:
    """`text` with typographic primes, dashes, spaces and fraction signs made plain, ends trimmed."""
    plain = text.translate(_MARKS).replace("''", '"')
    for sign, written in _VULGAR.items():
        if sign in plain:
            plain = re.sub(rf"(?<=[0-9])[- ]?{sign}", f"-{written}", plain).replace(sign, written)
    return plain.strip()


def parse_number(text: str) -> Fraction:
    """The exact value of `63`, `63.25`, `1/4`, `63-1/4` or `63 1/4`.

    Raises:
        ValueError: a zero denominator, or the fraction of a mixed number is not below one.
    """
    whole, _, part = text.strip().replace(" /", "/").replace("/ ", "/").replace("-", " ").rpartition(" ")
    if "/" not in part:
        return Fraction(part)
    top, bottom = (int(digits) for digits in part.split("/"))
    if bottom == 0:
        raise ValueError(f"'{text}' divides by zero; {HOW}")
    if whole.strip() and top >= bottom:
        raise ValueError(
            f"the fraction in '{text}' is not below one; write 3-1/4 for three and a quarter, "
            "and put spaces round a minus sign that subtracts"
        )
    return Fraction(int(whole or 0)) + Fraction(top, bottom)


def match_literal(
    text: str, at: int = 0, after_slash: bool = False
) -> tuple[Fraction, str | None, int] | None:
    """The number that starts at `at` of a plain text: its value, its unit (None if bare), where it ends.

    A value with a unit is in mm. `after_slash` says that the number divides, so that `1/4 in` there is not
    one literal. None if no number starts here.

    Raises:
        ValueError: it reads as a number but cannot be one (`5' 14"`, `3-9/4`, `1/0`).
    """
    found = FEET_AND_INCHES.match(text, at)
    if found:
        inches = parse_number(found["inches"])
        if inches >= 12:
            raise ValueError(f"""'{found[0]}' has 12 inches or more beside feet; write it like 5' 3-1/4\"""")
        return parse_number(found["feet"]) * _EXACT["ft"] + inches * _EXACT["in"], "ft", found.end()
    found = WITH_UNIT.match(text, at)
    if found and not (after_slash and re.fullmatch(RATIO, found["number"])):
        unit = _SPELLINGS[found["unit"]]
        return parse_number(found["number"]) * _EXACT[unit], unit, found.end()
    found = BARE.match(text, at)
    return (parse_number(found["number"]), None, found.end()) if found else None


def parse_length(text: str | int | float, units: str) -> float:
    """A length in mm from text such as `63-1/4 in` or `5' 3-1/4"`; a bare number is in `units`.

    Raises:
        ValueError: it is not a length; the message says what is wrong and how to write it.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"{_named(text)} is not a length; {HOW}")
    if isinstance(text, int | float):
        return _checked(text, text * UNITS[units] if abs(text) <= GREATEST else math.inf)
    return _parsed(text, units)


@lru_cache(maxsize=4096)
def _parsed(text: str, units: str) -> float:
    """`parse_length` of text; a file is read again at every change of one of its lengths."""
    plain = plain_text(text[:120])
    sign, body = (-1, plain[1:].lstrip()) if plain.startswith("-") else (1, plain.removeprefix("+").lstrip())
    lone = _LONE_RATIO.match(body)
    found = (parse_number(lone["number"]), None, len(body)) if lone else match_literal(body)
    if found is None or found[2] != len(body) or len(text) > 120:
        raise ValueError(_why_not(text, body))
    value, unit, _ = found
    exact = sign * value * (_EXACT[units] if unit is None else 1)
    return _checked(text, float(exact) if abs(exact) <= GREATEST else math.inf)


def _named(value: object) -> str:
    if value is None:
        return "an empty value"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"a {'list' if isinstance(value, list | tuple) else type(value).__name__}"


def _checked(text: object, mm: float) -> float:
    if not math.isfinite(mm) or abs(mm) > GREATEST:
        raise ValueError(f"'{str(text)[:40]}' is no length for a boat (over {GREATEST / 1e6:g} km); {HOW}")
    return mm


def _why_not(text: str, body: str) -> str:
    """What keeps a text from being a length, and how to write it."""
    shown = text[:40]
    if not body:
        return f"an empty text is not a length; {HOW}"
    if "," in body:
        return f"'{shown}' has a comma; write decimals with a point, like 63.25"
    unit = re.fullmatch(rf"(?:{MIXED}|{RATIO}|{DECIMAL})[ ]*([A-Za-z]+\.?)", body)
    if unit:
        return f"'{unit[1]}' is not a unit of length; use one of {', '.join(UNITS)}"
    if re.fullmatch(rf"""{_FEET}[ ]*(?:{MIXED}|{DECIMAL})""", body):
        return f"""'{shown}' lacks the unit after the inches; write it like 5' 3-1/4\""""
    if re.fullmatch(r"[0-9]*\.[0-9]+/[0-9.]+.*", body):
        return f"'{shown}' has a decimal inside a fraction; {HOW}"
    return f"'{shown}' is not a length; {HOW}"


def format_fraction(mm: float, denominator: int = 16, feet: bool = False) -> str:
    """Inches to the nearest 1/`denominator`, as `63-1/4"`, or with feet as `5' 3-1/4"`; halves go outward.

    Example: `format_fraction(1606.55)` is `63-1/4"`.

    Raises:
        ValueError: `mm` is not finite or `denominator` is below 1.
    """
    if not math.isfinite(mm) or denominator < 1:
        raise ValueError(f"cannot write {mm} mm in 1/{denominator} inch")
    # Whole numbers alone, which are exact as fractions are and several times as fast: floor(n + 1/2).
    inch = _EXACT["in"]
    over, under = mm.as_integer_ratio()
    over, under = abs(over) * inch.denominator * denominator, under * inch.numerator
    marks = (2 * over + under) // (2 * under)
    sign = "-" if mm < 0 and marks else ""
    whole, rest = divmod(marks, denominator)
    shared = math.gcd(rest, denominator)
    part = f"{rest // shared}/{denominator // shared}" if rest else ""
    if not feet or whole < 12:
        return f'{sign}{_mixed(whole, part)}"'
    foot, left = divmod(whole, 12)
    return f"{sign}{foot}' {_mixed(left, part)}\""


def _mixed(whole: int, part: str) -> str:
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else part


def format_length(mm: float, units: str, denominator: int = 16) -> str:
    """A length for reading: `63-1/4"` (in), `5' 3-1/4"` (ft), `1606.4 mm`, `160.64 cm` or `1.6064 m`."""
    if units in ("in", "ft"):
        return format_fraction(mm, denominator, feet=units == "ft")
    decimals = {"mm": 1, "cm": 2, "m": 4}[units]
    # Adding zero turns a rounded -0.0 into 0.0.
    return f"{round(mm / UNITS[units], decimals) + 0.0:.{decimals}f} {units}"


def parse_angle(text: str | int | float) -> float:
    """An angle in rad from `45`, `45 deg`, `45°`, `22-1/2 deg` or `0.5 rad`; a bare number is degrees.

    Raises:
        ValueError: it is not an angle, or more than one full turn.
    """
    how = "write it like 45, 22.5 deg or 0.5 rad"
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"{_named(text)} is not an angle; {how}")
    found = _ANGLE.match(plain_text(str(text)[:60]))
    if not found or found["unit"] not in ("", "deg", "degree", "degrees", "°", "rad"):
        raise ValueError(f"'{str(text)[:40]}' is not an angle; {how}")
    size = float(parse_number(found["number"]))
    turned = size if found["unit"] == "rad" else math.radians(size)
    if turned > 2 * math.pi + 1e-9:
        raise ValueError(f"'{str(text)[:40]}' is more than a full turn; {how}")
    return -turned if found["sign"] == "-" else turned
