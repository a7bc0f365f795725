"""The same work on many things, on all cores; the results come in order."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Any, TypeVar

Thing = TypeVar("Thing")
Result = TypeVar("Result")

_SHARED: list[tuple[Callable[[Any, Any], Any], Any]] = []
"""What the workers inherit when they are forked: a boat cannot be sent, only be there already."""


def on_all_cores(
    work: Callable[[Any, Thing], Result], state: Any, things: Sequence[Thing], jobs: int | None = None
) -> Iterator[Result]:
    """`work(state, thing)` of every thing, in order, each result as soon as it and those before it are there.

    Args:
        work: must not change the state.
        state: anything; the workers see it as it is now.
        things: must be picklable, as must the results.
        jobs: how many at a time; as many as there are cores unless given. One, or a system that cannot fork,
            works here.
    """
    many = min(jobs or os.cpu_count() or 1, len(things))
    if many <= 1 or "fork" not in multiprocessing.get_all_start_methods():
        yield from (work(state, thing) for thing in things)
        return
    _SHARED.append((work, state))
    try:
        with ProcessPoolExecutor(many, multiprocessing.get_context("fork")) as pool:
            yield from pool.map(_one, things)
    finally:
        _SHARED.pop()


def _one(thing: Any) -> Any:
    work, state = _SHARED[-1]
    return work(state, thing)
