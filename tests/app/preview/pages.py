"""What the tests of the page do with a page."""

from playwright.sync_api import Page


def opened(browser, address, wrong, width=900, height=540, **kind):
    """A page on an address, with its tables there; what goes wrong in it is noted."""
    context = browser.new_context(
        viewport={"width": width, "height": height}, reduced_motion="reduce", **kind
    )
    page: Page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.set_default_timeout(15_000)
    page.goto(address)
    page.wait_for_selector("#sheet-saw tbody tr", state="attached")
    page.wait_for_selector("#sheet-weights tbody tr", state="attached")
    return page


def unexpected(wrong):
    return [line for line in wrong if "ERR_CONNECTION_REFUSED" not in line and "WebSocket" not in line]


def tab(page, words):
    page.get_by_role("tab", name=words).click()


def settled(page, live):
    """Waits until the workshop has nothing to do and the page has heard of it."""
    page.wait_for_timeout(40)
    while not live.workshop._idle.is_set():
        page.wait_for_timeout(20)
    page.wait_for_timeout(60)


def spot_of(page, name, along, up):
    """A spot of the view from above where a tap picks a piece, near shares of the view's width and height."""
    box = page.locator("#boat").bounding_box()
    head = page.locator("#card h2")
    for share_y in (up, up - 0.03, up + 0.03, up - 0.06):
        for share_x in (along, along - 0.03, along + 0.03):
            page.keyboard.press("Escape")
            x, y = box["x"] + box["width"] * share_x, box["y"] + box["height"] * share_y
            page.mouse.click(x, y)
            if head.is_visible() and name in head.inner_text():
                return x, y
    raise AssertionError(f"{name} is not to be tapped there")
