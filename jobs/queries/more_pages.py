"""The pages behind “More”: URL name, words, and what the page is for. One without a URL yet is left out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import NoReverseMatch, reverse

from jobs.roles import may

GROUPS: list[tuple[str, list[tuple[str, str, str]]]] = [
    (
        "Every day",
        [
            ("job_board", "Job board", "what is next, what is late, what we wait for"),
            ("the_day", "The day", "one day in order of time"),
            ("site_today", "On site", "today's site days, kept on the telephone"),
            ("where_it_stands", "Where it stands", "every half of every commission in its place"),
            ("friday", "Friday sheet", "the coming weeks"),
            ("search", "Search", "over everything"),
        ],
    ),
    (
        "Work",
        [
            ("commissions", "Commissions", "live ones and past ones"),
            ("clients", "Clients", "who they are, when they are away"),
            ("subcontractors", "Subcontractors", "the sprayer and others, with their closures"),
            ("return_visits", "Return visits", "to arrange, due and done"),
            ("return_rounds", "Return rounds", "visits joined into days on the road"),
            ("messages", "Messages", "mails and calls to make"),
            ("replies", "Answers by mail", "what waits for a person"),
        ],
    ),
    (
        "Figures",
        [
            ("reports", "Reports", "hours, promises, sprayers, return visits"),
            ("all_hours", "Hours of all jobs", "what each kind of work took"),
        ],
    ),
    (
        "The workshop",
        [
            ("workshop", "Workshop", "settings, people, wall screens"),
            ("calendar_days", "Calendar days", "closures, absences, helpers, van"),
            ("steps_to_start_from", "Steps to start from", "the network that a new commission copies"),
            ("kit_lists", "Kit lists", "what goes into the van each time"),
            ("vans", "Vans", "payload and load space"),
            ("parking_rules", "Parking rules", "what councils ask"),
            ("journeys", "Journeys", "minutes between towns, as driven"),
            ("feeds", "Calendars to subscribe to", "visits in your own calendar"),
            ("retention", "What is kept", "how long and why"),
            ("pack_words", "Guarantee and insurer", "what every handover pack says"),
        ],
    ),
    (
        "Your sign-in",
        [
            ("mfa_index", "Second factor and passkeys", "for this sign-in"),
            ("account_change_password", "Password", "change yours"),
        ],
    ),
]


@dataclass(frozen=True)
class MorePage:
    words: str
    detail: str
    url: str


def more_pages(person: Any) -> list[tuple[str, list[MorePage]]]:
    """Heading and pages, as far as the person may open them. No query."""
    found = []
    for heading, pages in GROUPS:
        shown = [MorePage(words, detail, url) for name, words, detail in pages if (url := _url(name, person))]
        if shown:
            found.append((heading, shown))
    return found


def _url(name: str, person: Any) -> str:
    try:
        url = reverse(name)
    except NoReverseMatch:
        return ""
    return url if may(person, name) else ""
