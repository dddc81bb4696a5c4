"""A workshop of many commissions on a wall in a real browser, for the tests and the benchmark of the wall pages."""

from __future__ import annotations

import datetime as dt
import os
import shutil
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from django.test import Client as Browser
from django.utils import timezone
from playwright.sync_api import Page

from jobs.models import Consignment, StepKind, Subcontractor
from tests.factories import make_access, make_client, make_commission, make_maker, make_visit, make_workshop, up_to

K = StepKind
CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS]
STAGES: list[tuple[list[StepKind], list[StepKind]]] = [
    (up_to(K.INSPECT), []),
    (DOORS_AWAY, [K.CARCASSES]),
    (up_to(K.DRAWING), []),
    (up_to(K.WRAP), []),
    (up_to(K.FIT), [K.FIT]),
    (up_to(K.DELIVER), []),
]


def fill(count: int) -> Any:
    """`count` commissions in every stage; of the first, the doors can be ticked as inspected. Gives their maker."""
    make_workshop(room_at_bench=4, room_on_rack=6)
    now = timezone.now()
    maker, client = make_maker(), make_client()
    sprayer = Subcontractor.objects.create(name="Brack and Vane")
    for number in range(count):
        done, running = STAGES[number % len(STAGES)]
        one = make_commission(
            maker=maker, client=client, nickname=f"Mill Row {number}", done=done, running=running,
            done_at=now - dt.timedelta(days=2),
        )  # fmt: skip
        make_visit(one, starts_at=now + dt.timedelta(days=2 + number % 30, hours=number))
        make_access(one)
        if K.CARCASSES in running:
            back = now.date() + dt.timedelta(days=number - 6)
            Consignment.objects.create(commission=one, subcontractor=sprayer, number=1, sent_at=now, promised_on=back)
    make_commission(maker=maker, client=client, nickname="Held House", held_since=now.date())
    return maker


def session_of(maker: Any) -> str:
    signed_in = Browser()
    signed_in.force_login(maker)
    return signed_in.cookies["sessionid"].value


def new_page(browser: Any, url: str, session: str, width: int, height: int = 1080, **options: Any) -> Page:
    """A page in a window of its own, signed in; what the console says is kept in `page.complaints`."""
    context = browser.new_context(viewport={"width": width, "height": height}, **options)
    context.add_cookies([{"name": "sessionid", "value": session, "url": url}])
    page = context.new_page()
    page.complaints = []
    page.on("console", lambda said: page.complaints.append(said.text))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    return page


def violations(page: Page) -> list[tuple[str, list[str]]]:
    found = Axe().run(page, options=AXE_RULES).response["violations"]
    return [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]
