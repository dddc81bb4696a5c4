"""A passkey made, a code looked at, the page gone after its time: in Chromium, with a virtual authenticator (WebAuthn
level 3, section 11) that holds the key as a telephone would."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone

from jobs.domain.codes import keep_code
from jobs.domain.sign_in import add_wall_screen, invite_person, new_invitation_token
from jobs.models import RevealLog
from tests.browser.conftest import CHROMIUM, PATIENCE_MS
from tests.factories import PASSWORD, make_commission, make_helper, make_maker, make_workshop

AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
AUTHENTICATOR = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}
PLANTED = "C4821Z"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


class Person:
    """Somebody at a browser, 320 px wide; what the browser complains of and what axe finds is kept."""

    def __init__(self, page, url):
        self.page, self.url, self.complaints = page, url, []
        page.on("console", lambda said: self.complaints.append(said.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def go(self, path):
        self.page.goto(self.url + path)
        self.look()

    def look(self):
        page = self.page
        overflow = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found = Axe().run(page, options=AXE_RULES).response["violations"]
        self.complaints += [(page.url, "wider than the window", overflow)] if overflow > 0 else []
        self.complaints += [(page.url, one["id"], [node["html"] for node in one["nodes"]]) for one in found]

    def press(self, words):
        self.page.locator("main").get_by_role("button", name=words).or_(
            self.page.locator("main").get_by_role("link", name=words)
        ).first.click()
        self.page.wait_for_load_state()


@pytest.fixture
def workshop(contexts, live_server):
    return make_workshop()


@pytest.fixture
def person(contexts, workshop, live_server):
    context = contexts.new_context(viewport={"width": 320, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("WebAuthn.enable")
    session.send("WebAuthn.addVirtualAuthenticator", {"options": AUTHENTICATOR})
    return Person(page, live_server.url)


def real_complaints(person):
    """Without Chromium's remarks on refused pages, which are meant to be refused, and on password forms."""
    meant = ("Failed to load resource: the server responded with a status of 4", "[DOM] Password forms")
    return [one for one in person.complaints if not (isinstance(one, str) and one.startswith(meant))]


def test_a_passkey_opens_the_code_for_thirty_seconds(person, workshop):
    maker, now = make_maker(), timezone.now()
    commission = make_commission(maker=maker)
    code = keep_code(
        commission=commission, opens="key_safe", code=PLANTED, place="", workshop=workshop, now=now, actor=maker
    )
    page = person.page
    person.go("/account/login/")
    page.fill("[name=login]", maker.email)
    page.fill("[name=password]", PASSWORD)
    person.press(re.compile("^Sign in$"))
    person.go(f"/codes/{code.pk}/look/")
    assert "A second factor first" in page.content()
    person.press("Set it up")
    person.look()
    person.press("Add a passkey")
    person.look()
    page.fill("[name=password]", PASSWORD)
    person.press("Go on")
    person.look()
    page.fill("[name=name]", "Telephone")
    person.press("Add this device")
    page.wait_for_url("**/recovery-codes/")
    person.look()
    person.go("/account/2fa/webauthn/")
    assert "Telephone" in page.content()
    person.go("/account/2fa/totp/activate/")
    person.go(f"/codes/{code.pk}/look/")
    person.press("Use my passkey")
    page.wait_for_url("**/look/")
    person.look()
    assert PLANTED not in page.content() and not RevealLog.objects.exists()
    # The page's clock stands still but for what is done to it here: looking at the page takes seconds.
    shown_at = timezone.now()
    page.clock.set_fixed_time(shown_at)
    person.press("Show the code")
    assert page.locator(".code").inner_text() == PLANTED
    person.look()
    page.clock.set_fixed_time(shown_at + dt.timedelta(seconds=29))
    page.locator("[data-left]", has_text=re.compile("^1$")).wait_for()
    assert PLANTED in page.content()
    page.clock.set_fixed_time(shown_at + dt.timedelta(seconds=31))
    page.wait_for_url(f"**/commissions/{commission.number}/")
    assert PLANTED not in page.content() and RevealLog.objects.count() == 1
    # The browser's way back leads to no copy of the page.
    page.go_back()
    page.wait_for_load_state()
    assert PLANTED not in page.content()
    person.go("/workshop/")
    page.get_by_role("button", name="Sign out").click()
    person.go("/account/login/")
    person.press("Sign in with a passkey")
    page.wait_for_url(person.url + "/")
    assert real_complaints(person) == []


def test_pages_without_sign_in(person, workshop):
    now, maker = timezone.now(), make_maker()
    invitation = invite_person(person=make_helper(email="sam@example.org"), workshop=workshop, now=now, actor=maker)
    person.go("/invitation/none/")
    person.go(f"/invitation/{new_invitation_token(invitation.pk, now=now)}/")
    person.page.fill("[name=password]", "four-dry-oak-boards")
    person.page.fill("[name=again]", "four-dry-oak-board")
    person.press("Set this password")
    person.look()
    assert "differs from the line above" in person.page.content()
    _, code = add_wall_screen(name="Bench", now=now, actor=maker)
    number = make_commission(maker=maker).number
    person.go("/wall/")
    person.page.fill("[name=code]", code)
    person.press("Pair this screen")
    assert person.page.url == person.url + "/wall/board/"
    person.go(f"/commissions/{number}/steps/")
    person.go("/workshop/")
    assert "Not for this sign-in" in person.page.content()
    assert real_complaints(person) == []
