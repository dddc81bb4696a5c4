"""Whatever a client types, in every field of every form of their page, found in the pages themselves.

Kept as typed or refused with a sentence; and no page, mail, paper or feed made of it afterwards breaks.
"""

from __future__ import annotations

import email
import email.policy
import hashlib
from collections.abc import Iterator
from html.parser import HTMLParser

import icalendar
import pytest
from django.core import mail as django_mail
from django.test import Client as Browser
from django.utils import timezone

from aftercare.domain import packs
from aftercare.pack.render import PackFile
from jobs.models import Role
from jobs.roles import URLS, May
from jobs.sweep import sweep
from tests.addresses import addresses
from tests.factories import make_maker
from tests.jobs.client_cast import HOSTILE
from tests.whole_client import Whole, whole_client

pytestmark = [pytest.mark.django_db, pytest.mark.timeout(600)]
# All at once, short enough for a name: a line break with a header behind it, quotes and a tag, an override and
# Hebrew, an emoji of three signs joined.
TYPED = "Al\r\nBcc: x@example.org \"q' <b>bold</b> \u202egnol\u202c \u05d0\u05d1 \U0001f469\u200d\U0001f527"
DAY_OF = {"date": "2999-01-01"}
TYPES = {"text", "tel", "email", "search", "url", "textarea"}


class Forms(HTMLParser):
    """Forms of a page by their action: field name -> (type, value). Of radio buttons the first is taken."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: dict[str, dict[str, tuple[str, str]]] = {}
        self.now: dict[str, tuple[str, str]] | None = None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.now = self.found.setdefault(given.get("action", ""), {})
        elif self.now is not None and given.get("name") and tag in ("input", "textarea"):
            kind = "textarea" if tag == "textarea" else given.get("type", "text")
            self.now.setdefault(given["name"], (kind, given.get("value", "")))

    def handle_endtag(self, tag):
        if tag == "form":
            self.now = None


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    # The pack as paper is tested elsewhere and takes seconds to press.
    made = PackFile(b"%PDF-", hashlib.sha256(b"%PDF-").hexdigest(), 1, True, 0)
    monkeypatch.setattr(packs, "render_pack", lambda contents: made)


@pytest.fixture
def whole() -> Whole:
    return whole_client()


def forms_of(whole: Whole) -> Iterator[tuple[str, dict[str, str], list[str]]]:
    """Address, what the form holds as it is opened (the date fields filled), and its fields for words."""
    for name in sorted(whole.addresses):
        address = whole.addresses[name]
        answer = whole.cast.browser.get(address)
        if answer.status_code != 200 or answer.streaming or "html" not in answer["Content-Type"]:
            continue
        for action, fields in Forms(answer.content.decode()).found.items():
            words = [field for field, (kind, _) in fields.items() if kind in TYPES]
            held = {
                field: value or ("2999-01-01" if kind == "date" else "") for field, (kind, value) in fields.items()
            }
            if words:
                yield action or address, held, words


def test_each_field_for_words_takes_or_refuses_whatever_is_typed(whole):
    seen = set()
    for address, held, words in list(forms_of(whole)):
        for field in words:
            seen.add(field)
            for text in (*HOSTILE, TYPED, "\x00", "\u202e", " "):
                answer = whole.cast.browser.post(address, held | {field: text})
                assert answer.status_code in (302, 422), (address, field, text[:20])
                if answer.status_code == 422:
                    assert "<b>bold" not in answer.content.decode()
    assert seen >= {"what_changed", "opener_name", "opener_phone", "opener_email", "fallback_name", "fallback_phone",
                    "parking", "name", "given_by"}  # fmt: skip


@pytest.fixture
def typed(whole) -> Whole:
    """The hostile words in every field that takes them."""
    kept = 0
    for address, held, words in list(forms_of(whole)):
        for field in words:
            choice = {"answer": "changed"} if "what_changed" in words else {}
            kept += whole.cast.browser.post(address, held | choice | {field: TYPED}).status_code == 302
        both = held | choice | {field: TYPED for field in words if field.endswith("name") or field == "parking"}
        whole.cast.browser.post(address, both)
    assert kept >= 5
    return whole


def test_no_page_or_paper_or_feed_of_ours_breaks_of_it(typed):
    """Every address of the program for this commission, as the maker and as the client."""
    maker = Browser()
    maker.force_login(make_maker(role=Role.MAKER, email="other@example.org"))
    commission = typed.cast.commission
    found = addresses(number=commission.number, pk=commission.pk, token=typed.cast.token)
    shown = 0
    for name, address in found.items():
        if name == "account_logout":
            continue
        browser = typed.cast.browser if address.startswith("/your-") else maker
        answer = browser.get(typed.addresses.get(name, address))
        assert answer.status_code < 500 or name == "healthz", name
        if answer.streaming or "html" not in answer.get("Content-Type", ""):
            continue
        page = answer.content.decode()
        assert "<b>bold" not in page, name
        shown += "&lt;b&gt;bold" in page
    assert shown >= 4 and URLS["client_page"] == May.ANYONE


def test_no_mail_of_ours_breaks_of_it(typed):
    sweep(timezone.now())
    sent = [one.message().as_bytes(linesep="\r\n") for one in django_mail.outbox]
    assert len(sent) >= 5
    for raw in sent:
        parsed = email.message_from_bytes(raw, policy=email.policy.default)
        assert parsed["Bcc"] is None and len(parsed.get_all("To")) == len(parsed["To"].addresses) == 1
        assert len(parsed.get_all("Subject")) == 1 and "\n" not in parsed["Subject"]
        assert b"\n" not in raw.replace(b"\r\n", b"") and max(map(len, raw.split(b"\r\n"))) <= 998
        for part in parsed.walk():
            if part.get_content_type() == "text/html":
                assert "<b>bold" not in part.get_content()
            if part.get_content_type() == "text/calendar":
                calendar = icalendar.Calendar.from_ical(part.get_content())
                assert len(calendar.walk("VEVENT")) == 1
