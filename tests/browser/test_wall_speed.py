"""How soon the wall shows and answers, with 60 commissions, measured in the browser by its own PerformanceObserver.

Printed with `-s`. The aims (LCP 1.0 s, a press answered within 100 ms, CLS 0.02) are the project's own and hang on
the machine; asserted are the limits for "good" of the core web vitals (LCP 2.5 s, INP 200 ms, CLS 0.1;
web.dev/vitals, from memory) with the processor slowed down four times.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import expect, sync_playwright

from tests.browser.wall_cast import ARGUMENTS, CHROMIUM, fill, new_page, session_of

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]

OBSERVE = """
window.vitals = {lcp: 0, cls: 0, press: 0};
const watch = (type, take, options = {}) =>
  new PerformanceObserver(list => list.getEntries().forEach(take)).observe({type, buffered: true, ...options});
watch("largest-contentful-paint", entry => { vitals.lcp = entry.startTime; });
watch("layout-shift", entry => { if (!entry.hadRecentInput) vitals.cls += entry.value; });
watch("event", entry => { if (entry.interactionId) vitals.press = Math.max(vitals.press, entry.duration); },
      {durationThreshold: 16});
"""


@pytest.fixture
def browser_and_session(live_server, monkeypatch):
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    session = session_of(fill(60))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser, live_server.url, session
        browser.close()


def look(browser, url, session, path, slowed):
    """LCP in ms, CLS, and the longest press in ms, of one visit with a few presses."""
    page = new_page(browser, url, session, 1920)
    page.add_init_script(OBSERVE)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slowed})
    page.goto(url + path)
    page.wait_for_timeout(500)
    if path == "/wall/board/":
        for place in range(3):
            page.locator("[data-row]:visible").nth(place).click()
            expect(page.locator("[data-panel]")).to_be_visible(timeout=20_000)
            page.keyboard.press("0")
            expect(page.locator("[data-panel]")).to_have_count(0, timeout=20_000)
    else:
        page.mouse.click(600, 500)
    page.wait_for_timeout(300)
    found = page.evaluate("vitals")
    page.context.close()
    return found["lcp"], found["cls"], found["press"]


def test_wall_shows_and_answers_within_the_core_limits(browser_and_session):
    print("\npage          CPU  LCP ms    CLS  longest press ms")
    worst = []
    for path in ("/wall/board/", "/where/", "/"):
        look(*browser_and_session, path, 1)  # templates and code are read once
        for slowed in (1, 4):
            lcp, cls, press = look(*browser_and_session, path, slowed)
            print(f"{path:<13} 1/{slowed}  {lcp:6.0f}  {cls:5.3f}  {press:6.0f}")
            worst.append((lcp, cls, press))
    assert max(lcp for lcp, _, _ in worst) <= 2500
    assert max(cls for _, cls, _ in worst) <= 0.1
    assert max(press for _, _, press in worst) <= 200
