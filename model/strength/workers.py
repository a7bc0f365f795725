"""The same work on many things: on all cores of this machine, or on a Dask cluster; results come in order."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any, TypeVar

Thing = TypeVar("Thing")
Result = TypeVar("Result")

PATIENCE = 10.0
"""Seconds that a cluster has to answer."""

_SHARED: list[tuple[Callable[[Any, Any], Any], Any]] = []
"""What forked workers inherit: a boat is there already, and need not be sent."""


class Crew:
    """Workers on this machine; `count` is how many things are worked on at a time."""

    def __init__(self, jobs: int | None = None) -> None:
        """As many at a time as given, or as there are cores."""
        self.count = jobs or os.cpu_count() or 1

    def each(
        self, work: Callable[[Any, Thing], Result], state: Any, things: Sequence[Thing]
    ) -> Iterator[Result]:
        """`work(state, thing)` of every thing, in order, each result once it and those before it are there.

        Args:
            work: a function of a module; it must not change the state.
            state: anything; the workers see it as it is now.
            things: must be picklable, as must the results.
        """
        many = min(self.count, len(things))
        if many <= 1 or "fork" not in multiprocessing.get_all_start_methods():
            yield from (work(state, thing) for thing in things)
            return
        _SHARED.append((work, state))
        try:
            with ProcessPoolExecutor(many, multiprocessing.get_context("fork")) as pool:
                yield from pool.map(_one, things)
        finally:
            _SHARED.pop()


class ClusterCrew(Crew):
    """The workers of a Dask cluster, each with this same version of Athwart installed."""

    def __init__(self, client: Any) -> None:
        """Takes a client that is connected."""
        super().__init__(max(1, sum(client.ncores().values())))
        self.client = client

    def each(
        self, work: Callable[[Any, Thing], Result], state: Any, things: Sequence[Thing]
    ) -> Iterator[Result]:
        """As `Crew.each`; the state is sent once to every worker."""
        held = self.client.scatter(state, broadcast=True, hash=False)
        futures = [self.client.submit(work, held, thing, pure=False) for thing in things]
        for future in futures:
            yield future.result()


@contextmanager
def crew(jobs: int | None = None, cluster: str | None = None) -> Iterator[Crew]:
    """Workers on this machine, or of the Dask cluster at an address such as `tcp://10.0.0.5:8786`.

    Raises:
        ModuleNotFoundError: a cluster is asked for, and `dask.distributed` is not installed.
        OSError: nothing answers there.
        ValueError: that is no address.
    """
    if cluster is None:
        yield Crew(jobs)
        return
    from distributed import Client

    with Client(cluster, timeout=PATIENCE, set_as_default=False) as client:
        yield ClusterCrew(client)


def _one(thing: Any) -> Any:
    work, state = _SHARED[-1]
    return work(state, thing)
