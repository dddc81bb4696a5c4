"""A mail server on the loopback address that fails as it is told to, by aiosmtpd (RFC 5321)."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from email.message import Message
from email.parser import BytesParser
from email.policy import default
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP

HANG_S = 30


class FaultyHandler:
    """`fault` is one of the names below; `taken` are the mails to which the server has said yes, or meant to."""

    def __init__(self, fault: str = "") -> None:
        self.fault = fault
        self.taken: list[Message] = []

    async def handle_MAIL(self, server: SMTP, session: Any, envelope: Any, address: str, options: list[str]) -> str:
        if self.fault == "451 at MAIL":
            return "451 4.3.0 later"
        if self.fault == "drop at MAIL":
            _hang_up(server)
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(self, server: SMTP, session: Any, envelope: Any, address: str, options: list[str]) -> str:
        if self.fault == "450 at RCPT":
            return "450 4.2.1 busy"
        if self.fault == "550 at RCPT":
            return "550 5.1.1 nobody here of that name"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Any, envelope: Any) -> str:
        if self.fault == "452 at DATA":
            return "452 4.3.1 full"
        if self.fault == "554 at DATA":
            return "554 5.6.0 no"
        if self.fault == "drop before yes":
            _hang_up(server)
            return "250 never heard"
        self.taken.append(BytesParser(policy=default).parsebytes(envelope.content))
        if self.fault == "drop, mail kept":
            _hang_up(server)
            return "250 never heard"
        if self.fault == "hang at DATA":
            await asyncio.sleep(HANG_S)
        if self.fault == "drop after yes":
            await server.push("250 OK")
            _hang_up(server)
        return "250 OK"


def _hang_up(server: SMTP) -> None:
    assert server.transport is not None
    server.transport.close()


@contextmanager
def mail_server(handler: FaultyHandler) -> Iterator[int]:
    """The port of a server that uses the handler, while the block runs."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    controller = Controller(handler, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        yield port
    finally:
        controller.stop(no_assert=True)


@contextmanager
def silent_server() -> Iterator[int]:
    """A port that takes the connection and never says a word."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        yield listening.getsockname()[1]
