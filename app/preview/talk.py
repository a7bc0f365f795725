"""One page's line to the workshop: what it asks is checked and paced, what it lacks is sent."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

from app.preview.cards import card_of
from app.preview.guard import Pace
from app.preview.wire import Known, as_json
from app.preview.workshop import Refused, Workshop

LARGEST = 4096
"""Bytes that a page may send at once; a value and its name take a few dozen."""

Asked = dict[str, Any]


class Talk:
    """The line to one page.

    Sending waits for nothing but the page: whatever changes meanwhile goes out together, as what the page
    lacks then, so that a slow tablet is never far behind.
    """

    def __init__(self, socket: WebSocket, workshop: Workshop) -> None:
        self.socket = socket
        self.workshop = workshop
        self.pace = Pace()
        self._known = Known()
        self._news = asyncio.Event()
        self._sending = asyncio.Lock()
        self._does: dict[str, Callable[[Asked], Awaitable[None]]] = {
            "move": self._move,
            "undo": self._undo,
            "redo": self._redo,
            "drop": self._drop,
            "keep": self._keep,
            "card": self._card,
            "hold": self._hold,
            "compare": self._compare,
        }

    async def run(self) -> None:
        """Listens and sends until the page is gone."""
        self._news.set()
        self.workshop.opened_at = asyncio.get_running_loop().time()
        self.workshop.listeners.add(self._news.set)
        sender = asyncio.create_task(self._send())
        try:
            await self._listen()
        except WebSocketDisconnect:
            pass
        finally:
            self.workshop.listeners.discard(self._news.set)
            sender.cancel()

    async def _send(self) -> None:
        while True:
            await self._news.wait()
            self._news.clear()
            data = self._known.missing(self.workshop.shown)
            if data is not None:
                async with self._sending:
                    await self.socket.send_bytes(data)

    async def _say(self, **told: Any) -> None:
        async with self._sending:
            await self.socket.send_text(as_json(told))

    async def _listen(self) -> None:
        while True:
            message = await self.socket.receive()
            if message["type"] == "websocket.disconnect":
                return
            text = message.get("text")
            if not isinstance(text, str) or len(text) > LARGEST:
                await self.socket.close(1009)
                return
            if not self.pace.allows():
                await self.socket.close(1008)
                return
            await self._hear(text)

    async def _hear(self, text: str) -> None:
        """Does what was asked; what cannot be done is said to the page, in words."""
        try:
            asked = json.loads(text)
            does = self._does[asked["do"]]
        except (ValueError, KeyError, TypeError, RecursionError):
            await self._say(refused="that is nothing this preview does")
            return
        try:
            await does(asked)
        except Refused as error:
            await self._say(refused=str(error), do=str(asked["do"])[:20], name=str(asked.get("name"))[:60])

    async def _move(self, asked: Asked) -> None:
        rest = asked.get("rest") is not False
        self.workshop.move(asked.get("name"), asked.get("text"), asked.get("to"), rest)

    async def _undo(self, asked: Asked) -> None:
        self.workshop.undo()

    async def _redo(self, asked: Asked) -> None:
        self.workshop.redo()

    async def _drop(self, asked: Asked) -> None:
        self.workshop.drop()

    async def _keep(self, asked: Asked) -> None:
        await self.workshop.keep()
        await self._say(kept=self.workshop.path.name)

    async def _hold(self, asked: Asked) -> None:
        self.workshop.hold()

    async def _compare(self, asked: Asked) -> None:
        label = asked.get("with")
        if label is not None and not isinstance(label, str):
            raise Refused("there is no such version")
        await self.workshop.compare(label)

    async def _card(self, asked: Asked) -> None:
        name, shop = asked.get("name"), self.workshop
        if isinstance(name, str) and shop.boat is not None and shop.lists is not None:
            card = await asyncio.to_thread(card_of, shop.boat, shop.lists, name)
            if card is not None:
                await self._say(card=card)
