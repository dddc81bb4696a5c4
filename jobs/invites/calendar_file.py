"""Calendar files for visits: invitation, cancellation and feed, as bytes.

The same visit and version always gives the same bytes: nothing here reads the clock or draws a random number.
Each builder says what it writes; the rules stand in RFC 5545, 5546 and 7986.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, vCalAddress, vText

from jobs.invites.facts import FactFault, VisitFacts, check_address, one_line, plain_text, utc_second
from jobs.invites.vtimezone import UNIVERSAL_RULES, build_vtimezone, zone_rules

PRODUCT = "-//Shutline//Visits//EN"
REFRESH_AFTER = timedelta(hours=1)


def build_request(facts: VisitFacts, dtstamp: datetime) -> bytes:
    """The invitation to a visit, or its update: METHOD:REQUEST (RFC 5546 3.2.2).

    `dtstamp` is when this message is made. Raises FactFault for a cancelled visit or an unusable address.
    """
    if facts.cancelled:
        raise FactFault("cancelled", "This visit is cancelled; send its cancellation, not an invitation.")
    return _scheduling_file(facts, dtstamp, "REQUEST")


def build_cancel(facts: VisitFacts, dtstamp: datetime) -> bytes:
    """The cancellation of a whole visit: METHOD:CANCEL, STATUS:CANCELLED (RFC 5546 3.2.5).

    Raises FactFault where the sequence has not risen above that of the invitation, which is at least 0.
    """
    if facts.sequence < 1:
        raise FactFault("sequence", "A cancellation needs a higher version than the invitation; raise it by 1.")
    return _scheduling_file(facts, dtstamp, "CANCEL")


def build_feed(
    visits: Iterable[VisitFacts],
    name: str,
    *,
    refresh_after: timedelta = REFRESH_AFTER,
    with_cancelled: bool = False,
) -> bytes:
    """One person's visits as a calendar to subscribe to: no METHOD, ORGANIZER or ATTENDEE (RFC 5545 3.8.4.3).

    Sorted by start and UID, so the order of `visits` does not matter. Cancelled visits are left out unless
    asked for, since many programs show them as if they stood. Raises FactFault where a UID comes twice.
    """
    kept = sorted(
        (facts for facts in visits if with_cancelled or not facts.cancelled),
        key=lambda facts: (facts.starts_at, facts.uid),
    )
    uids = [facts.uid for facts in kept]
    if len(set(uids)) != len(uids):
        raise FactFault("uid", "Two visits of this feed share one UID; each visit needs its own.")
    calendar = _calendar()
    label = one_line(name)
    # As vText, because icalendar writes these two names without escaping.
    calendar["NAME"] = vText(label)
    calendar["X-WR-CALNAME"] = vText(label)
    calendar.add("refresh-interval", refresh_after, parameters={"VALUE": "DURATION"})
    _add_timezones(calendar, kept)
    if not kept:
        # A calendar needs at least one component (RFC 5545 3.6); an unused zone is the least of them.
        calendar.add_component(build_vtimezone(UNIVERSAL_RULES))
    for facts in kept:
        # Without METHOD, DTSTAMP is the last revision (RFC 5545 3.8.7.2), never the time of the fetch.
        calendar.add_component(_event(facts, facts.changed_at))
    return _as_bytes(calendar)


def build_entry(facts: VisitFacts) -> bytes:
    """One visit as an entry of a calendar on a server: no METHOD, ORGANIZER or ATTENDEE (RFC 4791 4.1)."""
    calendar = _calendar()
    _add_timezones(calendar, [facts])
    calendar.add_component(_event(facts, facts.changed_at))
    return _as_bytes(calendar)


def feed_etag(body: bytes) -> str:
    """A strong entity tag for the bytes of a feed, quoted as in RFC 9110 8.8.3."""
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'


def _scheduling_file(facts: VisitFacts, dtstamp: datetime, method: str) -> bytes:
    calendar = _calendar()
    calendar.add("method", method)
    _add_timezones(calendar, [facts])
    event = _event(facts, utc_second("dtstamp", dtstamp), cancelled=method == "CANCEL")
    event.add("organizer", _organiser(facts))
    event.add("attendee", _attendee(facts, asks_for_reply=method == "REQUEST"))
    calendar.add_component(event)
    return _as_bytes(calendar)


def _calendar() -> Calendar:
    # Calendar.new() would add a random calendar-level UID, which changes the bytes each time.
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", PRODUCT)
    return calendar


def _event(facts: VisitFacts, dtstamp: datetime, *, cancelled: bool | None = None) -> Event:
    event = Event()
    event.add("uid", facts.uid)
    event.add("dtstamp", dtstamp)
    for name, moment in zip(("dtstart", "dtend"), _told_times(facts), strict=True):
        event.add(name, moment)
    event.add("summary", vText(one_line(facts.summary)))
    if description := plain_text(facts.description).strip("\n"):
        event.add("description", vText(description))
    if location := one_line(facts.location, joiner=", "):
        event.add("location", vText(location))
    if facts.url:
        event.add("url", _address_of_page(facts.url))
    event.add("sequence", facts.sequence)
    is_off = facts.cancelled if cancelled is None else cancelled
    event.add("status", "CANCELLED" if is_off else "CONFIRMED")
    event.add("transp", "OPAQUE")
    event.add("last-modified", facts.changed_at)
    return event


def _told_times(facts: VisitFacts) -> tuple[datetime, datetime]:
    """Start and end in the visit's zone where its rules can be written down, otherwise in UTC."""
    if not _is_told_locally(facts):
        return facts.starts_at, facts.ends_at
    tz = ZoneInfo(facts.zone)
    return facts.starts_at.astimezone(tz), facts.ends_at.astimezone(tz)


