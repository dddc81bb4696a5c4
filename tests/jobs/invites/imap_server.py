"""A small IMAP4rev1 server (RFC 3501) on the loopback address, with faults to order.

It speaks the few commands that reading a mailbox needs. What it cannot show, a real server must: the same tests run
against Dovecot where that is installed.
"""

from __future__ import annotations

import re
import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field


@dataclass
class StoredMail:
    raw: bytes
    seen: bool = False
    internal_date: str = "01-Sep-2026 11:00:30 +0100"


@dataclass
class Mailbox:
    """Mails by UID, the commands received, and the fault to show: "hang", "drop" or "refuse" at a command."""

    mails: dict[int, StoredMail] = field(default_factory=dict)
    fault: tuple[str, str] | None = None
    commands: list[str] = field(default_factory=list)


class _Handler(socketserver.StreamRequestHandler):
    server: _Server
    disable_nagle_algorithm = True

    def handle(self) -> None:
        self._say("* OK ready")
        while line := self.rfile.readline():
            tag, _, rest = line.decode(errors="replace").strip().partition(" ")
            self.server.mailbox.commands.append(rest)
            if not self._answer(tag, rest):
                return

    def _answer(self, tag: str, rest: str) -> bool:
        fault = self.server.mailbox.fault
        if fault and fault[1] in rest.upper():
            if fault[0] == "hang":
                self.server.released.wait(20)
                return False
            if fault[0] == "drop":
                return False
            self._say(f"{tag} NO not now")
            return True
        for pattern, act in (
            (r"CAPABILITY", lambda _: self._say("* CAPABILITY IMAP4rev1")),
            (r"UID SEARCH UNSEEN", self._search),
            (r"UID FETCH (\d+) \((.*)\)", self._fetch),
            (r"UID STORE (\d+) \+FLAGS\.SILENT", self._store),
            (r'SELECT "INBOX"', lambda _: self._say(f"* {len(self.server.mailbox.mails)} EXISTS")),
            (r"LOGIN office .*secret", lambda _: None),
            (r"LOGOUT", lambda _: self._say("* BYE")),
        ):
            if match := re.match(pattern, rest, re.IGNORECASE):
                act(match)
                self._say(f"{tag} OK done")
                return not rest.upper().startswith("LOGOUT")
        self._say(f"{tag} NO unknown or not allowed")
        return True

    def _search(self, _: re.Match[str]) -> None:
        unread = [str(uid) for uid, mail in self.server.mailbox.mails.items() if not mail.seen]
        self._say("* SEARCH " + " ".join(unread))

    def _fetch(self, match: re.Match[str]) -> None:
        uid, what = int(match[1]), match[2].upper()
        mail = self.server.mailbox.mails.get(uid)
        if mail is None:
            return
        if "RFC822.SIZE" in what:
            self._say(f'* 1 FETCH (UID {uid} RFC822.SIZE {len(mail.raw)} INTERNALDATE "{mail.internal_date}")')
            return
        if "PEEK" not in what:
            mail.seen = True
        body = mail.raw.partition(b"\r\n\r\n")[0] + b"\r\n\r\n" if "HEADER" in what else mail.raw
        self.wfile.write(f"* 1 FETCH (UID {uid} BODY[] {{{len(body)}}}\r\n".encode() + body + b")\r\n")

    def _store(self, match: re.Match[str]) -> None:
        self.server.mailbox.mails[int(match[1])].seen = True

    def _say(self, text: str) -> None:
        self.wfile.write(text.encode() + b"\r\n")


class _Server(socketserver.ThreadingTCPServer):
    daemon_threads = True
    allow_reuse_address = True
    mailbox: Mailbox
    released: threading.Event


@contextmanager
def serving(mailbox: Mailbox) -> Iterator[int]:
    """The port on which the mailbox is served while the block runs."""
    with _Server(("127.0.0.1", 0), _Handler) as server:
        server.mailbox, server.released = mailbox, threading.Event()
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        thread.start()
        try:
            yield server.server_address[1]
        finally:
            server.released.set()
            server.shutdown()
            thread.join(timeout=5)
