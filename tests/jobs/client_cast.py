"""A commission with its client page, for the tests of that page."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.clients import add_client_away
from jobs.domain.links import exchange_link, make_link
from jobs.domain.slot_offers import offer_slot
from jobs.domain.visits import book_visit
from jobs.models import (
    ClientAway,
    ClientDecision,
    ClientLink,
    Commission,
    LinkScope,
    Message,
    Person,
    Room,
    SlotOffer,
    Survey,
    Workshop,
)
from tests.addresses import addresses
from tests.factories import make_commission, make_maker, make_workshop


@dataclass
class Cast:
    workshop: Workshop
    maker: Person
    commission: Commission
    link: ClientLink
    token: str
    browser: Browser
    now: dt.datetime


def right_now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(microsecond=0)


def make_cast(scope: str = LinkScope.DECIDE, **fields: Any) -> Cast:
    """A browser that has come in by a link with this scope, at this moment of the real clock."""
    workshop = Workshop.objects.first() or make_workshop(phone="+441632960000")
    maker = Person.objects.first() or make_maker()
    commission = make_commission(maker=maker, **fields)
    now = right_now()
    link, token = make_link(commission=commission, now=now, actor=maker, scope=scope)
    return Cast(workshop, maker, commission, link, token, browser_of(token, now), now)


def browser_of(token: str, now: dt.datetime) -> Browser:
    exchanged = exchange_link(token=token, now=now)
    assert exchanged is not None
    browser = Browser()
    browser.cookies[settings.CLIENT_COOKIE_NAME] = exchanged[1]
    return browser


DAY = dt.timedelta(days=1)

# Typed into every field a client can type in.
HOSTILE = [
    "first\r\nBcc: other@example.org",
    "\"quoted\" 'single' <b>bold</b> & more",
    "right \u202eto left\u202c \u05d0\u05d1\u05d2",
    "\U0001f6aa\U0001f469\u200d\U0001f527 door",
    "x" * 5000,
]


def quarter(now: dt.datetime, days: int, hour: int = 9) -> dt.datetime:
    return (now + days * DAY).replace(hour=hour, minute=0, second=0, microsecond=0)


def client_names() -> set[str]:
    return {name for name, address in addresses().items() if address.startswith("/your-")}


OPEN_TO_ALL = {"client_entry", "client_new_link", "client_link_asked", "client_left"}


def full(cast) -> dict[str, str]:
    """Something in every part of the page; returns addresses that lead somewhere."""
    room = Room.objects.create(commission=cast.commission, name="Hall")
    Survey.objects.create(room=room, taken_on=(cast.now - 3 * DAY).date())
    start = quarter(cast.now, 5)
    offer = offer_slot(
        commission=cast.commission, kind="fitting", person=cast.maker, starts_at=start,
        ends_at=start + dt.timedelta(hours=2), now=cast.now, actor=cast.maker, reason="The van is free.",
    )  # fmt: skip
    away = add_client_away(
        client=cast.commission.client, first_day=(cast.now + 20 * DAY).date(), last_day=(cast.now + 22 * DAY).date(),
        now=cast.now, actor=None,
    )  # fmt: skip
    book_visit(
        commission=cast.commission, kind="survey", person=cast.maker, starts_at=quarter(cast.now, 9),
        ends_at=quarter(cast.now, 9, 11), workshop=cast.workshop, now=cast.now, actor=None,
    )  # fmt: skip
    cast.browser.post(reverse("client_declare"), {"answer": "same"})
    decision = ClientDecision.objects.get()
    found = addresses(token=cast.token, pk=decision.pk)
    found["client_pick"] = reverse("client_pick", args=[offer.pk])
    found["client_away_remove"] = reverse("client_away_remove", args=[away.pk])
    return {name: found[name] for name in client_names() & set(found)}


def counts() -> tuple[int, ...]:
    offers = SlotOffer.objects.filter(taken_at__isnull=True)
    return ClientDecision.objects.count(), offers.count(), ClientAway.objects.count(), Message.objects.count()
