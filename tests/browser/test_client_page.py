"""The client's own page in a real browser: scripts off, 320 px, twice the type size, axe's rules for WCAG 2.2 AA."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from aftercare.domain.handover import hand_over
from jobs.domain.links import make_link
from jobs.domain.slot_offers import offer_slot
from jobs.models import (
    ClientDecision,
    Declaration,
    Room,
    Snag,
    StagePayment,
    StepKind,
    Survey,
    Visit,
)
from tests.browser.conftest import CHROMIUM, PATIENCE_MS
from tests.factories import make_commission, make_maker, make_workshop, up_to
from tests.jobs.client_cast import right_now
from tests.jobs.views.test_client_works import drawing, photograph

AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
TOO_WIDE = """() => [...document.querySelectorAll("main *")].filter(
    one => one.getBoundingClientRect().right > document.documentElement.clientWidth
).map(one => one.outerHTML.slice(0, 90)).slice(0, 8)"""
# Where pictures of the pages go, for a person to look at; unset, none are taken.
PICTURES = os.environ.get("SHUTLINE_PICTURES")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


class Story:
    """A commission with something in every part of its page."""

    def __init__(self, done: list[StepKind]) -> None:
        self.now = right_now()
        self.workshop, self.maker = make_workshop(phone="+441632960000"), make_maker()
        self.commission = make_commission(maker=self.maker, done=done, done_at=self.now - dt.timedelta(days=2))
        _, self.token = make_link(commission=self.commission, now=self.now, actor=self.maker)

    def fill(self) -> None:
        room = Room.objects.create(commission=self.commission, name="Hall")
        Survey.objects.create(room=room, taken_on=(self.now - dt.timedelta(days=3)).date())
        drawing(self)
        photograph(self, True)
        StagePayment.objects.create(
            commission=self.commission, event="delivery", amount_pence=340_050, due_on=self.now.date()
        )
        Snag.objects.create(
            commission=self.commission, place="left door", words="rubs", seen_on=self.now.date(), done_at=self.now
        )
        for days in (12, 13):
            start = (self.now + dt.timedelta(days=days)).replace(hour=9, minute=0, second=0)
            offer_slot(
                commission=self.commission, kind="survey", person=self.maker, starts_at=start,
                ends_at=start + dt.timedelta(hours=1), now=self.now, actor=None, reason="We are near you that day.",
            )  # fmt: skip


@pytest.fixture
def window(contexts, live_server, settings, tmp_path):
    """window(width, **context) gives a page in a fresh browser window; `.shop` is the address of the program."""
    settings.MEDIA_ROOT = tmp_path

    def open_at(width: int, **options):
        context = contexts.new_context(viewport={"width": width, "height": 844}, **options)
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        page.shop = live_server.url
        return page

    return open_at


def check_fits(page, name: str) -> None:
    """No scrolling sideways (WCAG 1.4.10), every button at least 24 px high (2.5.8)."""
    if PICTURES:
        width = page.viewport_size["width"]
        page.screenshot(path=str(Path(PICTURES) / f"client-{name}-{width}.png"), full_page=True)
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide == 0, (name, page.evaluate(TOO_WIDE))
    for button in page.locator("main button, main a.button").all():
        assert button.bounding_box()["height"] >= 24, name


def go_in(page, token: str) -> None:
    page.goto(f"{page.shop}/your-link/{token}/")
    check_fits(page, "entry")
    page.get_by_role("button", name="Open my page").click()
    assert page.url == f"{page.shop}/your-furniture/"


def test_without_scripts_at_320_px_a_client_gets_in_answers_and_takes_it_back(window):
    story = Story([])
    story.fill()
    page = window(320, java_script_enabled=True)
    go_in(page, story.token)
    check_fits(page, "page")
    page.context.close()
    page = window(320, java_script_enabled=False)
    page.goto(f"{page.shop}/your-link/{story.token}/")
    page.get_by_role("button", name="Open my page").click()
    page.get_by_role("link", name="Tell us whether it has changed").click()
    page.get_by_label("Nothing has changed since you measured").check()
    page.get_by_role("button", name="Tell the workshop").click()
    assert page.get_by_text("You told us that nothing has changed in the room.").is_visible()
    page.get_by_role("button", name="That was a mistake").click()
    assert page.get_by_role("heading", name="You took this back").is_visible()
    page.get_by_role("link", name="Back to the page").click()
    page.get_by_role("button", name="Take ").first.click()
    assert page.get_by_role("heading", name="Thank you").is_visible()
    assert not Declaration.objects.exists() and Visit.objects.get().state == "arranged"
    assert ClientDecision.objects.filter(undone_at__isnull=True).count() == 1


@pytest.mark.parametrize("width", [320, 390, 1366])
def test_every_page_fits_and_keeps_to_the_rules(window, width):
    """axe-core; at 320 px also with twice the type size."""
    story = Story([])
    story.fill()
    page = window(width)
    go_in(page, story.token)
    addresses = ["", "room/", "door/", "away/", "permissions/", f"drawings/{story.commission.drawings.get().pk}/"]
    for place in addresses:
        page.goto(f"{page.shop}/your-furniture/{place}")
        check_fits(page, place.strip("/").replace("/", "-") or "page")
        found = Axe().run(page, options=AXE_RULES).response["violations"]
        assert found == [], (place, [(one["id"], one["nodes"][0]["html"]) for one in found])
        if width == 320:
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            check_fits(page, "large-" + (place.strip("/").replace("/", "-") or "page"))


def test_after_handover_another_day_the_pack_and_a_closed_door(window):
    story = Story(up_to(StepKind.HANDOVER))
    hand_over(
        commission=story.commission, at=story.now - dt.timedelta(hours=1), workshop=story.workshop, now=story.now,
        actor=story.maker,
    )  # fmt: skip
    page = window(390)
    go_in(page, story.token)
    check_fits(page, "after")
    for place in ("pack/", "return-visit/"):
        page.goto(f"{page.shop}/your-furniture/{place}")
        check_fits(page, place.strip("/"))
        assert Axe().run(page, options=AXE_RULES).response["violations"] == [], place
    page.get_by_role("button", name="Take ").first.click()
    assert page.get_by_role("heading", name="Thank you").is_visible()
    check_fits(page, "done")
    page.goto(f"{page.shop}/your-furniture/")
    page.get_by_role("button", name="Leave this page").click()
    page.goto(f"{page.shop}/your-furniture/")
    assert page.get_by_role("button", name="Send me a new link").is_visible()
    check_fits(page, "closed")
