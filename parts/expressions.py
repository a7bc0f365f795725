"""Arithmetic over named dimensions, such as `(front_deck - 4 in) / 2`; nothing but arithmetic.

A dash without spaces joins (`63-1/4` is a mixed number, `5'-3"` is feet and inches); with spaces it
subtracts. A bare number that multiplies or divides is a plain factor; one that stands alone or is added to a
length is in the file's units. A length times a length is refused, so an area cannot pass for a length.
"""

from __future__ import annotations

import graphlib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from parts.faults import did_you_mean
from parts.lengths import GREATEST, HOW, UNITS, match_literal, parse_length, plain_text

LONGEST = 500
DEEPEST = 24
RESERVED = frozenset({"min", "max", "mm", "cm", "m", "in", "inch", "inches", "ft", "foot", "feet"})
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_ONLY = "use numbers, lengths, named dimensions, + - * / ( ) and min(), max()"


class ExpressionError(ValueError):
    """An expression that is refused: `wrong` says why, `right` what would do, `name` of which dimension."""

    def __init__(self, wrong: str, right: str, name: str = "") -> None:
        self.wrong = wrong
        self.right = right
        self.name = name
        super().__init__(f"{wrong}; {right}")


class DimensionsError(ExpressionError):
    """Named dimensions that cannot be resolved; `by_name` holds the error of each. Reads as its first."""

    def __init__(self, by_name: Mapping[str, ExpressionError]) -> None:
        self.by_name = dict(by_name)
        name, first = next(iter(self.by_name.items()))
        super().__init__(first.wrong, first.right, name)


@dataclass(frozen=True)
class _Token:
    kind: str  # "name", "length" (mm), "bare", or the sign itself
    text: str
    value: float = 0.0


@dataclass(frozen=True)
class _Value:
    """A number on its way: `kind` is "length" (mm), "bare" (a factor or file units) or "ratio"."""

    kind: str
    value: float


@lru_cache(maxsize=4096)
def _tokens(text: str) -> tuple[_Token, ...]:
    """The tokens of an expression; kept, since a file is read again at every change of one of its lengths."""
    if len(text) > LONGEST:
        raise ExpressionError(f"an expression of {len(text)} characters", f"at most {LONGEST} are read")
    plain = plain_text(text)
    tokens: list[_Token] = []
    at = 0
    while at < len(plain):
        if plain[at] == " ":
            at += 1
            continue
        token, at = _token_at(plain, at, tokens[-1].kind if tokens else "")
        tokens.append(token)
    if not tokens:
        raise ExpressionError("an empty text is not a length", HOW)
    return tuple(tokens)


def _token_at(plain: str, at: int, before: str) -> tuple[_Token, int]:
    """The token that starts at `at`, and where it ends."""
    try:
        number = match_literal(plain, at, after_slash=before == "/")
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        raise ExpressionError(wrong, right) from None
    if number is not None:
        value, unit, end = number
        if value > GREATEST:
            raise ExpressionError(
                f"the number '{plain[at : at + 20]}' is too large", "at most a million is read"
            )
        return _Token("bare" if unit is None else "length", plain[at:end], float(value)), end
    name = _NAME.match(plain, at)
    if name:
        return _Token("name", name[0]), name.end()
    if plain.startswith("**", at) or plain[at] == "^":
        raise ExpressionError("powers are not read", _ONLY)
    if plain[at] in "+-*/()":
        return _Token(plain[at], plain[at]), at + 1
    if plain[at] == "," and re.match(r",[0-9]", plain[at:]) and before == "bare" and "(" not in plain[:at]:
        raise ExpressionError(f"'{plain[:40]}' has a comma", "write decimals with a point, like 63.25")
    if plain[at] == ",":
        return _Token(",", ","), at + 1
    raise ExpressionError(f"'{plain[at : at + 12]}' is not arithmetic", _ONLY)


