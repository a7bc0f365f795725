"""STEP text made steady: numbers and order that depend on the boat alone, not on the run that wrote it.

The kernel numbers placements on from whatever it wrote before, and puts the colours at the end of the file in
the order of addresses in memory. Neither means anything; both would make every build's file a new one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import count

_USE = re.compile(r"(= NEXT_ASSEMBLY_USAGE_OCCURRENCE\()'\d+'(.*?;\n)", re.DOTALL)
_PAINTING = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_ENTITY = re.compile(r"#(\d+) = (.*?);\n", re.DOTALL)
_NUMBER = re.compile(r"#(\d+)")
_BREAK = re.compile(r"('(?:[^']|'')*')|\n *")


def steady(text: str) -> str:
    """The text with placements numbered from 1 and colours in the order of the parts they paint."""
    numbers = count(1)
    text = _USE.sub(lambda found: f"{found[1]}'{next(numbers)}'{_unbroken(found[2])}\n", text)
    first = re.search(rf"#(\d+) = {re.escape(_PAINTING)}", text)
    if first is None:
        return text
    end = text.index("ENDSEC;", first.start())
    tail = {int(number): body for number, body in _ENTITY.findall(text[first.start() : end])}
    return text[: first.start()] + "".join(_painted(tail, int(first[1]))) + text[end:]


def _painted(tail: dict[int, str], start: int) -> Iterator[str]:
    """The tail's entities, renumbered from `start`: paintings by what they paint, each before its own."""
    told = {number: [int(ref) for ref in _NUMBER.findall(body)] for number, body in tail.items()}
    paintings = [number for number, body in tail.items() if body.startswith(_PAINTING)]
    # A painting names its styles, which are in the tail, and last of all its context, which is not.
    paintings.sort(key=lambda number: told[number][-1])
    order: dict[int, int] = {}
    for painting in paintings:
        for number in _walk(painting, told):
            order.setdefault(number, start + len(order))
    for number, new in order.items():
        body = _NUMBER.sub(lambda found: f"#{order.get(int(found[1]), int(found[1]))}", tail[number])
        yield f"#{new} = {_unbroken(body)};\n"


def _unbroken(body: str) -> str:
    """The text on one line: where the kernel breaks it depends on how long the numbers were."""
    return _BREAK.sub(lambda found: found[1] or "", body)


def _walk(number: int, told: dict[int, list[int]]) -> Iterator[int]:
    """An entity of the tail and all it refers to there, in the order of the references."""
    yield number
    for ref in told[number]:
        if ref in told:
            yield from _walk(ref, told)
