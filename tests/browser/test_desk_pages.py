"""The desk's pages in a real browser: axe at WCAG 2.2 AA, no sideways scroll, nothing said on the console.

The measure is axe-core's own rules (the library's, not ours), at two widths, light and dark.
"""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from tests.factories import make_commission, make_maker, make_template, make_workshop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PATHS = [
    "/day/", "/day/?on=rubbish", "/search/?q=tannery", "/search/?q=", "/more/", "/reports/",
    "/first-hour/commission/", "/steps-to-start-from/", "/workshop/empty-demo/", "/no-such-page/",
]  # fmt: skip


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (320, "dark"), (1366, "light"), (1366, "dark")])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(live_server, settings, monkeypatch, width, scheme):
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    # Playwright runs a loop of its own in this thread; the live server answers from another.
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    make_workshop(is_demo=True)
    maker = make_maker()
    make_template()
    commission = make_commission(maker=maker)
    signed = Browser()
    signed.force_login(maker)
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": signed.cookies[name].value, "url": live_server.url}
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
        context.add_cookies([cookie])
        page = context.new_page()
        wrong = []
        for path in [*PATHS, commission.get_absolute_url()]:
            page.goto(live_server.url + path)
            over = page.evaluate("document.documentElement.scrollWidth") - width
            if over > 0:
                wrong.append(f"{path} scrolls sideways by {over} px")
            found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}}).response["violations"]
            wrong += [f"{path}: {one['id']} {[node['html'][:120] for node in one['nodes'][:2]]}" for one in found]
        chromium.close()
    assert not wrong
