"""The pages named at the head of every screen. To add one, add its URL name and its words to PAGES."""

from __future__ import annotations

from dataclasses import dataclass

from django import template
from django.template import RequestContext
from django.urls import NoReverseMatch, reverse

register = template.Library()

# URL name, words. A name without a URL yet is left out, so the order here is the order on the screen.
PAGES: list[tuple[str, str]] = [
    ("job_board", "Job board"),
    ("commissions", "Commissions"),
    ("clients", "Clients"),
    ("return_visits", "Return visits"),
    ("calendar_days", "Calendar days"),
    ("messages", "Messages"),
    ("workshop", "Workshop"),
]


@dataclass(frozen=True)
class NavigationEntry:
    words: str
    url: str
    is_current: bool


def entry(name: str, words: str, path: str) -> NavigationEntry | None:
    try:
        url = reverse(name)
    except NoReverseMatch:
        return None
    # The board is at the root, which every path begins with.
    return NavigationEntry(words, url, path == url or (url != "/" and path.startswith(url)))


@register.simple_tag(takes_context=True)
def pages(context: RequestContext) -> list[NavigationEntry]:
    """The entries of PAGES that exist, the one we are on marked."""
    request = context.get("request")
    path = request.path if request is not None else ""
    return [found for name, words in PAGES if (found := entry(name, words, path))]
