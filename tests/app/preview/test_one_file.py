"""The page that is handed over: whole, alone, and safe with whatever text a boat holds."""

import base64
import json
import re
import tomllib
from pathlib import PurePosixPath

import pytest

from app.preview.files import PAGE
from app.preview.one_file import one_file, page_with
from cutlists.shop_file import Shop
from model.boat import load_boat
from model.checks.run import run_checks
from tests.app.preview.live import pond


@pytest.fixture(scope="module")
def html(tmp_path_factory):
    path = pond(tmp_path_factory.mktemp("pond"))
    hostile = "</script><script>alert(1)</script><!--<script>"
    path.write_text(path.read_text().replace("title: Pond 12", f'title: "{hostile}"'))
    boat = load_boat(path)
    return one_file(boat, Shop(), run_checks(boat, checks=()))


def modules(html):
    told = json.loads(re.search(r'<script type="importmap">(.*?)</script>', html, re.DOTALL)[1])["imports"]
    return {name: base64.b64decode(address.partition(",")[2]).decode() for name, address in told.items()}


def test_every_module_is_in_it_and_asks_only_for_others_that_are(html):
    found = modules(html)
    files = {f"athwart/{path.relative_to(PAGE).as_posix()}" for path in PAGE.rglob("*.js")}
    assert set(found) == files | {"three"}
    for name, text in found.items():
        asked = re.findall(r'^(?:import|export)[^"\';]*?from\s*["\']([^"\']+)["\']', text, re.MULTILINE)
        assert set(asked) <= set(found), name
    assert "./store.js" not in found["athwart/main.js"].partition("const store")[0]


def test_nothing_is_fetched_and_text_of_the_file_ends_no_element(html):
    assert html.count("<script") == html.count("</script>") == 4
    assert "alert(1)" not in html  # it travels packed, and is shown as text
    for address in re.findall(r'(?:src|href)="([^"]+)"', html):
        assert address.startswith(("data:", "#"))
    assert "default-src 'none'" in html
    assert "http://" not in re.sub(r"base64,[A-Za-z0-9+/=]+", "", html).replace("http://www.w3.org", "")


def test_cards_cannot_end_their_element():
    html = page_with(b"\0\0\0\0", {"</script><b>": {"name": "</script>"}})
    told = re.search(r'id="handover-cards">(.*?)</script>', html, re.DOTALL)[1]
    assert json.loads(told) == {"</script><b>": {"name": "</script>"}}


def test_the_wheel_carries_every_file_of_the_page():
    root = PAGE.parents[2]
    told = tomllib.loads((root / "pyproject.toml").read_text())["tool"]["setuptools"]["package-data"]["app"]
    files = [path.relative_to(root / "app").as_posix() for path in PAGE.rglob("*") if path.is_file()]
    assert len(files) > 20
    for name in files:
        assert any(PurePosixPath(name).match(kind) for kind in told), name
