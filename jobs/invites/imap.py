"""Reading a mailbox for replies, with the standard library. Off unless a host is configured.

A mail is marked as read only after it was handled, so a crash reads it again: handlers must bear that.
"""

from __future__ import annotations

import imaplib
import logging
import re
import ssl
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Literal

logger = logging.getLogger(__name__)

Security = Literal["tls", "starttls", "none"]


@dataclass(frozen=True, slots=True)
class ImapSettings:
    """Where the mailbox is. `timeout_s` bounds each answer of the server, `deadline_s` the whole reading."""

    host: str
    username: str
    password: str = field(repr=False)
    port: int = 993
    mailbox: str = "INBOX"
    security: Security = "tls"
    timeout_s: float = 20.0
    deadline_s: float = 120.0
    batch: int = 50
    size_limit_bytes: int = 1_000_000


@dataclass(frozen=True, slots=True)
class FetchedMail:
    """One unread mail. Of one above the size limit only the header is in `raw`, and `whole` is False."""

    uid: int
    raw: bytes = field(repr=False)
    arrived_at: datetime
    size_bytes: int
    whole: bool


@dataclass(frozen=True, slots=True)
class MailboxOutcome:
    """How a reading went. `fault` is a sentence where the mailbox could not be read to the end."""

    handled: int = 0
    failed_uids: tuple[int, ...] = ()
    left: int = 0
    fault: str | None = None


Handler = Callable[[FetchedMail], None]


def read_mailbox(settings: ImapSettings, handle: Handler) -> MailboxOutcome:
    """Hand each unread mail, oldest first, to `handle`, and mark it read when that returns.

    A mail whose handling raises stays unread and is counted; the others still come. Never raises for what the
    server or the net does.
    """
    handled = 0
    failed: list[int] = []
    waiting: list[int] = []
    try:
        with _session(settings) as session:
            give_up_at = time.monotonic() + settings.deadline_s
            waiting = _unread(session)
            for uid in waiting[: settings.batch]:
                if time.monotonic() > give_up_at:
                    return _outcome(handled, failed, waiting, "The mailbox answers too slowly; we go on later.")
                if _handle_one(session, settings, uid, handle):
                    handled += 1
                else:
                    failed.append(uid)
    except (imaplib.IMAP4.error, OSError, ValueError, EOFError) as error:
        return _outcome(handled, failed, waiting, _fault_in_words(settings, error))
    return _outcome(handled, failed, waiting, None)


def _outcome(handled: int, failed: list[int], waiting: list[int], fault: str | None) -> MailboxOutcome:
    return MailboxOutcome(handled, tuple(failed), max(0, len(waiting) - handled - len(failed)), fault)


def _fault_in_words(settings: ImapSettings, error: Exception) -> str:
    if isinstance(error, TimeoutError):
        return f"The mail server {settings.host} did not answer within {settings.timeout_s:g} seconds."
    if isinstance(error, ssl.SSLError):
        return f"The mail server {settings.host} could not prove who it is; check host, port and security."
    if isinstance(error, imaplib.IMAP4.error) and not isinstance(error, imaplib.IMAP4.abort):
        return f"The mail server {settings.host} refused; check the user name, the password and the mailbox."
    return f"The mail server {settings.host} could not be reached, or hung up ({type(error).__name__})."


@contextmanager
def _session(settings: ImapSettings) -> Iterator[imaplib.IMAP4]:
    session = _connected(settings)
    try:
        if settings.security == "starttls":
            if "STARTTLS" not in session.capabilities:
                raise ssl.SSLError("the server offers no encryption")
            session.starttls(ssl.create_default_context())
        session.login(settings.username, settings.password)
        name = settings.mailbox.replace("\\", "\\\\").replace('"', '\\"')
        _checked(session.select(f'"{name}"'))
        yield session
    except BaseException:
        with suppress(OSError):
            session.shutdown()  # no polite good-bye to a server that hangs: it would wait a second time
        raise
    with suppress(imaplib.IMAP4.error, OSError):
        session.logout()


def _connected(settings: ImapSettings) -> imaplib.IMAP4:
    if settings.security != "tls":
        return imaplib.IMAP4(settings.host, settings.port, timeout=settings.timeout_s)
    context = ssl.create_default_context()
    return imaplib.IMAP4_SSL(settings.host, settings.port, ssl_context=context, timeout=settings.timeout_s)


def _checked(answer: tuple[str, list]) -> list:
    status, data = answer
    if status != "OK":
        raise imaplib.IMAP4.error("the server said " + status)
    return data


def _unread(session: imaplib.IMAP4) -> list[int]:
    data = _checked(session.uid("SEARCH", "UNSEEN"))
    return sorted({int(uid) for line in data if line for uid in line.split()})


def _handle_one(session: imaplib.IMAP4, settings: ImapSettings, uid: int, handle: Handler) -> bool:
    mail = _fetched(session, settings, uid)
    if mail is None:  # another program took it away meanwhile
        return True
    try:
        handle(mail)
    except Exception as error:  # one mail that cannot be handled must not hold back the others
        # The kind of the fault only: its text may quote what a client wrote.
        logger.error("mail %d could not be handled: %s", uid, type(error).__name__)
        return False
    _checked(session.uid("STORE", str(uid), "+FLAGS.SILENT", r"(\Seen)"))
    return True


def _fetched(session: imaplib.IMAP4, settings: ImapSettings, uid: int) -> FetchedMail | None:
    about = _head_of(_checked(session.uid("FETCH", str(uid), "(RFC822.SIZE INTERNALDATE)")))
    size = re.search(rb"RFC822\.SIZE (\d+)", about)
    if size is None:
        return None
    whole = int(size[1]) <= settings.size_limit_bytes
    # PEEK, since a plain fetch would mark it read before it was handled.
    data = _checked(session.uid("FETCH", str(uid), "(BODY.PEEK[])" if whole else "(BODY.PEEK[HEADER])"))
    raw = next((item[1] for item in data if isinstance(item, tuple)), b"")
    return FetchedMail(uid, raw, _arrival(about), int(size[1]), whole)


def _head_of(data: list) -> bytes:
    return b" ".join(b" ".join(item) if isinstance(item, tuple) else item for item in data if item)


def _arrival(about: bytes) -> datetime:
    local = imaplib.Internaldate2tuple(about)
    if local is None:
        raise ValueError("the server gave no date of arrival")
    return datetime.fromtimestamp(time.mktime(local), UTC)
