"""What other apps add to the jobs app without the jobs app knowing them.

Each registry is a plain ordered dict filled in `AppConfig.ready()`. To add something: write the function, then
register it in your app's `extensions.register()`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

if TYPE_CHECKING:
    from django.core.mail import EmailMultiAlternatives
    from django.http import HttpRequest

    from jobs.models import Client, ClientDecision, Commission, Message, Person, Visit, Workshop
    from jobs.queries.plan import PlanView
    from jobs.reports import Report

T = TypeVar("T")


@dataclass
class Registry(Generic[T]):
    """Named entries in order of `order`, then of registration. A name registered twice is a programming error."""

    what: str
    entries: dict[str, tuple[int, T]] = field(default_factory=dict)

    def add(self, name: str, entry: T, *, order: int = 100) -> None:
        if name in self.entries:
            raise ValueError(f"{self.what} {name!r} is registered twice")
        self.entries[name] = (order, entry)

    def get(self, name: str) -> T | None:
        found = self.entries.get(name)
        return found[1] if found else None

    def all(self) -> list[T]:
        return [entry for _, entry in self.named()]

    def named(self) -> list[tuple[str, T]]:
        """Names and entries, in order."""
        ordered = sorted(self.entries.items(), key=lambda pair: pair[1][0])
        return [(name, entry) for name, (_, entry) in ordered]


@dataclass(frozen=True)
class PageSection:
    """A part of the commission page: a template and the function that fills it.

    `title` is its line in the table of contents. Once the step of kind `behind` is finished, it is folded.
    """

    template: str
    context: Callable[[Commission, dt.datetime], Mapping[str, Any]]
    title: str = ""
    behind: str = ""


@dataclass(frozen=True)
class MessageKind:
    """A kind of message: what a person calls it, and how one is written when it is due.

    `compose` gets the message, the workshop and the present instant and returns the mail, or None where the reason
    for it has gone (the visit was moved, the handover undone): the message is then withdrawn.
    """

    words: str
    compose: Callable[[Message, Workshop, dt.datetime], EmailMultiAlternatives | None]
    # Called when the mail is written and about to go, to note that it was asked.
    before_sending: Callable[[Message, dt.datetime], None] | None = None
    # Writing it makes and keeps something (papers, a link), so it cannot be looked at before it goes.
    is_made_when_sent: bool = False
    # To one of our own people: without an e-mail it is a line to read on the board, not a call to make.
    is_for_us: bool = False


@dataclass(frozen=True)
class DueReminder:
    """A reminder that the record asks for, from `due_at` until `lapses_at`; it is sent once a `key`.

    `visit_sequence` is the version of the visit it speaks of. Where `to_email` is empty it becomes a call to make.
    """

    key: str
    kind: str
    due_at: dt.datetime
    lapses_at: dt.datetime
    to_name: str
    to_email: str
    commission_id: int
    visit_id: int | None = None
    visit_sequence: int | None = None
    policy: str = "at_least_once"
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class ReminderSource:
    """Computes reminders from the record, in a fixed number of queries. A `daily` one is asked once a day."""

    find: Callable[[Workshop, dt.datetime], Iterable[DueReminder]]
    daily: bool = False


@dataclass(frozen=True)
class DecisionKind:
    """A kind of decision on the client page: what it is called, and how it is taken back within the hour.

    `undo` gets the decision, the workshop and the present instant, in the transaction that marks it as taken back; it
    raises Refusal where that can no longer be. None: it is not taken back but changed on its own page.
    """

    words: str
    undo: Callable[[ClientDecision, Workshop, dt.datetime], object] | None = None


@dataclass(frozen=True)
class SiteMoment:
    """An act as it comes from a phone: `payload` holds words as typed, `happened_at` never lies after `now`."""

    commission: Commission
    person: Person
    workshop: Workshop
    payload: Mapping[str, str]
    happened_at: dt.datetime
    now: dt.datetime


@dataclass(frozen=True)
class SiteActKind:
    """An act that a phone may keep and send later.

    `apply` does it by the domain's own functions and says in a sentence what was done; it raises Refusal, or
    AlreadyTrue. `subject` names what the fact is about, "" where facts cannot disagree.
    """

    words: str
    apply: Callable[[SiteMoment], str]
    subject: Callable[[SiteMoment], str] = lambda moment: ""


@dataclass(frozen=True)
class Found:
    """One line of a search result."""

    title: str
    detail: str
    url: str


@dataclass(frozen=True)
class SearchText:
    """What was typed: as a whole, and its words."""

    text: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class SearchSource:
    """One kind of thing to be found: its heading, and how it is found, in one query.

    `find` gets what was typed and how many are wanted; every word must be somewhere in what it finds. `asks` is the
    URL name that whoever looks must be allowed to open; whoever may open `unless` has no need of this source.
    """

    heading: str
    asks: str
    find: Callable[[SearchText, int], list[Found]]
    unless: str = ""


@dataclass(frozen=True)
class Missing:
    """One thing the record still lacks: a sentence, where it is mended, and the kind of step that wants it first."""

    words: str
    url: str
    wanted_for: str


@dataclass(frozen=True)
class DayAsked:
    """What the sources of the page of one day are given; `visits` are those of the day, with its commissions."""

    workshop: Workshop
    day: dt.date
    now: dt.datetime
    plan: PlanView
    visits: Sequence[Visit]

    @property
    def today(self) -> dt.date:
        return self.workshop.local_day(self.now)

    @property
    def is_today(self) -> bool:
        return self.day == self.today


@dataclass(frozen=True)
class DayLine:
    """One line of the day. `part` is clock (with `at`), out, back, ring, work or running.

    `link` is a URL name and its argument, drawn only for who may open it; `asks` is the URL name that whoever reads
    the line at all must be allowed to open, "" for everybody.
    """

    part: str
    words: str
    number: int | None = None
    nickname: str = ""
    at: dt.datetime | None = None
    until: dt.datetime | None = None
    details: tuple[str, ...] = ()
    link: tuple[str, int | str] | None = None
    asks: str = ""
    is_late: bool = False


@dataclass(frozen=True)
class ReportSource:
    """A report, and the URL name that whoever reads it must be allowed to open."""

    asks: str
    make: Callable[[Workshop, dt.datetime], Report]


# What to show of a commission's page, in order of the work.
page_sections: Registry[PageSection] = Registry("page section")
client_sections: Registry[PageSection] = Registry("client page section")
client_decisions: Registry[DecisionKind] = Registry("client decision")
message_kinds: Registry[MessageKind] = Registry("message kind")
# Each gets (visit, now) when a client's answer to its invite has been noted, in the same transaction.
reply_listeners: Registry[Callable[[Visit, dt.datetime], None]] = Registry("reply listener")
reminder_sources: Registry[ReminderSource] = Registry("reminder source")
# The address of the client's own page, made when a mail goes: gets (commission, now); at most one is registered.
client_links: Registry[Callable[[Commission, dt.datetime], str]] = Registry("client link")
# Each gets (client_id, now) and deletes or blanks its own part of what is known about that client.
erasers: Registry[Callable[[int, dt.datetime], None]] = Registry("eraser")
# Each gets (client, today) and says whether it needs the record of that client longer than the workshop's own time.
kept_longer: Registry[Callable[[Client, dt.date], bool]] = Registry("reason to keep a client")
search_sources: Registry[SearchSource] = Registry("search source")
# Each gets (commission, workshop, now) and says what its part of the record still lacks; in the order of the work.
missing_facts: Registry[Callable[[Commission, Workshop, dt.datetime], Iterable[Missing]]] = Registry("missing fact")
day_sources: Registry[Callable[[DayAsked], Iterable[DayLine]]] = Registry("source of the day")
reports: Registry[ReportSource] = Registry("report")
# Minutes from the workshop to the site by commission, where they can be reckoned; at most one is registered.
drives: Registry[Callable[[Workshop, Sequence[Commission]], Mapping[int, int]]] = Registry("drive")
# Lines for the foot of the job board: each gets (request, now) and returns a template name and its context.
board_sections: Registry[Callable[[HttpRequest, dt.datetime], tuple[str, dict[str, Any]]]] = Registry("board section")
# Parts of the site-day sheet, page and PDF alike: templates get `data` and `for_print`.
site_day_sections: Registry[PageSection] = Registry("site day section")
# Acts that the phone keeps, by kind; and the parts of its page, whose templates get `data`.
site_acts: Registry[SiteActKind] = Registry("site act")
phone_sections: Registry[PageSection] = Registry("section of the phone's site day")
# Each gets (workshop, now) once a night (`jobs.nightly`). Running one twice must change nothing more.
nightly: Registry[Callable[[Workshop, dt.datetime], object]] = Registry("nightly duty")
