"""The wall pages in a real browser: axe's rules for WCAG 2.2 AA, sizes in millimetres, keys, no connection."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from playwright.sync_api import expect, sync_playwright

from jobs.models import DaybookLine, Step
from tests.browser.wall_cast import ARGUMENTS, CHROMIUM, K, fill, new_page, session_of, violations

BOARD, WHERE, SCREEN = "/wall/board/", "/where/", "/wall/screen/"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


@pytest.fixture
def wall(live_server, monkeypatch):
    """open(path, width, height, **context) gives a page of the wall, signed in, in a fresh window."""
    # Playwright runs a loop of its own in this thread; the live server answers from another.
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    session = session_of(fill(18))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)

        def open_at(path, width=1920, height=1080, **options):
            page = new_page(browser, live_server.url, session, width, height, **options)
            page.goto(live_server.url + path)
            return page

        yield open_at
        browser.close()


def measure(page, mm_per_px, distance_m=3.0):
    """Set the screen up as a maker does, with a rule on the line."""
    page.goto(page.url.split("/wall/")[0] + SCREEN)
    page.fill("[name=line_px]", str(round(300 / mm_per_px, 1)))
    page.check("[name=is_measured]")
    page.fill("[name=viewing_distance_m]", str(distance_m))
    with page.expect_navigation():
        page.click("text=Keep it")


def rows(page):
    return page.locator("[data-row]:visible")


def check(page, width):
    assert violations(page) == []
    assert page.complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", [BOARD, WHERE])
def test_every_width_in_both_themes(wall, path, scheme):
    page = wall(path, 320, 640, color_scheme=scheme, reduced_motion="reduce")
    for width, height in ((320, 640), (390, 844), (1366, 768), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        check(page, width)


def test_set_up_page_and_last_changes_are_whole(wall):
    check(wall(SCREEN, 320, 640), 320)
    check(wall(f"{BOARD}?changes=1", 390, 844), 390)


def test_twice_the_size_has_no_sideways_scroll(wall):
    """WCAG 1.4.4: 200 % of a window of 1366 is one of 683 CSS pixels with twice as many points to each."""
    for path in (BOARD, WHERE, SCREEN):
        page = wall(path, 683, 384, device_scale_factor=2)
        assert page.evaluate("document.documentElement.scrollWidth") <= 683


def test_without_scripts_every_row_is_there(wall):
    page = wall(BOARD, forced_colors="active", java_script_enabled=False)
    assert rows(page).count() == 19
    assert page.locator("kbd:visible").count() == 0
    page.goto(page.url.replace(BOARD, WHERE))
    assert page.locator(".floor .code").count() >= 15 and page.locator(".where-lists li:visible").count() >= 19


def ink_height(page, locator):
    """Rows of points with ink in a picture of an element."""
    picture = Image.open(io.BytesIO(locator.screenshot())).convert("L")
    inked = [y for y in range(picture.height) if min(picture.crop((0, y, picture.width, y + 1)).getdata()) < 110]
    return max(inked) - min(inked) + 1


@pytest.mark.parametrize(("inches_mm_per_px", "distance_m"), [(0.277, 3.0), (0.496, 3.0), (0.634, 3.0), (0.496, 2.0)])
def test_capitals_are_as_high_as_the_distance_asks(wall, inches_mm_per_px, distance_m):
    """A capital H photographed and counted in points: 5 mm for each metre of distance, 15 mm at 3 m (D/200)."""
    page = wall(BOARD, color_scheme="light")
    measure(page, inches_mm_per_px, distance_m)
    page.evaluate(
        """document.querySelector("[data-row] b").outerHTML = '<b id="H" style="display: inline-block">H</b>'"""
    )
    height_mm = ink_height(page, page.locator("#H")) * inches_mm_per_px
    assert 5 * distance_m - 1.5 * inches_mm_per_px <= height_mm <= 5 * distance_m * 1.08


@pytest.mark.parametrize("mm_per_px", [0.277, 0.369, 0.496, 0.634])
def test_no_row_is_cut_and_the_rest_is_counted(wall, mm_per_px):
    page = wall(BOARD)
    measure(page, mm_per_px)
    bar_top = page.locator(".wall-bar").bounding_box()["y"]
    shown = rows(page).count()
    assert 1 <= shown < 19
    boxes = [rows(page).nth(place).bounding_box() for place in range(shown)]
    assert all(box["y"] + box["height"] <= bar_top + 1 for box in boxes)
    assert page.locator("#later").inner_text() == f"and {19 - shown} later"
    assert page.evaluate("document.documentElement.scrollHeight") <= 1080 + 1
    print(f"\n{mm_per_px} mm per px: {shown} rows of {boxes[0]['height'] * mm_per_px:.0f} mm and {19 - shown} later")


def test_buttons_are_25_mm_with_5_mm_between(wall):
    page = wall(BOARD)
    measure(page, 0.496)
    page.keyboard.press("1")
    expect(page.locator("[data-panel]")).to_be_visible()
    boxes = page.evaluate(
        "[...document.querySelectorAll('.wall-bar button, .wall-bar .button')].filter(one => one.offsetParent)"
        ".map(one => one.getBoundingClientRect()).map(box => [box.left, box.top, box.right, box.bottom])"
    )
    assert len(boxes) >= 4
    assert all(min(box[2] - box[0], box[3] - box[1]) * 0.496 >= 24.99 for box in boxes)
    for one in boxes:
        for other in boxes:
            apart = max(other[0] - one[2], one[0] - other[2], other[1] - one[3], one[1] - other[3])
            assert one == other or apart * 0.496 >= 4.99
    height = rows(page).first.bounding_box()["height"]
    assert height * 0.496 >= 29.9


def test_keys_pick_tick_and_take_back(wall):
    page = wall(BOARD)
    number = page.locator("[data-row]", has_text="Mill Row 0 ").get_attribute("data-row")
    step = Step.objects.get(commission__number=number, kind=K.INSPECT)
    key = page.locator(f"#row-{number}").get_attribute("data-keys")
    page.keyboard.press(key)
    expect(page.locator("#panel-title")).to_have_text("Mill Row 0")
    expect(page.locator(f"#row-{number}")).to_have_attribute("aria-current", "true")
    page.keyboard.press("s")
    expect(page.locator(".wall-undo")).to_contain_text("Started: Doors inspected")
    page.keyboard.press("d")
    expect(page.locator(".wall-undo")).to_contain_text("Finished: Doors inspected")
    expect(page.locator(f'[data-row="{number}"] .changed')).to_contain_text("Finished: Doors inspected")
    step.refresh_from_db()
    assert step.finished_at is not None
    page.keyboard.press("u")
    expect(page.locator(".said")).to_contain_text("Mill Row 0: taken back.")
    step.refresh_from_db()
    assert step.finished_at is None and step.started_at is not None
    page.keyboard.press("0")
    expect(page.locator("[data-panel]")).to_have_count(0)
    page.keyboard.press("c")
    expect(page.locator("#panel-title")).to_have_text("Last changes")
    assert page.evaluate("document.activeElement.id") == "panel-title"
    page.keyboard.press("Escape")
    expect(page.locator("[data-panel]")).to_have_count(0)
    with page.expect_navigation():
        page.keyboard.press("w")
    assert page.url.endswith(WHERE)
    with page.expect_navigation():
        page.keyboard.press("b")
    assert page.url.endswith(BOARD)
    assert page.complaints == []


def test_undo_stays_ten_seconds_and_the_list_keeps_it(wall):
    page = wall(BOARD)
    page.clock.install()
    page.reload()
    page.locator("[data-row]", has_text="Mill Row 0 ").click()
    page.locator("[id^=start-]").first.click()
    undo = page.locator("#undo")
    expect(undo).to_be_visible()
    page.clock.run_for(9_500)
    expect(undo).to_be_visible()
    page.clock.run_for(1_000)
    expect(undo).to_have_count(0)
    page.keyboard.press("0")
    expect(page.locator("[data-panel]")).to_have_count(0)
    page.keyboard.press("c")
    expect(page.locator("[data-panel] button")).to_have_count(1)


def test_keys_can_be_turned_off(wall):
    page = wall(SCREEN)
    page.uncheck("[name=has_shortcuts]")
    with page.expect_navigation():
        page.click("text=Keep it")
    page.keyboard.press("1")
    page.keyboard.press("w")
    page.wait_for_timeout(300)
    assert page.url.endswith(BOARD) and page.locator("kbd:visible, [data-panel]").count() == 0


def test_keys_leave_other_pages_and_fields_alone(wall):
    page = wall("/")
    page.keyboard.press("w")
    page.goto(page.url + SCREEN[1:])
    page.focus("[name=line_px]")
    page.keyboard.press("Control+a")
    page.keyboard.type("612")
    assert page.url.endswith(SCREEN) and page.input_value("[name=line_px]") == "612"


def test_the_line_moves_by_button_and_by_key(wall):
    page = wall(SCREEN)
    line = page.locator("[data-line]")
    before = line.bounding_box()["width"]
    page.click("[data-move='20']")
    page.click("[data-move='-1']")
    assert line.bounding_box()["width"] == before + 19
    page.focus("[name=line_px]")
    page.keyboard.press("ArrowUp")
    assert before + 19 < line.bounding_box()["width"] <= before + 20
    page.check("[name=rule_mm][value='150']")
    assert line.bounding_box()["width"] == pytest.approx((before + 20) / 2, abs=1)
    assert page.locator("[data-rule]").inner_text() == "150"


def test_no_connection_is_said_in_words_and_goes_again(wall):
    page = wall(BOARD)
    page.clock.install()
    page.reload()
    clock = page.locator("[data-clock]")
    since = clock.get_attribute("data-clock")
    page.route("**/wall/board/?part=1", lambda route: route.abort())
    page.clock.run_for(61_000)
    expect(clock).to_have_text(f"No connection since {since} – showing what I knew")
    assert rows(page).count() > 3
    page.unroute("**/wall/board/?part=1")
    page.clock.run_for(16_000)
    expect(clock).to_contain_text("up to date")


def test_a_server_that_hangs_is_given_five_seconds(wall):
    page = wall(BOARD)
    page.route("**/wall/board/?*", lambda route: None)
    page.locator("[data-row]").first.click()
    expect(page.locator("[data-clock]")).to_contain_text("No connection since", timeout=8_000)


def test_what_another_hand_changed_comes_within_a_minute(wall):
    page = wall(BOARD)
    page.clock.install()
    page.reload()
    step = Step.objects.filter(kind=K.INSPECT, commission__nickname="Mill Row 0").get()
    commission = step.commission
    DaybookLine.objects.create(
        at=commission.visits.get().changed_at.replace(year=2001), act="put_on_hold", commission=commission, facts={}
    )
    commission.nickname = "Ferry Steps"
    commission.save(update_fields=["nickname"])
    page.clock.run_for(61_000)
    expect(page.locator(f'[data-row="{commission.number}"]')).to_contain_text("Ferry Steps")


def test_a_screen_taken_out_shows_nothing_more(wall):
    page = wall(BOARD)
    page.clock.install()
    page.reload()
    page.context.clear_cookies()
    page.clock.run_for(61_000)
    page.wait_for_url("**/account/login/**")


def test_next_rows_by_key(wall):
    page = wall(BOARD)
    measure(page, 0.277)
    first = rows(page).first.get_attribute("data-row")
    assert rows(page).first.locator("kbd").inner_text() == "1"
    seen = {first}
    for _ in range(20):
        page.keyboard.press("n")
        seen |= {rows(page).nth(place).get_attribute("data-row") for place in range(rows(page).count())}
        if rows(page).first.get_attribute("data-row") == first:
            break
    assert len(seen) == 19


def test_keyboard_alone_reaches_everything_and_shows_it(wall):
    page = wall(BOARD, 1366, 768)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id"))
    wanted = {"go-where", "go-changes", "next-rows", "go-screen", "go-desk"}
    assert wanted <= reached and sum(one.startswith("row-") for one in reached) == rows(page).count()
    page.focus("#next-rows")
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_where_answers_for_every_commission(wall):
    page = wall(WHERE)
    texts = page.locator(".where-lists").inner_text()
    assert all(f"Mill Row {number}" in texts for number in range(18)) and "Held House" in texts
    assert page.locator(".floor .filled").count() > 5 and page.locator(".floor .hollow").count() > 5
    # Nothing that is written lies over something else that is written.
    boxes = page.evaluate(
        "[...document.querySelectorAll('.floor text')].map(one => one.getBoundingClientRect())"
        ".map(box => [box.left, box.top, box.right, box.bottom])"
    )
    over = [
        (one, other)
        for place, one in enumerate(boxes)
        for other in boxes[place + 1 :]
        if min(one[2], other[2]) - max(one[0], other[0]) > 1 and min(one[3], other[3]) - max(one[1], other[1]) > 12
    ]
    assert over == []
