"""What a mail that answers an invitation said, and what was made of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

Action = Literal["accept", "hold", "ignore"]


@dataclass(frozen=True, slots=True)
class Envelope:
    """What the mail around the calendar file said. `arrived_at` is ours; all else is the sender's word.

    `sender` is the one address in From, in small letters, or None where there is none or more than one.
    `tokens` are the visit tokens found in the addresses it was sent to, and in ORGANIZER.
    `automatic` marks absence notes and delivery reports.
    """

    arrived_at: datetime
    sender: str | None = None
    tokens: tuple[str, ...] = ()
    message_id: str | None = None
    sent_at: datetime | None = None
    automatic: bool = False


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer that could be read whole. Nothing in it is believed yet; `judge` decides.

    `attendance` is the PARTSTAT as sent. `sequence`, `dtstamp` and `organiser_email` are None where the program
    left them out. `replied_at` is the program's own time of the answer, where it gives one. `starts_at` and
    `ends_at` are naive where their zone is unknown, dates for a whole day.
    """

    method: Literal["REPLY", "COUNTER"]
    uid: str
    attendee_email: str
    attendance: str
    envelope: Envelope
    sequence: int | None = None
    dtstamp: datetime | None = None
    replied_at: datetime | None = None
    organiser_email: str | None = None
    starts_at: datetime | date | None = None
    ends_at: datetime | date | None = None
    comment: str = field(default="", repr=False)

    @property
    def stamped_at(self) -> datetime:
        """DTSTAMP, else the program's own time, else arrival; never later than the arrival.

        A stamp in the future, from a wrong clock, would otherwise shut out every answer after it.
        """
        return min(self.dtstamp or self.replied_at or self.envelope.arrived_at, self.envelope.arrived_at)


@dataclass(frozen=True, slots=True)
class HeldReply:
    """A mail that a person must read: it changes nothing by itself. `words` are the first of its own text."""

    sentence: str
    envelope: Envelope
    uid: str | None = None
    words: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A mail with nothing in it that we could take for an answer. It is kept, and changes nothing."""

    sentence: str
    envelope: Envelope


@dataclass(frozen=True, slots=True)
class KnownVisit:
    """What we hold of the visit that a reply names.

    `last_reply_at` is the `reply_at` of the verdict last accepted, `last_tie_at` its `tie_at`. `asked_at` is the
    DTSTAMP of the last invitation sent. `zone` is the IANA name in which times are told to people.
    """

    uid: str
    sequence: int
    attendee_email: str
    token: str
    attendance: str
    zone: str
    last_reply_at: datetime | None = None
    last_tie_at: datetime | None = None
    asked_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do with a reply. Only `accept` changes something, and only the attendance, never the date.

    `hold` asks a person to look; `ignore` keeps it without asking. On `accept`, store `attendance`, `reply_at`
    and `tie_at` with the visit. `sentence` is written for the screen.
    """

    action: Action
    sentence: str
    attendance: str | None = None
    reply_at: datetime | None = None
    tie_at: datetime | None = None
