"""Who is signed in, and how a form is sent, for the tests of the screens."""

from __future__ import annotations

import datetime as dt

from django.test import Client as Browser

from tests.factories import NOW, make_commission, make_maker, make_workshop

# Forms carry the workshop's own clock; in March before the change it is the same as UTC.
FORM_INSTANT = "%Y-%m-%dT%H:%M"


def typed(instant: dt.datetime) -> str:
    return instant.strftime(FORM_INSTANT)


def signed_in(maker=None):
    """A browser with a maker signed in, the workshop made if need be."""
    from jobs.models import Workshop

    if not Workshop.objects.exists():
        make_workshop()
    browser = Browser()
    browser.force_login(maker or make_maker())
    return browser


def cast():
    """Workshop, maker, commission and the maker's browser."""
    workshop, maker = make_workshop(), make_maker()
    return workshop, maker, make_commission(maker=maker), signed_in(maker)


__all__ = ["NOW", "cast", "signed_in", "typed"]