class _Parser:
    """Recursive descent over the tokens of one expression; evaluates as it reads."""

    def __init__(self, text: str, names: Mapping[str, float], units: str, known: Iterable[str]) -> None:
        self.known = known
        self.tokens = _tokens(text)
        self.text = text
        self.names = names
        self.unit = UNITS[units]
        self.at = 0
        self.depth = 0

    def run(self) -> float:
        found = self.sum()
        if self.at < len(self.tokens):
            raise self._left_over()
        if found.kind == "ratio":
            raise ExpressionError(f"'{self.text[:40]}' is a length over a length, a plain number", HOW)
        mm = found.value * self.unit if found.kind == "bare" else found.value
        if math.isnan(mm) and any(math.isnan(self.names.get(t.text, 0.0)) for t in self.tokens):
            return math.nan
        if not math.isfinite(mm) or abs(mm) > GREATEST:
            raise ExpressionError(f"'{self.text[:40]}' comes to over a kilometre", HOW)
        return mm

    def _left_over(self) -> ExpressionError:
        token = self.tokens[self.at]
        if token.kind == "name" and self.at and self.tokens[self.at - 1].kind == "bare":
            return ExpressionError(f"'{token.text[:40]}' is not a unit of length", f"use {', '.join(UNITS)}")
        return ExpressionError(f"'{token.text[:40]}' does not follow on in '{self.text[:40]}'", _ONLY)

    def peek(self) -> str:
        return self.tokens[self.at].kind if self.at < len(self.tokens) else ""

    def take(self, kind: str) -> _Token:
        if self.peek() != kind:
            at = f"before '{self.tokens[self.at].text}'" if self.at < len(self.tokens) else "at the end"
            raise ExpressionError(f"'{kind}' is missing {at} of '{self.text[:40]}'", _ONLY)
        self.at += 1
        return self.tokens[self.at - 1]

    def sum(self) -> _Value:
        found = self.product()
        while self.peek() in ("+", "-"):
            sign = 1.0 if self.take(self.peek()).kind == "+" else -1.0
            kind, (a, b) = self.alike([found, self.product()])
            found = _Value(kind, a + sign * b)
        return found

    def product(self) -> _Value:
        found = self.factor()
        while self.peek() in ("*", "/"):
            operator = self.take(self.peek()).kind
            other = self.factor()
            found = _times(found, other) if operator == "*" else _over(found, other)
        return found

    def factor(self) -> _Value:
        sign = 1.0
        while self.peek() in ("+", "-"):
            sign = -sign if self.take(self.peek()).kind == "-" else sign
        kind = self.peek()
        if kind in ("bare", "length"):
            return _Value(kind, sign * self.take(kind).value)
        found = self.named() if kind == "name" else self.bracket()[0]
        return _Value(found.kind, sign * found.value)

    def bracket(self, several: bool = False) -> list[_Value]:
        if self.peek() != "(":
            said = f"'{self.tokens[self.at].text}'" if self.at < len(self.tokens) else "the end"
            raise ExpressionError(f"a number or a name is missing before {said} of '{self.text[:40]}'", _ONLY)
        self.take("(")
        self.depth += 1
        if self.depth > DEEPEST:
            raise ExpressionError(f"brackets nested more than {DEEPEST} deep", "name the parts as dimensions")
        found = [self.sum()]
        while several and self.peek() == ",":
            self.take(",")
            found.append(self.sum())
        self.take(")")
        self.depth -= 1
        return found

    def named(self) -> _Value:
        name = self.take("name").text
        if self.peek() == "(" or name in ("min", "max"):
            if name not in ("min", "max"):
                raise ExpressionError(f"'{name[:40]}' is not a function here", "only min() and max() are")
            kind, values = self.alike(self.bracket(several=True))
            pick: Callable[[list[float]], float] = min if name == "min" else max
            return _Value(kind, pick(values))
        if name not in self.names:
            raise ExpressionError(f"'{name[:40]}' is not a named dimension", did_you_mean(name, self.known))
        return _Value("length", self.names[name])

    def alike(self, values: list[_Value]) -> tuple[str, list[float]]:
        """The values brought to one kind, so that they can be added or compared."""
        kinds = {value.kind for value in values}
        if kinds == {"length", "bare"}:
            return "length", [v.value * (self.unit if v.kind == "bare" else 1.0) for v in values]
        if "length" in kinds and "ratio" in kinds:
            raise ExpressionError(
                f"'{self.text[:40]}' adds or compares a length and a ratio of lengths", "give both as lengths"
            )
        return "ratio" if "ratio" in kinds else kinds.pop(), [v.value for v in values]


