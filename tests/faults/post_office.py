"""A mail server made of a list, which can fail and let the program die at the two places that matter."""

from __future__ import annotations

import datetime as dt
import smtplib
from collections.abc import Sequence
from dataclasses import dataclass
from email.message import Message
from typing import ClassVar

import icalendar
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class Killed(BaseException):
    """The process was killed. Not an Exception: nothing may catch it."""


@dataclass(frozen=True)
class CalendarObject:
    """What a calendar program reads in a mail: the names are those of RFC 5546."""

    uid: str
    method: str
    sequence: int
    starts_at: dt.datetime


class PostOffice(BaseEmailBackend):
    """`accepted` holds the Message-ID of every mail the server said yes to, `calendars` the invitations among them,
    both in the order of their coming; `fault` is what happens next."""

    accepted: ClassVar[list[str]] = []
    calendars: ClassVar[list[CalendarObject]] = []
    fault: ClassVar[str] = ""
    FAULTS: ClassVar[tuple[str, ...]] = (
        "", "unreachable", "451", "550", "hung up", "killed before yes", "killed after yes",
    )  # fmt: skip

    def open(self) -> bool:
        if self.fault == "unreachable":
            raise ConnectionRefusedError
        return True

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        for mail in email_messages:
            self._take(mail.message())
        return len(email_messages)

    def _take(self, mail: Message) -> None:
        if self.fault in ("451", "550"):
            raise smtplib.SMTPResponseException(int(self.fault), b"no")
        if self.fault == "killed before yes":
            raise Killed
        if self.fault == "hung up":
            raise smtplib.SMTPServerDisconnected("gone")
        PostOffice.accepted.append(str(mail["Message-ID"]))
        PostOffice.calendars.extend(calendar_of(mail))
        if self.fault == "killed after yes":
            raise Killed


def calendar_of(mail: Message) -> list[CalendarObject]:
    """The invitation in a mail, as it lies in its bytes: none or one."""
    for part in mail.walk():
        if part.get_content_type() == "text/calendar":
            raw = part.get_payload(decode=True)
            assert isinstance(raw, bytes)
            calendar = icalendar.Calendar.from_ical(raw)
            (event,) = calendar.walk("VEVENT")
            starts_at = event["DTSTART"].dt.astimezone(dt.UTC)
            return [CalendarObject(str(event["UID"]), str(calendar["METHOD"]), int(event["SEQUENCE"]), starts_at)]
    return []
