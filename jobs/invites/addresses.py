"""Addresses of servers, with user and password, as settings hold them."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, field
from urllib.parse import unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured


@dataclass(frozen=True, slots=True)
class ServerAddress:
    scheme: str
    host: str
    port: int | None
    path: str
    username: str
    password: str = field(repr=False)

    @property
    def is_this_machine(self) -> bool:
        return self.host in ("localhost", "127.0.0.1", "::1")


def read_address(name: str, url: str, *, schemes: Container[str], example: str) -> ServerAddress:
    """The parts of a server's address; user and password may be percent-encoded.

    Raises ImproperlyConfigured, naming the setting, without repeating what may hold the password.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    if parts.scheme not in schemes or not parts.hostname:
        raise ImproperlyConfigured(f"{name} is no address of a server. Write it as {example}")
    return ServerAddress(
        scheme=parts.scheme,
        host=parts.hostname,
        port=port,
        path=unquote(parts.path),
        username=unquote(parts.username or ""),
        password=unquote(parts.password or ""),
    )
