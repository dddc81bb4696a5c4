"""The facts of one visit that a calendar file is built from."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from jobs.refusal import Refusal

ATTENDANCES = ("NEEDS-ACTION", "ACCEPTED", "DECLINED", "TENTATIVE")
"""The answers we store: those PARTSTAT values of RFC 5545 3.2.12 that a one-person visit can have."""

# RFC 5321 4.5.3.1: 64 octets before the at sign, 255 after it; the path limit makes 254 in all.
ADDRESS_LIMIT = 254
LOCAL_PART_LIMIT = 64
UID_LIMIT = 255  # RFC 5545 3.8.4.7: receivers must hold at least so many octets, so we send no more

_ADDRESS = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]+@[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?")
# RFC 5545 3.3.11 bars control characters from text, but a tab. Lone surrogates are not UTF-8; a byte order mark
# inside a text is taken for the mark of a file by some readers.
_BARRED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufeff]")
_LINE_ENDS = re.compile("\r\n|[\r\n\x85\u2028\u2029]")


class FactFault(Refusal):
    """A fact that cannot go into a calendar file or a mail."""


@dataclass(frozen=True, slots=True)
class VisitFacts:
    """One version of one visit. Times are aware; they are kept in UTC and cut to whole seconds.

    `uid` lasts as long as the visit; `sequence` rises with each change of time or status (RFC 5546 2.1.4).
    `changed_at` is when this version came to be. `zone` is the IANA name in which the hours are told.
    Raises FactFault for what no calendar program could read. Addresses are checked only where they are used,
    since a feed carries none.
    """

    uid: str
    sequence: int
    starts_at: datetime
    ends_at: datetime
    zone: str
    summary: str
    description: str
    location: str
    organiser_name: str
    organiser_email: str
    attendee_name: str
    attendee_email: str
    attendance: str
    cancelled: bool
    changed_at: datetime
    url: str | None = None

    def __post_init__(self) -> None:
        check_uid(self.uid)
        if self.sequence < 0:
            raise FactFault("sequence", f"The version {self.sequence} is below 0; it starts at 0 and rises.")
        for field in ("starts_at", "ends_at", "changed_at"):
            object.__setattr__(self, field, utc_second(field, getattr(self, field)))
        if self.ends_at <= self.starts_at:
            raise FactFault("ends_at", "The visit ends before or when it starts; give a later end.")
        object.__setattr__(self, "attendance", self.attendance.upper())
        if self.attendance not in ATTENDANCES:
            raise FactFault(
                "attendance", f"“{self.attendance}” is no known answer; use one of {', '.join(ATTENDANCES)}."
            )
        check_zone(self.zone)


def check_uid(uid: str) -> None:
    """Raise FactFault unless `uid` is 1 to 255 printable ASCII characters without spaces."""
    if not uid or len(uid) > UID_LIMIT or not re.fullmatch(r"[!-~]+", uid):
        raise FactFault("uid", f"A visit's UID is 1 to {UID_LIMIT} plain characters without spaces.")


def check_zone(zone: str) -> ZoneInfo:
    """The zone by its IANA name. Raises FactFault where this machine does not know it."""
    try:
        return ZoneInfo(zone)
    except (ValueError, OSError, LookupError) as error:
        raise FactFault("zone", f"“{zone}” is no time zone; use a name such as Europe/London.") from error


def utc_second(field: str, moment: datetime) -> datetime:
    """The moment in UTC, cut to the second (RFC 5545 has no fractions). Raises FactFault for a naive one."""
    if moment.tzinfo is None or moment.utcoffset() is None:
        raise FactFault(field, "This time has no zone; give it with one, for instance in UTC.")
    return moment.astimezone(UTC).replace(microsecond=0)


def check_address(field: str, address: str) -> str:
    """The address without blanks at its ends. Raises FactFault unless it is one plain mail address."""
    bare = address.strip(" ")
    local, _, domain = bare.rpartition("@")
    fits = len(bare) <= ADDRESS_LIMIT and len(local) <= LOCAL_PART_LIMIT
    if not fits or not _ADDRESS.fullmatch(bare) or ".." in domain:
        raise FactFault(field, "This is no usable mail address; write it as name@example.org.")
    return bare


def plain_text(text: str) -> str:
    """Text with line ends as `\\n` and without the characters that RFC 5545 3.3.11 bars."""
    return _BARRED.sub("", _LINE_ENDS.sub("\n", text))


def one_line(text: str, joiner: str = " ") -> str:
    """Text on one line: each run of line ends becomes `joiner`, tabs become blanks."""
    lines = (line.strip() for line in plain_text(text).replace("\t", " ").split("\n"))
    return joiner.join(line for line in lines if line)


def as_offset(delta: timedelta | None) -> timedelta:
    """An offset from UTC that is certainly there (a zone of the IANA database always gives one)."""
    return delta if delta is not None else timedelta(0)
