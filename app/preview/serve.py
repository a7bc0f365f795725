"""Serves the preview until it is stopped, and says where."""

from __future__ import annotations

import signal
import socket
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import uvicorn

from app.preview.collector import unhurried
from app.preview.guard import Guard, hosts_of, own_addresses
from app.preview.later import Later
from app.preview.rebuild import Marks
from app.preview.site import Site
from app.preview.talk import LARGEST
from app.preview.workshop import Workshop
from parts.faults import BadInput, Place

HERE = "127.0.0.1"
EVERYWHERE = "0.0.0.0"


def bound(address: str, port: int) -> socket.socket:
    """A socket that listens at an address; at any free port where `port` is 0.

    Raises:
        BadInput: the port is taken.
    """
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address, port))
        listening.listen()  # who comes before the server is up waits, and is not turned away
    except OSError as error:
        listening.close()
        place = Place(f"{address}:{port}", None, "")
        raise BadInput.at(
            place, f"it cannot be listened at ({error.strerror})", "give another --port"
        ) from None
    return listening


def server(workshop: Workshop, guard: Guard, later: Later | None = None) -> uvicorn.Server:
    """The server of a workshop; quiet, with bounded messages. `later` does its long work, if any."""
    config = uvicorn.Config(
        Site(workshop, guard, later).app(),
        log_level="warning",
        access_log=False,
        ws="websockets-sansio",
        ws_max_size=LARGEST,
        ws_max_queue=8,
        ws_per_message_deflate=False,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=1,
        h11_max_incomplete_event_size=16384,
    )
    return uvicorn.Server(config)


def serve(
    boat: Path,
    port: int,
    share: bool,
    browse: bool,
    marks: Marks | None,
    tell: Callable[[str], None],
) -> None:
    """Serves the preview of a boat file until it is interrupted.

    Args:
        boat: the boat file.
        port: 0 for any that is free.
        share: whether others on the network may come, each by a link that works once.
        browse: whether to open the page here.
        marks: of an earlier build, which pieces keep.
        tell: hears each line for the terminal.

    Raises:
        BadInput: there is no such file, or the port is taken.
    """
    path = boat.resolve()
    if not path.is_file():
        raise BadInput.at(Place(str(boat), None, ""), "there is no such file", "give the path of a boat file")
    listening = bound(EVERYWHERE if share else HERE, port)
    at = listening.getsockname()[1]
    names = own_addresses() if share else []

    def link(token: str) -> None:
        tell(f"next page, once: http://{(names or [HERE])[0]}:{at}/?key={token}")

    guard = Guard(hosts_of(HERE, at, share), share, link)
    own = f"http://{HERE}:{at}/"
    tell(f"preview of {boat}: {own}" if not share else "shared with the network; each link opens one page:")
    if share:
        link(guard.link)
    tell("stop with Ctrl-C")
    if browse and not share:
        threading.Timer(0.3, webbrowser.open, (own,)).start()
    unhurried()
    workshop = Workshop(path, marks)
    # The server passes a signal on once it is down; either one is the usual way to stop it.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    with suppress(KeyboardInterrupt):
        server(workshop, guard, Later(workshop)).run([listening])
