"""Requests by strangers, against the real server: nothing leaks, nothing is written, nothing falls over."""

import asyncio
import http.client
import json
import time

import httpx
import pytest
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed, InvalidStatus

from app.preview.site import MOST_PAGES
from app.preview.talk import LARGEST
from tests.app.preview.live import POND, Live, pond


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hostile")
    (folder.parent / "secret.txt").write_text("the secret")
    (folder / "notes.txt").write_text("the secret")
    return folder


@pytest.fixture(scope="module")
def live(folder):
    with Live(pond(folder)) as running:
        yield running


def raw(live, path, headers=None, method="GET"):
    """A request as it is typed: nothing tidies its path or adds a header."""
    line = http.client.HTTPConnection("127.0.0.1", live.port, timeout=5)
    line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in {"Host": f"127.0.0.1:{live.port}", **(headers or {})}.items():
        line.putheader(name, value)
    line.endheaders()
    answer = line.getresponse()
    return answer.status, dict(answer.getheaders()), answer.read()


def talk(live, does, origin=None, headers=None):
    async def run():
        origin_ = f"http://127.0.0.1:{live.port}" if origin is None else origin
        async with connect(
            live.line, origin=origin_ or None, additional_headers=headers, max_size=None
        ) as line:
            return await asyncio.wait_for(does(line), 20)

    return asyncio.run(run())


async def until(line, key):
    """The next text message that has a key; what the boat sends goes by."""
    while True:
        message = await line.recv()
        if isinstance(message, str) and key in json.loads(message):
            return json.loads(message)[key]


def test_the_page_is_served_with_nothing_allowed_but_itself(live):
    status, headers, body = raw(live, "/")
    assert status == 200
    assert b"<main>" in body
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert "server" not in headers


PATHS = [
    "/../secret.txt", "/..%2fsecret.txt", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/pond12.yaml",
    "/page/../pond12.yaml", "/three/../../serve.py", "/..\\..\\secret.txt",
    "/index.html%00.js", "/notes.txt", "/main.js/../../talk.py", "/%ff%fe", "/three", "/" + "a" * 6000,
    "/file:///etc/passwd", "/three/LICENSE",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_no_path_but_the_pages_own_files_is_read(live, path):
    status, _, body = raw(live, path)
    assert status in (400, 404)
    assert b"secret" not in body
    assert b"root:" not in body
    assert b"boat:" not in body


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "TRACE", "OPTIONS"])
def test_nothing_but_looking_is_answered(live, method):
    assert raw(live, "/", method=method)[0] == 405


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "", "127.0.0.1:1", "127.0.0.1.evil.example"]
)
def test_a_name_that_was_made_to_point_here_gets_nothing(live, host):
    status, _, body = raw(live, "/", {"Host": host})
    assert status in (400, 403)
    assert b"<main>" not in body


def test_a_page_from_elsewhere_gets_no_file(live):
    assert raw(live, "/main.js", {"Origin": "http://evil.example"})[0] == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://localhost.evil.example", ""])
def test_a_page_from_elsewhere_gets_no_line(live, origin):
    async def listen(line):
        await line.recv()

    with pytest.raises((InvalidStatus, ConnectionClosed)):
        talk(live, listen, origin)


NONSENSE = [
    "", "{", "[]", "1", "null", '"move"', "{}", '{"do":"format"}', '{"do":["move"]}', '{"do":{"x":1}}',
    '{"do":"compare","with":"/etc/passwd"}', '{"do":"compare","with":{}}',
    "[" * 2000, '{"do":"__class__"}', '{"do":"move"}', '{"do":"move","name":"__proto__","text":"1"}',
    '{"do":"move","name":"deck","text":["1"]}', '{"do":"move","name":"deck","to":"1e9"}',
    '{"do":"move","name":"deck","to":1e999}', '{"do":"move","name":"deck","to":NaN}',
    '{"do":"move","name":"../../etc","text":"1"}',
    '{"do":"keep","path":"/etc/passwd","name":"x","text":"\\u0000"}',
    '{"do":"card","name":{}}', '{"do":"card","name":"../secret"}', "\u202e" * 100,
]  # fmt: skip


