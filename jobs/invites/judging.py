"""What a reply may change: the attendance of the visit it names, and nothing else. Pure.

RFC 5546 2.1.5 orders messages by SEQUENCE, then DTSTAMP. RFC 6047 2.2 and 3: a reply from one person must not
change another's answer; without signatures we ask for the visit's token and the right sender, or hold it.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.invites.facts import ATTENDANCES
from jobs.invites.organiser import is_token
from jobs.invites.reply_facts import KnownVisit, Reply, Verdict

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
ANSWERS_IN_WORDS = {
    "ACCEPTED": "They accept.",
    "DECLINED": "They decline.",
    "TENTATIVE": "They may come; not sure yet.",
}


def judge(reply: Reply, known: KnownVisit | None) -> Verdict:
    """Decide on one reply. `known` is None where no visit has the reply's UID."""
    if known is None or reply.uid != known.uid:
        return Verdict("ignore", "It names a visit that we do not know.")
    return _fault_of_person(reply, known) or _fault_of_version(reply, known) or _answer(reply, known)


def _fault_of_person(reply: Reply, known: KnownVisit) -> Verdict | None:
    attendee = known.attendee_email.strip().lower()
    tokens = reply.envelope.tokens
    if len(tokens) > 1:
        return Verdict("hold", "It was sent to the addresses of several visits.")
    if not is_token(tokens[0] if tokens else None, known.token):
        return Verdict("hold", "It was not sent to this visit's own address.")
    if reply.envelope.sender is None:
        return Verdict("hold", "It does not say clearly who sent it.")
    if reply.envelope.sender != attendee:
        return Verdict("hold", f"It came from {reply.envelope.sender}, who was not invited.")
    if reply.attendee_email != attendee:
        return Verdict("hold", f"It answers for {reply.attendee_email}, who was not invited.")
    return None


def _fault_of_version(reply: Reply, known: KnownVisit) -> Verdict | None:
    if reply.method == "COUNTER":
        proposal = proposal_in_words(reply.starts_at, reply.ends_at, known.zone)
        return Verdict("hold", f"They propose another time: {proposal}." if proposal else NO_TIME)
    if reply.sequence is None:
        # Nothing says which version is meant. Stamps run up to an hour behind, so this is a doubt, not a proof.
        if known.asked_at and known.sequence and reply.stamped_at < known.asked_at:
            return Verdict("hold", "It may answer an earlier date: it is stamped before the last invitation.")
    elif reply.sequence < known.sequence:
        return Verdict("ignore", "It answers an earlier date of this visit.")
    elif reply.sequence > known.sequence:
        return Verdict("hold", "It answers a version of this visit that we have not sent.")
    if _is_older_answer(reply, known):
        return Verdict("ignore", "A later answer is already here.")
    return None


def _is_older_answer(reply: Reply, known: KnownVisit) -> bool:
    """Whether the answer already taken is newer: by stamp, then by the programs' own time, then by arrival."""
    if known.last_reply_at is None or reply.stamped_at > known.last_reply_at:
        return False
    if reply.stamped_at < known.last_reply_at:
        return True
    return known.last_tie_at is not None and _tie_at(reply) < known.last_tie_at


def _tie_at(reply: Reply) -> datetime:
    arrived_at = reply.envelope.arrived_at
    return min(reply.replied_at or arrived_at, arrived_at)


def _answer(reply: Reply, known: KnownVisit) -> Verdict:
    if reply.attendance == "NEEDS-ACTION":
        return Verdict("ignore", "It gives no answer yet.")
    if reply.attendance not in ATTENDANCES:
        return Verdict("hold", f"Its answer is “{reply.attendance[:40]}”, which we cannot take by ourselves.")
    told = ANSWERS_IN_WORDS[reply.attendance]
    if reply.attendance == known.attendance.upper():
        told = f"{told} They had said so before."
    return Verdict("accept", told, reply.attendance, reply.stamped_at, _tie_at(reply))


NO_TIME = "They propose another time, but their mail does not say which; please ask."


def proposal_in_words(start: datetime | date | None, end: datetime | date | None, zone: str) -> str:
    """A proposed time as a person says it, in the visit's zone: "Tuesday 3 November 2026, 14:00 to 15:00".

    "" where there is none. A time whose zone is unknown is told as written, and says so.
    """
    if start is None:
        return ""
    if not isinstance(start, datetime):
        return f"{_day(start)}, at any time"
    first = _local(start, zone)
    told = f"{_day(first)}, {first:%H:%M}"
    if isinstance(end, datetime) and (end.tzinfo is None) == (start.tzinfo is None):
        last = _local(end, zone)
        told += f" to {last:%H:%M}" if last.date() == first.date() else f" to {_day(last)}, {last:%H:%M}"
    return told if start.tzinfo else f"{told} (by their own clock; we do not know their time zone)"


def _local(moment: datetime, zone: str) -> datetime:
    try:
        return moment.astimezone(ZoneInfo(zone)) if moment.tzinfo else moment
    except OverflowError:  # the first or last day of the calendar, which only a mangled mail proposes
        return moment


def _day(day: date) -> str:
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"
