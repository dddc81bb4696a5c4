"""The pages named at the head of every screen. To add one, add its URL name and its words to PAGES (and, as every
address, its URL name to jobs/roles.py)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template
from django.template import RequestContext
from django.urls import NoReverseMatch, reverse

from jobs.roles import May, may

register = template.Library()

# URL name, words. A name without a URL yet is left out, so the order here is the order on the screen. The rest of the
# pages are behind "More" (jobs/queries/more_pages.py).
PAGES: list[tuple[str, str]] = [
    ("job_board", "Job board"),
    ("the_day", "The day"),
    ("site_today", "On site"),
    ("friday", "Friday sheet"),
    ("commissions", "Commissions"),
    ("clients", "Clients"),
    ("return_visits", "Return visits"),
    ("messages", "Messages"),
    ("more", "More"),
]
# What the head of a telephone has room for; there the others are reached by "More" alone.
ON_A_PHONE = {"job_board", "the_day", "site_today", "more"}

ABILITIES = {ability.name: ability for ability in May}


@dataclass(frozen=True)
class NavigationEntry:
    words: str
    url: str
    is_current: bool
    on_phone: bool = True


def entry(name: str, words: str, path: str) -> NavigationEntry | None:
    try:
        url = reverse(name)
    except NoReverseMatch:
        return None
    # The board is at the root, which every path begins with.
    return NavigationEntry(words, url, path == url or (url != "/" and path.startswith(url)), name in ON_A_PHONE)


@register.simple_tag(takes_context=True)
def pages(context: RequestContext) -> list[NavigationEntry]:
    """The entries of PAGES that exist and that whoever is signed in may open, the one we are on marked."""
    request = context.get("request")
    path = request.path if request is not None else ""
    found = ((name, entry(name, words, path)) for name, words in PAGES)
    return [one for name, one in found if one is not None and may(context.get("user"), name)]


@register.filter
def may_open(person: Any, name: str) -> bool:
    """`{% if user|may_open:"commission" %}`: whether to draw a link (a URL name) or a part (an ability)."""
    return may(person, ABILITIES.get(name, name))
