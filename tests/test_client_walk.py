"""Every address of the client's page, found in the URLconf: who is refused, and that reading writes nothing.

An address of tomorrow is walked without a line here, or the first test says what it is wanting.
"""

from __future__ import annotations

import hashlib

import pytest
from django.apps import apps
from django.conf import settings
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import resolve

from aftercare.domain import packs
from aftercare.pack.render import PackFile
from jobs.domain.links import end_session, exchange_link, revoke_link
from jobs.models import ClientLink, ClientSession, LinkScope
from jobs.roles import URLS, May
from tests.addresses import addresses
from tests.factories import make_helper, make_maker
from tests.jobs.client_cast import DAY, browser_of
from tests.whole_client import NOT_THE_CLIENTS, OPEN_TO_ALL, Whole, whole_client

pytestmark = pytest.mark.django_db
READING = ("get", "head")


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    # The pack as paper is tested elsewhere and takes seconds to press.
    made = PackFile(b"%PDF-", hashlib.sha256(b"%PDF-").hexdigest(), 1, True, 0)
    monkeypatch.setattr(packs, "render_pack", lambda contents: made)


@pytest.fixture
def whole() -> Whole:
    return whole_client()


def body(answer) -> str:
    raw = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return raw.decode(errors="replace")


def every_row() -> dict[str, list]:
    """All that is stored, but for sessions of the sign-in and counters of tries."""
    return {
        model._meta.label: sorted(map(repr, model._base_manager.values()))
        for model in apps.get_models()
        if model._meta.app_label in ("jobs", "aftercare")
    }


def test_every_open_address_is_the_clients_or_guards_itself():
    for name, address in addresses().items():
        if URLS[name] == May.ANYONE:
            known = name in NOT_THE_CLIENTS or address.startswith("/account/")
            assert known != address.startswith("/your-"), (
                f"{name}: put it under /your-… to be walked here, or into NOT_THE_CLIENTS with tests of its own"
            )


def test_reading_as_the_client_finds_everything_and_writes_nothing(whole):
    opened = set()
    for name, address in whole.addresses.items():
        for method in READING:
            with CaptureQueriesContext(connection) as caught:
                answer = getattr(whole.cast.browser, method)(address)
                body(answer)
            wrote = [one["sql"] for one in caught.captured_queries if not one["sql"].lstrip().startswith("SELECT")]
            assert not wrote, (name, method, wrote)
            # 405: a button's address. 404 would mean that whole_client() has nothing to show there: add it.
            assert answer.status_code in (200, 405), (name, method, answer.status_code)
            opened |= {name} if answer.status_code == 200 else set()
    assert len(opened) >= 16 and "client_pack_pdf" in opened


def outsiders(whole: Whole) -> dict[str, Browser]:
    """Everybody who is not let in, and the workshop's own people, who have pages of their own."""
    cast, now = whole.cast, whole.cast.now
    found = {"nobody": Browser(), "the link as a cookie": Browser()}
    found["the link as a cookie"].cookies[settings.CLIENT_COOKIE_NAME] = cast.token
    for who, ended in (("left", "session"), ("session run out", "session"), ("link run out", "link")):
        exchanged = exchange_link(token=cast.token, now=now)
        assert exchanged is not None
        session, cookie = exchanged
        found[who] = Browser()
        found[who].cookies[settings.CLIENT_COOKIE_NAME] = cookie
        if who == "left":
            end_session(session=session, now=now)
        elif ended == "session":
            ClientSession.objects.filter(pk=session.pk).update(expires_at=now - DAY)
    for role in (make_maker(), make_helper()):
        found[role.role] = Browser()
        found[role.role].force_login(role)
    return found


def refused_everywhere(browser: Browser, who: str, whole: Whole) -> None:
    for name in sorted(set(whole.addresses) - OPEN_TO_ALL):
        for method in (*READING, "post", "put", "delete"):
            answer = getattr(browser, method)(whole.addresses[name])
            assert answer.status_code == 403, (who, name, method)
            page = body(answer)
            assert not [words for words in whole.words if words in page], (who, name, method)


def test_outsiders_are_refused_at_every_address_and_change_nothing(whole):
    found = outsiders(whole)
    run_out = found.pop("link run out")
    before = every_row()
    for who, browser in found.items():
        refused_everywhere(browser, who, whole)
    assert every_row() == before
    link = whole.cast.link
    ClientLink.objects.filter(pk=link.pk).update(made_at=whole.cast.now - 2 * DAY, expires_at=whole.cast.now)
    refused_everywhere(run_out, "link run out", whole)
    refused_everywhere(whole.cast.browser, "link run out", whole)
    ClientLink.objects.filter(pk=link.pk).update(expires_at=whole.cast.now + DAY)
    assert whole.cast.browser.get(whole.addresses["client_page"]).status_code == 200
    revoke_link(link=link, now=whole.cast.now, actor=None)
    refused_everywhere(whole.cast.browser, "taken back", whole)


def test_another_clients_cookie_reaches_nothing_of_this_client(whole):
    other = whole_client(name="Otis Brand", what="linen press")
    before = every_row()
    with_rows = {name for name, address in whole.addresses.items() if resolve(address).kwargs} - OPEN_TO_ALL
    assert len(with_rows) >= 11
    for name in sorted(set(whole.addresses) - OPEN_TO_ALL):
        for method in (*READING, *(["post"] if name in with_rows else [])):
            answer = getattr(other.cast.browser, method)(whole.addresses[name])
            page = body(answer)
            assert answer.status_code in ((404, 405) if name in with_rows else (200, 405)), (name, method)
            assert not [words for words in whole.words if words in page], (name, method)
    assert every_row() == before


def test_a_link_for_looking_reads_what_is_to_read_and_decides_nothing(whole):
    now = whole.cast.now
    ClientLink.objects.filter(pk=whole.cast.link.pk).update(scope=LinkScope.VIEW)
    looking = browser_of(whole.cast.token, now)
    before = every_row()
    for name in sorted(set(whole.addresses) - OPEN_TO_ALL - {"client_leave"}):
        for method in (*READING, "post"):
            answer = getattr(looking, method)(whole.addresses[name])
            assert answer.status_code in ((403, 405) if method == "post" else (200, 403, 405)), (name, method)
    assert every_row() == before
    assert looking.get(whole.addresses["client_page"]).status_code == 200
