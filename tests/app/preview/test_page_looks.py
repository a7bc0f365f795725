"""How the page looks and reads: screens, keys, contrast, text of strangers, and the page handed over."""

import pytest
from playwright.sync_api import expect

from app.preview.one_file import write_one_file
from model.checks.listed import CHECKS
from model.checks.run import run_checks
from tests.app.preview.live import Live, lake
from tests.app.preview.pages import settled, tab


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
    strength = [check for check in CHECKS if check.name == "strength"]
    checked = run_checks(boat, checks=strength)
    write_one_file(boat, shared.workshop.source.shop, checked, tmp_path)
    page = open_page((tmp_path / "preview.html").as_uri())
    expect(page.locator("h1")).to_have_text("Lake 16, modified V")
    assert page.get_by_role("button", name="Keep").count() == 0
    assert page.locator("#sheet-dimensions").count() == 0
    shut = page.locator("#boat").screenshot()
    page.get_by_role("button", name="Lids", exact=True).click()
    page.wait_for_timeout(100)
    assert page.locator("#boat").screenshot() != shut
    page.get_by_role("button", name="Lids", exact=True).click()
    plain = page.locator("#boat").screenshot()
    page.get_by_role("button", name="Use", exact=True).click()
    expect(page.get_by_text("over 1.00")).to_be_visible()
    assert page.locator("#boat").screenshot() != plain
    tab(page, "Strength")
    worst, use, _ = max(checked.reports["strength"].all_uses, key=lambda row: row[1])
    expect(page.locator("#sheet-strength tbody tr").first).to_contain_text(f"{use:.2f}")
    expect(page.locator("#sheet-strength tbody tr").first).to_contain_text(worst)
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
