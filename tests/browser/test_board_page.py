"""The Job board in a real browser: axe's rules for WCAG 2.2 AA, every width, both themes, forced colours."""

from __future__ import annotations

import datetime as dt

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.utils import timezone

from jobs.models import StepKind
from tests.browser.conftest import CHROMIUM, PATIENCE_MS
from tests.factories import make_access, make_client, make_commission, make_maker, make_visit, make_workshop, up_to

K = StepKind
AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


@pytest.fixture
def address(contexts, live_server):
    """A board with a row of each sort, and a cookie of somebody signed in."""
    make_workshop()
    now = timezone.now()
    maker, client = make_maker(), make_client()
    stages = [[], up_to(K.DRAWING), up_to(K.DOORS), DOORS_AWAY, up_to(K.WRAP), up_to(K.RETURN_VISIT)]
    for number, done in enumerate(stages):
        one = make_commission(
            maker=maker, client=client, nickname=f"Mill Row {number}", done=done, done_at=now - dt.timedelta(days=2)
        )
        kind = "return" if K.HANDOVER in done else "delivery"
        make_visit(one, kind=kind, starts_at=now + dt.timedelta(days=3 + number))
        make_access(one)
    make_commission(maker=maker, client=client, held_since=now.date())
    signed_in = Client()
    signed_in.force_login(maker)
    return live_server.url, signed_in.cookies["sessionid"].value


@pytest.fixture
def open_page(contexts, address):
    """open_page(width, **context) gives the board's page in a fresh browser window."""
    url, session = address

    def open_at(width, **options):
        context = contexts.new_context(viewport={"width": width, "height": 900}, **options)
        context.set_default_timeout(PATIENCE_MS)
        context.add_cookies([{"name": "sessionid", "value": session, "url": url}])
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda said: page.complaints.append(said.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(url)
        return page

    return open_at


def violations(page):
    found = Axe().run(page, options=AXE_RULES).response["violations"]
    return [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]


def test_board_is_whole_at_every_width_in_both_themes(open_page):
    for width in (320, 390, 1366, 1920):
        for scheme in ("light", "dark"):
            page = open_page(width, color_scheme=scheme)
            assert violations(page) == []
            assert page.complaints == []
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            assert page.locator("tbody th[scope=row]:visible").count() == 6
            page.close()


def test_forced_colours_and_no_script_leave_it_whole(open_page):
    page = open_page(1366, forced_colors="active", java_script_enabled=False)
    assert page.locator("tbody th[scope=row]:visible").count() == 6
    assert page.locator("svg.strands:visible").count() >= 4


def test_cords_line_up_with_the_ruler(open_page):
    """Every drawing starts and ends where the ruler of its row does, so that one day is one place."""
    page = open_page(1920)
    boxes = page.evaluate(
        """[...document.querySelectorAll("td.drawn")].filter(cell => cell.querySelector(".strands")).map(cell =>
           [".strands", ".lines"].map(name => {
             const box = cell.querySelector(name).getBoundingClientRect();
             return [Math.round(box.left), Math.round(box.right)];
           }))"""
    )
    assert len(boxes) >= 4
    assert all(strands == lines == boxes[0][0] for strands, lines in boxes)


def test_everything_is_reached_by_keyboard_and_shows_it(open_page):
    page = open_page(1366)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    assert page.locator(".skip").bounding_box()["y"] >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_what_is_pressed_is_big_enough(open_page):
    """Buttons and pages at the head: at least 44 pixels high (WCAG 2.5.5)."""
    page = open_page(390)
    heights = page.evaluate(
        "[...document.querySelectorAll('.head li a, .head button, main button, main .button')]"
        ".filter(one => one.checkVisibility()).map(one => one.getBoundingClientRect().height)"
    )
    assert heights and min(heights) >= 44