def test_nonsense_is_refused_in_words_and_the_line_stays(live, folder):
    async def does(line):
        for text in NONSENSE:
            await line.send(text)
        await line.send(json.dumps({"do": "card", "name": "deck.bow/hatch/lid"}))
        assert (await until(line, "card"))["name"] == "deck.bow/hatch/lid"

    talk(live, does)
    assert (folder / "pond12.yaml").read_text() == POND
    assert sorted(path.name for path in folder.iterdir()) == ["notes.txt", "pond12.yaml"]


def test_yaml_in_a_value_changes_nothing_but_the_value(live, folder):
    hostile = "13, least: 0}\nboat: other #"

    async def does(line):
        for text in (
            hostile,
            "13, least: 0",
            '13" # ',
            "!!python/object:os.system",
            "*x",
            "&x 13",
            "| 13",
            "{a: 1}",
        ):
            await line.send(json.dumps({"do": "move", "name": "deck", "text": text}))
            await line.send(json.dumps({"do": "keep"}))
            assert await until(line, "refused")
        await line.send(json.dumps({"do": "drop"}))

    talk(live, does)
    assert (folder / "pond12.yaml").read_text() == POND


@pytest.mark.parametrize("message", ["x" * (LARGEST + 1), "x" * 3_000_000, b"bytes"])
def test_a_message_that_is_too_large_or_no_text_ends_the_line(live, message):
    async def does(line):
        await line.send(message)
        while True:
            await line.recv()

    with pytest.raises(ConnectionClosed):
        talk(live, does)


def test_a_flood_ends_the_line_and_others_are_still_served(live):
    async def flood(line):
        for _ in range(5000):
            await line.send('{"do":"undo"}')
        while True:
            await line.recv()

    with pytest.raises(ConnectionClosed):
        talk(live, flood)

    async def first(line):
        return await line.recv()

    assert isinstance(talk(live, first), bytes)


def test_only_so_many_pages_are_open_at_once(live):
    async def run():
        ours = {"origin": f"http://127.0.0.1:{live.port}", "max_size": None}
        tried = [connect(live.line, **ours) for _ in range(2 * MOST_PAGES)]
        lines = await asyncio.gather(*tried, return_exceptions=True)
        let_in = [line for line in lines if not isinstance(line, Exception)]
        assert all(isinstance(line, InvalidStatus) for line in lines if line not in let_in)
        for line in let_in:
            await line.close()
        return len(let_in)

    # Lines of the tests before this one may still be on their way out.
    assert MOST_PAGES - 3 <= asyncio.run(run()) <= MOST_PAGES
    ends = time.monotonic() + 5
    while time.monotonic() < ends:
        try:
            assert isinstance(talk(live, lambda line: line.recv()), bytes)
            return
        except InvalidStatus:
            time.sleep(0.05)
    pytest.fail("pages that are gone still count")


def test_two_pages_agree(live):
    async def run():
        ours = {"origin": f"http://127.0.0.1:{live.port}", "max_size": None}
        async with connect(live.line, **ours) as a, connect(live.line, **ours) as b:
            await a.send(json.dumps({"do": "move", "name": "slant", "text": "64"}))

            async def hears(line):
                while True:
                    message = await line.recv()
                    length = int.from_bytes(message[:4], "little")
                    head = json.loads(message[4 : 4 + length])
                    for row in head["sections"].get("dimensions", []):
                        if row["name"] == "slant" and row["text"] == "64":
                            return True

            await asyncio.wait_for(asyncio.gather(hears(a), hears(b)), 15)
            await a.send(json.dumps({"do": "drop"}))

    asyncio.run(run())


def test_shared_pages_come_by_a_link_that_works_once(tmp_path):
    with Live(pond(tmp_path), shared=True) as live, httpx.Client(base_url=live.address) as guest:
        link = f"/?key={live.guard.link}"
        assert guest.get("/").status_code == 403
        assert guest.get("/main.js").status_code == 403
        assert guest.get("/?key=guess").status_code == 403
        with pytest.raises((InvalidStatus, ConnectionClosed)):
            talk(live, lambda line: line.recv())

        let_in = guest.get(link)
        assert let_in.status_code == 303
        assert let_in.headers["location"] == "/"
        cookie = let_in.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert b"<main>" in guest.get("/").content
        assert live.links == [live.guard.link]

        with httpx.Client(base_url=live.address) as other:
            assert other.get(link).status_code == 403
            assert other.get("/").status_code == 403
        sent = {"Cookie": f"athwart={guest.cookies['athwart']}"}
        assert isinstance(talk(live, lambda line: line.recv(), headers=sent), bytes)
