"""A mail server made of a list, which can fail and let the program die at the two places that matter."""

from __future__ import annotations

import smtplib
from collections.abc import Sequence
from typing import ClassVar

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class Killed(BaseException):
    """The process was killed. Not an Exception: nothing may catch it."""


class PostOffice(BaseEmailBackend):
    """`accepted` holds the Message-ID of every mail the server said yes to; `fault` is what happens next."""

    accepted: ClassVar[list[str]] = []
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
            self._take(str(mail.message()["Message-ID"]))
        return len(email_messages)

    def _take(self, name: str) -> None:
        if self.fault in ("451", "550"):
            raise smtplib.SMTPResponseException(int(self.fault), b"no")
        if self.fault == "killed before yes":
            raise Killed
        if self.fault == "hung up":
            raise smtplib.SMTPServerDisconnected("gone")
        PostOffice.accepted.append(name)
        if self.fault == "killed after yes":
            raise Killed