def _times(a: _Value, b: _Value) -> _Value:
    kinds = {a.kind, b.kind}
    if kinds == {"length"}:
        raise ExpressionError(
            "a length times a length is an area, not a length", "multiply by a plain number"
        )
    kind = next(kind for kind in ("length", "bare", "ratio") if kind in kinds)
    return _Value(kind, a.value * b.value)


def _over(a: _Value, b: _Value) -> _Value:
    if b.value == 0.0:
        raise ExpressionError("it divides by zero", "divide by something else")
    if b.kind == "length" and a.kind != "length":
        raise ExpressionError("a plain number over a length is not a length", "divide by a plain number")
    kind = "ratio" if b.kind == "length" else _times(a, b).kind
    return _Value(kind, a.value / b.value)


def evaluate(
    text: str | int | float, names: Mapping[str, float], units: str, known: Iterable[str] | None = None
) -> float:
    """The length of an expression in mm; `names` are lengths in mm, `units` those of a bare number.

    An unknown name is told beside the nearest of `known` (the `names` unless given). A name whose value is
    nan stands for one that was refused already: what leans on it is nan too, without a fault of its own.

    Example: `evaluate("(front - 4 in) / 2", {"front": 1000.0}, "in")` is `449.2`.

    Raises:
        ExpressionError: it is not arithmetic over known names, or does not come to a length.
    """
    if isinstance(text, str):
        return _Parser(text, names, units, names if known is None else known).run()
    try:
        return parse_length(text, units)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        raise ExpressionError(wrong, right) from None


def names_in(text: str | int | float) -> set[str]:
    """The named dimensions that an expression reads.

    Raises:
        ExpressionError: the text has signs that no expression has.
    """
    if not isinstance(text, str):
        return set()
    return {token.text for token in _tokens(text) if token.kind == "name"} - {"min", "max"}


def resolve(dimensions: Mapping[str, str | int | float], units: str) -> dict[str, float]:
    """Every named dimension in mm, in the order of the mapping; each may be an expression over others.

    Raises:
        DimensionsError: a dimension is refused, names nothing known, or loops back on itself (the loop is
            told by its names in order). A dimension that only leans on a refused one is not reported.
    """
    faults: dict[str, ExpressionError] = {}
    needs: dict[str, set[str]] = {}
    for name, text in dimensions.items():
        try:
            _check_name(name)
            needs[name] = names_in(text)
        except ExpressionError as error:
            faults[name] = error
    order = _in_order({name: leans & needs.keys() for name, leans in needs.items()}, faults)
    found: dict[str, float] = {}
    for name in order:
        if name in faults or needs[name] & faults.keys():
            if name not in faults:
                faults[name] = _LeansError()
            continue
        try:
            found[name] = evaluate(dimensions[name], found, units, known=dimensions)
        except ExpressionError as error:
            faults[name] = error
    real = {
        name: faults[name]
        for name in dimensions
        if name in faults and not isinstance(faults[name], _LeansError)
    }
    if real:
        raise DimensionsError(real)
    return {name: found[name] for name in dimensions}


class _LeansError(ExpressionError):
    """A dimension that is fine itself but reads one that is refused."""

    def __init__(self) -> None:
        super().__init__("it reads a dimension that is refused", "mend that one")


def _check_name(name: str) -> None:
    if name in RESERVED:
        raise ExpressionError(f"'{name}' is a unit or a function", "give the dimension another name")
    if not _NAME.fullmatch(name):
        raise ExpressionError(f"'{name[:40]}' cannot be read in an expression", "use letters, digits and _")


def _in_order(needs: dict[str, set[str]], faults: dict[str, ExpressionError]) -> list[str]:
    """Names with what they lean on first; a loop becomes the fault of its first name, and is cut open."""
    needs = {name: set(leans) for name, leans in needs.items()}
    while True:
        try:
            return list(graphlib.TopologicalSorter(needs).static_order())
        except graphlib.CycleError as error:
            # graphlib tells the loop from what is needed to what needs it; people read it the other way.
            loop = list(reversed(error.args[1]))[:-1]
            first = min(range(len(loop)), key=lambda i: list(needs).index(loop[i]))
            turned = loop[first:] + loop[:first]
            told = " -> ".join([*turned, turned[0]])
            faults[turned[0]] = ExpressionError(
                f"it loops back on itself: {told}", "give one of them as a plain length"
            )
            needs[turned[0]] = set()
