"""A browser and its pages for the tests of the page."""

from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from tests.app.preview.live import Live, lake
from tests.app.preview.pages import opened, tab, unexpected

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]


@pytest.fixture(scope="module")
def browser():
    assert CHROMIUM.exists(), (
        "the page's tests need chromium: apt-get install -y --no-install-recommends chromium"
    )
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield started
        started.close()


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    with Live(lake(tmp_path_factory.mktemp("lake"))) as running:
        yield running


@pytest.fixture
def open_page(browser):
    """Opens pages; nothing may go wrong in them unnoticed."""
    pages, wrong = [], []

    def opens(address, *size, **kind):
        pages.append(opened(browser, address, wrong, *size, **kind))
        return pages[-1]

    yield opens
    for page in pages:
        page.context.close()
    assert not unexpected(wrong)


@pytest.fixture(scope="module")
def held(browser, shared):
    """One page that many tests use, for a page is slow to open where no graphics chip draws it."""
    wrong = []
    return opened(browser, shared.address, wrong), wrong


@pytest.fixture
def page(held):
    """That page with nothing picked and the dimensions shown; a test leaves it as it found it."""
    page, wrong = held
    page.keyboard.press("Escape")
    tab(page, "Dimensions")
    yield page
    assert not unexpected(wrong)
