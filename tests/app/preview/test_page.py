"""The page in a real browser: Debian's chromium, driven over its own protocol."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from app.preview.one_file import write_one_file
from model.checks.run import run_checks
from tests.app.preview.live import Live, lake

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


def tab(page, words):
    page.get_by_role("tab", name=words).click()


def cells(page, sheet, key):
    """The cells of the row with a mark."""
    row = page.locator(f"#sheet-{sheet} tbody tr", has=page.get_by_role("button", name=key, exact=True))
    return row.locator("td").all_inner_texts()


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


def test_the_boat_is_there_with_its_tables(shared, page):
    expect(page.locator("h1")).to_have_text("Lake 16, modified V")
    boat = shared.workshop.boat
    assert page.locator("#sheet-saw tbody tr").count() == len({boat.marks[m.name] for m in boat.members})
    # Something is drawn: the picture is not of one colour.
    assert len(page.locator("#boat").screenshot()) > 20_000
    tab(page, "Weights")
    expect(page.locator("#sheet-weights .foot")).to_contain_text("kg")


def test_a_dragged_dimension_moves_view_table_and_says_what_it_did(shared, page):
    before = page.locator("#sheet-saw tbody").inner_text(), page.locator("#boat").screenshot()
    slider = page.get_by_label("aft deck, slide")
    box = slider.bounding_box()
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + box["width"] / 2, y)
    page.mouse.down()
    for step in range(12):
        page.mouse.move(box["x"] + box["width"] * (0.5 - 0.03 * step), y)
    settled(page, shared)
    during = page.locator("#sheet-saw tbody").inner_text()
    page.mouse.up()
    settled(page, shared)
    field = page.locator("#dimension-aft_deck")
    text = field.input_value()
    assert re.fullmatch(r"1[789](-\d+/\d+)?", text)
    assert shared.workshop._values == {"aft_deck": text}
    assert during != before[0]
    assert page.locator("#boat").screenshot() != before[1]
    expect(page.locator(".dimension.moved")).to_have_count(1)
    tab(page, "Changed")
    rows = page.locator("#sheet-change table").last.locator("tbody tr")
    assert rows.count() > 2
    assert all("deck.aft" in row or "locker" in row or "fixture" in row for row in rows.all_inner_texts()[:3])
    page.get_by_role("button", name="Undo").click()
    settled(page, shared)
    expect(page.locator(".dimension.moved")).to_have_count(0)
    assert page.locator("#sheet-saw tbody").inner_text() == before[0]


def test_a_piece_picked_in_the_table_is_picked_in_tree_and_card_and_in_the_view(shared, page):
    row = next(row for row in shared.workshop.lists.saw.rows if row.quantity == 1)
    plain = page.locator("#boat").screenshot()
    tab(page, "Saw list")
    page.get_by_role("button", name=row.mark, exact=True).first.click()
    expect(page.locator("#card h2")).to_contain_text(row.names[0].replace("/", "/"))
    expect(page.locator("#card img")).to_be_visible()
    expect(page.locator("#card dd").nth(1)).to_contain_text(shared.workshop.lists.saw.shop.marked(row.length))
    assert page.locator("#boat").screenshot() != plain
    tab(page, "Pieces")
    expect(page.locator("#sheet-tree .picked")).to_contain_text(row.mark)
    page.keyboard.press("Escape")
    expect(page.locator("#card")).to_be_hidden()


def test_a_piece_tapped_in_the_view_shows_its_row(shared, page):
    page.get_by_role("button", name="Above", exact=True).click()
    spot_of(page, "deck.sole/sheet", 0.45, 0.5)
    tab(page, "Sheet")
    expect(page.locator("#sheet-sheets tr.picked")).to_have_count(1)


def test_a_piece_is_found_by_its_mark_hidden_and_faded(shared, page):
    tab(page, "Pieces")
    boat = shared.workshop.boat
    name, mark = next((n, m) for n, m in boat.marks.items() if n == "deck.sole/sheet.1")
    page.get_by_label("Find a piece").fill(mark)
    alike = sum(1 for other in boat.marks.values() if other == mark)
    expect(page.locator("#sheet-tree .piece")).to_have_count(alike)
    plain = page.locator("#boat").screenshot()
    page.get_by_label(f"fade {name}").click()
    page.wait_for_timeout(100)
    faded = page.locator("#boat").screenshot()
    page.get_by_label(f"show {name}").uncheck()
    page.wait_for_timeout(100)
    hidden = page.locator("#boat").screenshot()
    assert len({plain, faded, hidden}) == 3
    page.get_by_role("button", name="Show all").click()
    page.get_by_label("Find a piece").fill("")
    page.wait_for_timeout(100)
    assert page.locator("#boat").screenshot() == plain


def test_a_lid_opens_by_its_slider_and_by_two_taps(shared, page):
    page.get_by_role("button", name="Above", exact=True).click()
    x, y = spot_of(page, "deck.front/store.port/lid", 0.7, 0.44)
    shut = page.locator("#boat").screenshot()
    slider = page.get_by_label("how far the lid stands open")
    slider.fill("0.5")
    expect(page.locator("#card")).to_contain_text(re.compile(r"open \d+ of \d+ degrees"))
    assert page.locator("#boat").screenshot() != shut
    slider.fill("0")
    page.keyboard.press("Escape")
    page.mouse.dblclick(x, y)
    expect(page.locator("#card")).to_contain_text("Close")
    page.locator("#card").get_by_role("button", name="Close").click()


def test_wrong_text_is_refused_with_its_line_and_the_last_boat_stays(shared, page):
    view = page.locator("#boat").screenshot()
    field = page.locator("#dimension-sole")
    field.fill("11 furlongs")
    field.press("Enter")
    settled(page, shared)
    lines = shared.workshop.source.lines
    line = next(k for k, line in enumerate(lines, start=1) if line.startswith("  sole: {value"))
    expect(page.locator("#faults")).to_contain_text(f"line {line},")
    expect(page.locator("#faults")).to_contain_text("'furlongs' is not a unit of length")
    expect(page.locator(".dimension.bad .wrong")).to_be_visible()
    page.get_by_role("button", name="Keep").click()
    expect(page.locator("#line")).to_contain_text("nothing was written")
    field.fill("11-1/4 in")
    field.press("Enter")
    settled(page, shared)
    expect(page.locator("#faults")).to_be_empty()
    assert page.locator("#boat").screenshot() != view
    page.get_by_role("button", name="Drop").click()
    settled(page, shared)
    expect(page.locator(".dimension.moved")).to_have_count(0)


def test_two_pages_agree(shared, page, open_page):
    one, other = page, open_page(shared.address)
    one.locator("#dimension-aft_deck").fill("19-1/2")
    one.locator("#dimension-aft_deck").press("Enter")
    expect(other.locator("#dimension-aft_deck")).to_have_value("19-1/2")
    other.get_by_role("button", name="Drop").click()
    expect(one.locator("#dimension-aft_deck")).to_have_value("20")
    settled(one, shared)
    assert one.locator("#sheet-saw").inner_text() == other.locator("#sheet-saw").inner_text()


def test_a_cut_a_half_and_a_tape(shared, page):
    pictures = [page.locator("#boat").screenshot()]
    for words in ("Port half", "Parallel", "Cut"):
        page.get_by_role("button", name=words, exact=True).click()
        page.wait_for_timeout(100)
        pictures.append(page.locator("#boat").screenshot())
    assert len(set(pictures)) == 4
    page.get_by_role("button", name="up", exact=True).click()
    expect(page.locator("#handles")).to_contain_text("above the baseline")
    for words in ("Port half", "Parallel", "Cut"):
        page.get_by_role("button", name=words, exact=True).click()
    page.get_by_role("button", name="Above", exact=True).click()
    x, y = spot_of(page, "deck.front/store.port/lid", 0.7, 0.44)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Measure", exact=True).click()
    page.mouse.click(x, y)
    page.mouse.click(x + 3, y + 3)
    expect(page.locator("#handles")).to_contain_text("mm)")
    expect(page.locator(".end")).to_be_visible()
    page.get_by_role("button", name="Measure", exact=True).click()


def test_keep_writes_the_file_with_its_comments(tmp_path, open_page):
    path = lake(tmp_path)
    text = path.read_text()
    with Live(path) as live:
        page = open_page(live.address)
        page.locator("#dimension-front_deck").fill("21-3/4")
        page.locator("#dimension-front_deck").press("Enter")
        settled(page, live)
        page.get_by_role("button", name="Keep").click()
        expect(page.locator("#line")).to_contain_text("kept in lake16.yaml")
        assert path.read_text() == text.replace("front_deck: {value: 22,", "front_deck: {value: 21-3/4,")
        expect(page.locator(".dimension.moved")).to_have_count(0)

        path.write_text(text.replace("Lake 16, modified V", "Saved by another hand"))
        expect(page.locator("h1")).to_have_text("Saved by another hand")


def test_the_page_comes_back_when_the_server_does(tmp_path, open_page):
    path = lake(tmp_path)
    live = Live(path)
    page = open_page(live.address)
    page.get_by_role("button", name="Port", exact=True).click()
    view = page.locator("#boat").screenshot()
    live.stop()
    expect(page.locator("#line")).to_contain_text("no line to the workshop")
    path.write_text(path.read_text().replace("Lake 16, modified V", "Lake 16 again"))
    with Live(path, live.port):
        expect(page.locator("h1")).to_have_text("Lake 16 again", timeout=15_000)
        expect(page.locator("#line")).to_be_empty()
        assert page.locator("#boat").screenshot() == view


def test_text_of_the_file_is_shown_as_text(tmp_path, open_page):
    path = lake(tmp_path)
    hostile = "<img src=x onerror=alert(1)><b>bold</b>"
    text = path.read_text().replace("title: Lake 16, modified V", f'title: "{hostile}"')
    path.write_text(text.replace("note: outboard edge of the rod lid", f'note: "{hostile}"'))
    with Live(path) as live:
        page = open_page(live.address)
        expect(page.locator("h1")).to_have_text(hostile)
        expect(page.locator("#sheet-dimensions")).to_contain_text(hostile)
        assert page.locator("main b, main img, h1 *").count() == 0


@pytest.mark.parametrize(("width", "height"), [(1024, 768), (800, 1280)])
def test_it_is_usable_on_small_and_upright_screens(shared, open_page, width, height):
    page = open_page(shared.address, width, height, has_touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    stage, tray = page.locator("#stage").bounding_box(), page.locator("#tray").bounding_box()
    assert stage["width"] * stage["height"] > 0.3 * width * height
    assert tray["width"] >= 400
    assert tray["height"] > 300
    sizes = page.eval_on_selector_all(
        "#tabs button, #stands button, #tools button, #steps button",
        "all => all.map((one) => one.getBoundingClientRect()).map((box) => [box.width, box.height])",
    )
    assert all(min(size) >= 44 for size in sizes)  # 44 px: WCAG 2.2, target size (enhanced)
    page.get_by_role("tab", name="Weights").tap()
    expect(page.locator("#sheet-weights")).to_be_visible()


def test_the_view_turns_by_keys_and_every_control_has_a_name(shared, page):
    page.locator("#boat").focus()
    page.keyboard.press("1")
    page.wait_for_timeout(80)
    pictures = [page.locator("#boat").screenshot()]
    for key in ("ArrowLeft", "ArrowUp", "+", "3", "f"):
        page.keyboard.press(key)
        page.wait_for_timeout(80)
        pictures.append(page.locator("#boat").screenshot())
    assert len(set(pictures[:5])) == 5
    unnamed = page.eval_on_selector_all(
        "button, input, [role=tab]",
        """all => all.filter((one) => !(one.textContent.trim() || one.getAttribute("aria-label")
            || (one.labels && one.labels.length))).map((one) => one.outerHTML)""",
    )
    assert unnamed == []


def test_the_page_that_is_handed_over_opens_from_disk(tmp_path, shared, open_page):
    boat = shared.workshop.boat
    write_one_file(boat, shared.workshop.source.shop, run_checks(boat, checks=()), tmp_path)
    page = open_page((tmp_path / "preview.html").as_uri())
    expect(page.locator("h1")).to_have_text("Lake 16, modified V")
    assert page.get_by_role("button", name="Keep").count() == 0
    assert page.locator("#sheet-dimensions").count() == 0
    shut = page.locator("#boat").screenshot()
    page.get_by_role("button", name="Lids", exact=True).click()
    page.wait_for_timeout(100)
    assert page.locator("#boat").screenshot() != shut
    row = next(row for row in shared.workshop.lists.saw.rows if row.quantity == 1)
    tab(page, "Saw list")
    page.get_by_role("button", name=row.mark, exact=True).first.click()
    expect(page.locator("#card img")).to_be_visible()
    assert (
        page.evaluate(
            "performance.getEntriesByType('resource').filter((one) => !one.name.startsWith('data:')).length"
        )
        == 0
    )


CONTRAST = """() => {
  const parse = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => {
    const share = (v) => ((v /= 255), v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * share(r) + 0.7152 * share(g) + 0.0722 * share(b);
  };
  const found = [];
  for (const one of document.querySelectorAll("body *")) {
    const own = [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!own || one.disabled || !one.checkVisibility() || ["SCRIPT", "STYLE"].includes(one.tagName)) continue;
    let under = one;
    while (under && (parse(getComputedStyle(under).backgroundColor)[3] ?? 1) < 1) under = under.parentElement;
    if (!under) continue;
    const pair = [getComputedStyle(one).color, getComputedStyle(under).backgroundColor];
    const [a, b] = pair.map(parse).map(light);
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) found.push([one.outerHTML.slice(0, 80), ratio]);
  }
  return found;
}"""


def test_every_text_stands_out_from_what_is_under_it(shared, page):
    """Contrast of 4.5 to 1, WCAG 2.2, success criterion 1.4.3 (AA); its formula for relative luminance."""
    page.locator("#dimension-sole").fill("nonsense")
    page.locator("#dimension-sole").press("Enter")
    settled(page, shared)
    low = page.evaluate(CONTRAST)
    for words in ("Pieces", "Saw list", "Changed", "Findings", "Compare"):
        tab(page, words)
        if words == "Saw list":
            page.locator("#sheet-saw tbody tr").first.click()
        low += page.evaluate(CONTRAST)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Drop").click()
    settled(page, shared)
    assert low == []


def test_a_finding_is_followed_from_its_pin_and_from_the_list(tmp_path, open_page):
    path = lake(tmp_path)
    left_out = "    forward: cockpit_aft\n    frame: {leave_out: [livewell/header.aft]}\n"
    path.write_text(path.read_text().replace("    forward: cockpit_aft\n", left_out, 1))
    with Live(path) as live:
        page = open_page(live.address)
        findings = live.workshop.boat.findings
        assert findings
        expect(page.get_by_role("tab", name="Findings").locator(".badge")).to_have_text(str(len(findings)))
        before = page.locator("#boat").screenshot()
        page.locator("#pins button").first.click()
        expect(page.locator("#card h2")).to_contain_text(findings[0].pieces[0])
        expect(page.locator("#sheet-findings .found.picked")).to_contain_text(findings[0].what)
        assert page.locator("#boat").screenshot() != before
        # The view has gone there: its pin stands near the middle of it.
        pin, view = page.locator("#pins button").first.bounding_box(), page.locator("#boat").bounding_box()
        assert abs(pin["x"] + 19 - view["x"] - view["width"] / 2) < 0.1 * view["width"]
        assert abs(pin["y"] + 19 - view["y"] - view["height"] / 2) < 0.1 * view["height"]
        last = page.locator("#sheet-findings .found").last
        last.get_by_role("button").first.click()
        expect(page.locator("#card h2")).to_contain_text(findings[-1].pieces[0])
