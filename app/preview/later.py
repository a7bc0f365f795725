"""Checks and plans of the boat at rest: done in another process, told as they come, dropped if she moves."""

from __future__ import annotations

import asyncio
import multiprocessing
from concurrent.futures import Executor, ProcessPoolExecutor
from typing import TYPE_CHECKING, Any

from app.preview.later_work import Answer, Order, set_up, tasks, work
from app.preview.tables import finding_pieces, finding_rows
from model.checks.harm import told_once

if TYPE_CHECKING:
    from app.preview.workshop import Workshop

PATIENCE = 0.4
"""Seconds that a boat must rest before anything long is begun."""
OPENING = 2.0
"""Seconds that a page which has just opened has for its first picture before anything long is begun."""


def other_process() -> Executor:
    """One other process; started afresh, for a copy of this one would hold its sockets and threads."""
    return ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), initializer=set_up)


class Later:
    """Does the long work for a workshop; the boat that rests last is the one that counts."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        self._order: Order | None = None
        self._wake = asyncio.Event()
        self._answers: dict[str, Answer] = {}
        self._fresh: dict[str, Answer] = {}
        self._rods: tuple[str, ...] = ()
        workshop.resting.append(self.rests)

    def rests(self, order: Order) -> None:
        """Hears that a boat rests."""
        if order != self._order:
            if "rods" in self._fresh:
                self._rods = self._fresh["rods"].summary
            self._order, self._fresh = order, {}
            self._wake.set()
        elif self._fresh:
            self._show()

    async def run(self) -> None:
        """Works for ever."""
        pool = other_process()
        self.workshop.opened_at = asyncio.get_running_loop().time()  # the first page is on its way
        try:
            while True:
                await self._wake.wait()
                self._wake.clear()
                await self._be_patient()
                if self._order is not None and not self._wake.is_set():
                    await self._go_through(pool, self._order)
        finally:
            # A task that is under way may take seconds: nobody waits for it any more.
            for process in list((getattr(pool, "_processes", None) or {}).values()):
                process.terminate()
            pool.shutdown(cancel_futures=True)

    async def _be_patient(self) -> None:
        """Waits until the boat has rested, and until a page that opens on this machine has drawn her."""
        await asyncio.sleep(PATIENCE)
        loop = asyncio.get_running_loop()
        while (left := self.workshop.opened_at + OPENING - loop.time()) > 0 and not self._wake.is_set():
            await asyncio.sleep(min(left, PATIENCE))

    async def _go_through(self, pool: Executor, order: Order) -> None:
        """Every task of one boat, until another boat rests."""
        for name, doing in tasks():
            self.workshop.say_later(doing=doing)
            answer = await asyncio.get_running_loop().run_in_executor(pool, work, order, name)
            if order != self._order:
                self.workshop.say_later(doing="")
                return
            self._fresh[name] = self._answers[name] = answer
            self._show()
        self.workshop.say_later(doing="")

    def _show(self) -> None:
        """Tells what is known; findings of checks that are still to be done are of the boat before."""
        boat, fresh = self.workshop.boat, self._fresh
        if boat is None:
            return
        found = [*boat.findings, *(f for name in fresh for f in fresh[name].findings)]
        old = [f for name, answer in self._answers.items() if name not in fresh for f in answer.findings]
        sections: dict[str, Any] = {}
        for answer in fresh.values():
            sections |= answer.sections
        if "rods" in fresh:
            sections["rods"] = {"now": fresh["rods"].summary, "before": self._rods}
        wrong = [answer.wrong for answer in fresh.values() if answer.wrong]
        looked = [line for answer in fresh.values() for line in answer.summary]
        found, old = told_once(found), told_once(old)
        rows = finding_rows(found) + [{**row, "old": True} for row in finding_rows(old)]
        pieces = finding_pieces([*found, *old])
        pieces |= {name: piece for answer in fresh.values() for name, piece in answer.pieces.items()}
        self.workshop.say_later(
            findings=rows, looked={"lines": looked, "wrong": wrong}, pieces=pieces, **sections
        )
