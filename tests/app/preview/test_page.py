"""The page in a real browser: Debian's chromium, driven over its own protocol."""

import re

from playwright.sync_api import expect

from tests.app.preview.live import Live, lake
from tests.app.preview.pages import settled, spot_of, tab


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
