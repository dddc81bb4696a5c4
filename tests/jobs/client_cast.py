"""A commission with its client page, for the tests of that page."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.test import Client as Browser

from jobs.domain.links import exchange_link, make_link
from jobs.models import ClientLink, Commission, LinkScope, Person, Workshop
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
