"""The calendar file inside a reply, read as programs really write it (RFC 5546 3.2.3 and 3.2.7, and less)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from icalendar import Calendar, Event

from jobs.invites.facts import UID_LIMIT, one_line, plain_text

CALENDAR_LIMIT_BYTES = 256_000
COMMENT_LIMIT = 500
# Some programs write the moment of the answer into a property of their own, named X-...-REPLYTIME.
_OWN_TIME = re.compile(r"X-[A-Z0-9-]*REPLY-?TIME")
_FOLD = re.compile(r"\n[ \t]")


class CalendarFault(ValueError):
    """A calendar file that is no answer we can read; the text is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class AttendeeAnswer:
    """One ATTENDEE line: the address in small letters without mailto:, and the PARTSTAT in capitals."""

    email: str
    attendance: str


@dataclass(frozen=True, slots=True)
class CalendarAnswer:
    """What one calendar file said; absent things are None. Times as in `Reply`."""

    method: str | None
    uid: str
    attendees: tuple[AttendeeAnswer, ...]
    sequence: int | None
    dtstamp: datetime | None
    replied_at: datetime | None
    organiser_email: str | None
    starts_at: datetime | date | None
    ends_at: datetime | date | None
    comment: str = field(repr=False)


def read_calendar(text: str) -> CalendarAnswer:
    """Read one calendar file of one visit. Raises CalendarFault, or ValueError from the parser."""
    if len(text) > CALENDAR_LIMIT_BYTES:
        raise CalendarFault("Its calendar file is larger than any answer.")
    calendar = Calendar.from_ical(without_zones(text))
    events = [part for part in calendar.subcomponents if isinstance(part, Event)]
    if len(events) != 1:
        raise CalendarFault(f"Its calendar file speaks of {len(events)} visits; an answer speaks of one.")
    event = events[0]
    if event.get("RECURRENCE-ID") is not None:
        raise CalendarFault("It answers one day of a series, and we send no series.")
    uid = _text(event, "UID")
    if not uid or len(uid) > UID_LIMIT:
        raise CalendarFault("Its calendar file does not say which visit it is about.")
    return CalendarAnswer(
        method=_text(calendar, "METHOD").upper() or None,
        uid=uid,
        attendees=tuple(_attendees(event)),
        sequence=_sequence(event),
        dtstamp=_utc(_time(event, "DTSTAMP")),
        replied_at=_own_time(event),
        organiser_email=_bare_address(_text(event, "ORGANIZER")) or None,
        starts_at=_time(event, "DTSTART"),
        ends_at=_time(event, "DTEND"),
        comment=_comment(event),
    )


def without_zones(text: str) -> str:
    """The file unfolded and without VTIMEZONE parts.

    A zone sent by a stranger may hold rules that take for ever to expand. We know zones by name; a time in
    a zone that we do not know is told as written.
    """
    # Every carriage return goes first, since some servers on the way double them. No pattern here may look ahead
    # over a run of line ends: a stranger's run of 200,000 would take half a minute.
    kept, inside = [], False
    # Not splitlines(): U+2028 inside a text ends no line here.
    for line in _FOLD.sub("", text.replace("\r", "")).split("\n"):
        head = line.strip().upper()
        if head.startswith("BEGIN") and head.endswith("VTIMEZONE"):
            inside = True
        if not inside and line:
            kept.append(line)
        if head.startswith("END") and head.endswith("VTIMEZONE"):
            inside = False
    return "\r\n".join(kept) + "\r\n"


def _first(component: Any, name: str) -> Any:
    value = component.get(name)
    return value[0] if isinstance(value, list) and value else value


def _text(component: Any, name: str) -> str:
    value = _first(component, name)
    return one_line(str(value)).strip() if value is not None else ""


def _attendees(event: Event) -> list[AttendeeAnswer]:
    value = event.get("ATTENDEE")
    lines = value if isinstance(value, list) else [value] if value is not None else []
    found = []
    for line in lines:
        params = getattr(line, "params", {})
        # PARTSTAT left out means NEEDS-ACTION (RFC 5545 3.2.12).
        attendance = str(params.get("PARTSTAT", "NEEDS-ACTION")).strip().upper()
        found.append(AttendeeAnswer(_bare_address(str(line)), attendance))
    return found


def _bare_address(written: str) -> str:
    bare = written.strip().lower()
    return bare.removeprefix("mailto:").strip()


def _sequence(event: Event) -> int | None:
    written = _text(event, "SEQUENCE")
    return int(written) if re.fullmatch(r"[0-9]{1,9}", written) else None


def _time(event: Event, name: str) -> datetime | date | None:
    value = _first(event, name)
    try:
        moment = value.dt if value is not None else None
    except ValueError:  # a broken value raises only when it is looked at
        return None
    return moment if isinstance(moment, date) else None


def _utc(moment: datetime | date | None) -> datetime | None:
    if not isinstance(moment, datetime):
        return None
    try:
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    except OverflowError:
        return None


def _own_time(event: Event) -> datetime | None:
    for name in event:
        written = _text(event, name) if _OWN_TIME.fullmatch(str(name).upper()) else ""
        if match := re.fullmatch(r"(\d{8}T\d{6})Z?", written):
            try:
                return datetime.strptime(match[1], "%Y%m%dT%H%M%S").replace(tzinfo=UTC)
            except ValueError:
                return None
    return None


def _comment(event: Event) -> str:
    value = event.get("COMMENT")
    lines = value if isinstance(value, list) else [value] if value is not None else []
    return plain_text("\n".join(str(line) for line in lines)).strip()[:COMMENT_LIMIT]
