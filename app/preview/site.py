"""The preview as a web site of a few files and one socket; nothing else can be asked for."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import watchfiles
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from app.preview.files import page_files, policy
from app.preview.guard import COOKIE, Guard
from app.preview.later import Later
from app.preview.talk import Talk
from app.preview.workshop import Workshop

MOST_PAGES = 24
"""Pages that may be open at once."""


class Site:
    """Answers for one workshop."""

    def __init__(self, workshop: Workshop, guard: Guard, later: Later | None = None) -> None:
        self.workshop = workshop
        self.later = later
        self.guard = guard
        self.files = page_files()
        self.open = 0
        self.headers = {
            "content-security-policy": policy(self.files["index.html"][0]),
            "x-content-type-options": "nosniff",
            "referrer-policy": "no-referrer",
            "cross-origin-resource-policy": "same-origin",
            "cross-origin-opener-policy": "same-origin",
            "cache-control": "no-store",
        }

    def app(self) -> Starlette:
        """The site; the workshop works while it is up."""
        routes = [
            Route("/{path:path}", self._file, methods=["GET"]),
            WebSocketRoute("/line", self._line),
        ]
        return Starlette(routes=routes, lifespan=self._lifespan)

    @asynccontextmanager
    async def _lifespan(self, _: Starlette) -> AsyncIterator[None]:
        tasks = [asyncio.create_task(work) for work in (self.workshop.run(), watch(self.workshop))]
        if self.later is not None:
            tasks.append(asyncio.create_task(self.later.run()))
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            for task in tasks:
                with suppress(asyncio.CancelledError):
                    await task

    async def _file(self, request: Request) -> Response:
        refused = self.guard.refusal(request.headers)
        if refused:
            return PlainTextResponse(refused, 403, self.headers)
        name = request.path_params["path"] or "index.html"
        token = request.query_params.get("key")
        if token is not None and name == "index.html" and self.guard.shared:
            return self._let_in(token)
        if not self.guard.knows(request.headers):
            return PlainTextResponse("ask for a link; each opens one page, once", 403, self.headers)
        found = self.files.get(name)
        if found is None:
            return PlainTextResponse("there is nothing here", 404, self.headers)
        return Response(found[0], 200, self.headers, found[1])

    def _let_in(self, token: str) -> Response:
        guest = self.guard.let_in(token)
        if guest is None:
            return PlainTextResponse("this link has been used; ask for a new one", 403, self.headers)
        answer = RedirectResponse("/", 303, self.headers)
        answer.set_cookie(COOKIE, guest, httponly=True, samesite="strict", path="/")
        return answer

    async def _line(self, socket: WebSocket) -> None:
        refused = self.guard.refusal(socket.headers, needs_origin=True)
        if refused or not self.guard.knows(socket.headers) or self.open >= MOST_PAGES:
            await socket.close(1008)
            return
        await socket.accept()
        self.open += 1
        try:
            await Talk(socket, self.workshop).run()
        finally:
            self.open -= 1


async def watch(workshop: Workshop) -> None:
    """Has the workshop look again whenever a file is saved that the boat may be made from."""
    path = workshop.path

    def matters(_: watchfiles.Change, name: str) -> bool:
        # Editors write a new file and give it the old name, which shows as any kind of change.
        return Path(name).name in (path.name, "shop.yaml") or Path(name).suffix == ".csv"

    async for _ in watchfiles.awatch(
        path.parent,
        watch_filter=matters,
        debounce=120,
        step=30,
        recursive=False,
        ignore_permission_denied=True,
    ):
        workshop.look_again()
