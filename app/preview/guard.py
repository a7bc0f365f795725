"""Who may talk to the preview: this machine's own pages, or those let in by a link that serves once."""

from __future__ import annotations

import hmac
import secrets
import socket
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

COOKIE = "athwart"
MOST_GUESTS = 32
"""Pages let in by links; the oldest are forgotten."""

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


class Guard:
    """Checks every request before anything else sees it.

    `Host` must be a name this server is known by, or a page of another site could reach it through a name
    that it made point here; `Origin`, where there is one, must be the same host. When the preview is shared,
    a page needs a cookie besides, which it gets for a link that works once.

    Attributes:
        hosts: names with port that the server answers to.
        shared: whether others than this machine may come.
    """

    def __init__(
        self, hosts: Iterable[str], shared: bool, tell: Callable[[str], None] = lambda _: None
    ) -> None:
        self.hosts = frozenset(host.lower() for host in hosts)
        self.shared = shared
        self._tell = tell
        self._link = secrets.token_urlsafe(24)
        self._guests: list[str] = []

    @property
    def link(self) -> str:
        """The token of the link that is open now."""
        return self._link

    def refusal(self, headers: Mapping[str, str], needs_origin: bool = False) -> str | None:
        """Why a request is turned away for its host or origin; None where it may go on."""
        host = headers.get("host", "").lower()
        if host not in self.hosts:
            return "this server is not known by that name"
        origin = headers.get("origin")
        if origin is None:
            return "a page must say where it is from" if needs_origin else None
        if origin.lower() not in (f"http://{host}", f"https://{host}"):
            return "that page is not from here"
        return None

    def knows(self, headers: Mapping[str, str]) -> bool:
        """Whether the request comes from a page that was let in."""
        if not self.shared:
            return True
        given = _cookie(headers.get("cookie", ""))
        return any(hmac.compare_digest(given.encode(), guest.encode()) for guest in self._guests)

    def let_in(self, token: str) -> str | None:
        """A cookie for a link's token; None if it is not the one that is open. Each link serves once."""
        if not hmac.compare_digest(token.encode(), self._link.encode()):
            return None
        guest = secrets.token_urlsafe(32)
        self._guests = [*self._guests[-MOST_GUESTS + 1 :], guest]
        self._link = secrets.token_urlsafe(24)
        self._tell(self._link)
        return guest


def _cookie(text: str) -> str:
    try:
        found = SimpleCookie(text).get(COOKIE)
    except CookieError:
        return ""
    return found.value if found else ""


def hosts_of(address: str, port: int, shared: bool) -> list[str]:
    """The names with port that a server at `address` answers to."""
    names = set(LOOPBACK)
    if shared:
        names |= {address, socket.gethostname(), *own_addresses()}
    return [f"{name}:{port}" for name in sorted(names)]


def own_addresses() -> list[str]:
    """Addresses by which others on the network reach this machine; none is called for it."""
    found = []
    for family, far in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):
        # Connecting a datagram socket sends nothing; it only tells which of our addresses would be used.
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((far, 9))
                own = probe.getsockname()[0]
        except OSError:
            continue
        found.append(f"[{own}]" if family == socket.AF_INET6 else own)
    return found


@dataclass
class Pace:
    """How often a page may speak: `burst` at once, `rate` a second in the long run."""

    rate: float = 80.0
    burst: float = 160.0
    clock: Callable[[], float] = time.monotonic
    _left: float = field(default=-1.0)
    _at: float = 0.0

    def allows(self) -> bool:
        """Counts one message; whether it may be heard."""
        now = self.clock()
        if self._left < 0.0:
            self._left, self._at = self.burst, now
        self._left = min(self.burst, self._left + (now - self._at) * self.rate)
        self._at = now
        if self._left < 1.0:
            return False
        self._left -= 1.0
        return True