def _is_told_locally(facts: VisitFacts) -> bool:
    rules = zone_rules(facts.zone)
    if rules is None or facts.starts_at < rules.valid_from:
        return False
    tz = ZoneInfo(facts.zone)
    # A local time that comes twice means its first coming (RFC 5545 3.3.5); the second is told in UTC.
    return not any(moment.astimezone(tz).fold for moment in (facts.starts_at, facts.ends_at))


def _add_timezones(calendar: Calendar, visits: Iterable[VisitFacts]) -> None:
    for zone in sorted({facts.zone for facts in visits if _is_told_locally(facts)}):
        rules = zone_rules(zone)
        if rules is not None:
            calendar.add_component(build_vtimezone(rules))


def _organiser(facts: VisitFacts) -> vCalAddress:
    return vCalAddress.new(
        check_address("organiser_email", facts.organiser_email), cn=_common_name(facts.organiser_name)
    )


def _attendee(facts: VisitFacts, *, asks_for_reply: bool) -> vCalAddress:
    return vCalAddress.new(
        check_address("attendee_email", facts.attendee_email),
        cn=_common_name(facts.attendee_name),
        cutype="INDIVIDUAL",
        role="REQ-PARTICIPANT",
        partstat=facts.attendance,
        rsvp=True if asks_for_reply else None,
    )


def _common_name(name: str) -> str | None:
    # A double quote cannot stand in a quoted parameter (RFC 5545 3.2), and few programs read RFC 6868 carets.
    # A backslash escapes nothing there, yet some programs take it for an escape.
    return one_line(name).replace('"', "'").translate({ord("^"): " ", ord("\\"): " "}).strip() or None


def _address_of_page(url: str) -> str:
    if not url.startswith(("https://", "http://")) or url != "".join(one_line(url).split()):
        raise FactFault("url", "The address of the page must start with https:// and have no blanks.")
    return url


def _as_bytes(calendar: Calendar) -> bytes:
    missing = calendar.get_missing_tzids()
    if missing:
        raise FactFault("zone", f"The rules of the time zone {', '.join(sorted(missing))} are missing.")
    return calendar.to_ical(sorted=False)
