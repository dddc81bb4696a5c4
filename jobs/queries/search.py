"""The search over everything: what was typed, given to each registered source that whoever looks may read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from operator import and_, or_
from typing import Any

from django.db.models import Q

from jobs.refusal import Refusal
from jobs.registries import Found, SearchText, search_sources
from jobs.roles import may

LONGEST, MOST_WORDS, SHOWN = 100, 6, 12


@dataclass(frozen=True)
class FoundGroup:
    """What one source found; `more` says that there is more than is shown."""

    heading: str
    found: list[Found]
    more: bool


def search_text(typed: str) -> SearchText:
    """What to look for, without signs that no keyboard types.

    Raises:
        Refusal: nothing, too little or too much was typed.
    """
    text = " ".join("".join(sign if sign.isprintable() else " " for sign in typed).split())
    if not any(sign.isalnum() for sign in text):
        raise Refusal("q", "Search: type a name, a number, a room, a colour or a label such as 101 P07.")
    if len(text) == 1 and not text.isdigit():
        raise Refusal("q", "Search: one letter is in nearly everything; type two or more.")
    if len(text) > LONGEST:
        raise Refusal("q", f"Search: {len(text)} letters are too many; type up to {LONGEST}.")
    words = tuple(dict.fromkeys(text.split()))
    if len(words) > MOST_WORDS:
        raise Refusal("q", f"Search: {len(words)} words are too many; type up to {MOST_WORDS}.")
    return SearchText(text, words)


def search(text: SearchText, person: Any) -> list[FoundGroup]:
    """One query for each source that the person may read; sources that found nothing are left out."""
    groups = []
    for source in search_sources.all():
        if not may(person, source.asks) or (source.unless and may(person, source.unless)):
            continue
        found = source.find(text, SHOWN + 1)
        if found:
            groups.append(FoundGroup(source.heading, found[:SHOWN], len(found) > SHOWN))
    return groups


def in_every_word(text: SearchText, *fields: str) -> Q:
    """Rows in which each word stands somewhere in one of the fields, whatever its capitals."""
    return reduce(
        and_, (reduce(or_, (Q(**{f"{field}__icontains": word}) for field in fields)) for word in text.words)
    )
