"""What `script/start` asks of Python before Django is installed: standard library only.

python -m config.first_run python    ends with 0 where this Python can make a .venv
python -m config.first_run pango     ends with 0 where the libraries that set the documents are there
python -m config.first_run address   writes the private file once; prints "PORT ADDRESS NOTE"
"""

from __future__ import annotations

import base64
import ctypes
import importlib.util
import os
import secrets
import socket
import sys
from collections.abc import Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

FIRST_PYTHON = (3, 11)
FIRST_PORT = 8000
PORTS_TRIED = 50
LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
# One of each row must load; the names are among those WeasyPrint itself tries on Linux and macOS.
PANGO = (
    ("libpango-1.0.so.0", "libpango-1.0.dylib"),
    ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib"),
)


@dataclass(frozen=True)
class Address:
    """Where Shutline will listen (`port`) and what people type (`url`); `note` is "moved" or "same"."""

    port: int
    url: str
    note: str


def python_is_ready() -> bool:
    return sys.version_info >= FIRST_PYTHON and all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))


def _loads(name: str) -> bool:
    with suppress(OSError):
        ctypes.CDLL(name)
        return True
    return False


def pango_is_ready() -> bool:
    return all(any(_loads(name) for name in names) for names in PANGO)


def private_text(public_url: str) -> str:
    """The private file with new keys: 64 random bytes to sign, and a Fernet key (32 bytes, URL-safe base64)."""
    field_key = base64.urlsafe_b64encode(secrets.token_bytes(32)).decode("ascii")
    return (
        "# The secrets of this Shutline, written once by script/start. Nobody else needs to read this file.\n"
        "# Keep a copy apart from the backups: without FIELD_KEYS the stored codes cannot be read.\n"
        f"SECRET_KEY={secrets.token_urlsafe(64)}\n"
        f"FIELD_KEYS={field_key}\n"
        "# The address people type. Behind a proxy with a certificate: https://the.name.of.your.server\n"
        f"PUBLIC_URL={public_url}\n"
    )


def write_private_file(path: Path, public_url: str) -> bool:
    """Write the private file, readable by its owner alone. An existing one is never touched: returns False."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return False
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(private_text(public_url))
        file.flush()
        os.fsync(file.fileno())
    return True


def saved_value(path: Path, name: str) -> str:
    """One value of the private file, or "" where there is none."""
    if not path.exists():
        return ""
    for line in path.read_text(encoding="utf-8").splitlines():
        key, found, value = line.partition("=")
        if found and key.strip().removeprefix("export ") == name:
            return value.strip().strip("\"'")
    return ""


def port_is_free(port: int) -> bool:
    """Nobody listens there, neither on 127.0.0.1 nor on ::1 (a browser may try either for "localhost")."""
    for family, host in ((socket.AF_INET, "127.0.0.1"), (socket.AF_INET6, "::1")):
        try:
            probe = socket.socket(family, socket.SOCK_STREAM)
        except OSError:
            continue  # this machine has no such network
        with closing(probe):
            # Without it the closed connections of the last run would look like a listener.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError:
                if family == socket.AF_INET or _answers(host, port):
                    return False
    return True


def _answers(host: str, port: int) -> bool:
    with suppress(OSError), closing(socket.create_connection((host, port), timeout=1)):
        return True
    return False


def free_port(wanted: int, tried: int = PORTS_TRIED) -> int:
    """The first free port from `wanted` upwards.

    Raises:
        ValueError: none of `tried` ports is free.
    """
    for port in range(wanted, min(wanted + tried, 65536)):
        if port_is_free(port):
            return port
    raise ValueError(
        f"No port from {wanted} to {wanted + tried - 1} is free. Choose one yourself: PORT=9000 script/start"
    )


def wanted_port(text: str) -> int:
    """The port a person asked for.

    Raises:
        ValueError: not a whole number from 1024 to 65535.
    """
    if not text.isascii() or not text.isdecimal() or not 1024 <= int(text) <= 65535:
        raise ValueError(
            f"PORT is {text!r}; it must be a whole number from 1024 to 65535, as in PORT=8000 script/start"
        )
    return int(text)


def choose_address(environment: Mapping[str, str], saved_url: str) -> Address:
    """Where to listen: the port asked for, else that of the saved address, else 8000, or the next free one.

    An address on this machine follows the port. Any other address stands before a proxy that knows the port, so a
    taken port is refused there instead of moved.

    Raises:
        ValueError: a port that is no port, or none free.
    """
    url = (environment.get("PUBLIC_URL") or saved_url or f"http://localhost:{FIRST_PORT}").rstrip("/")
    parts = urlsplit(url)
    here = (parts.hostname or "") in LOOPBACK
    asked = environment.get("PORT", "")
    wanted = wanted_port(asked) if asked else (parts.port if here and parts.port else FIRST_PORT)
    if not here:
        if not port_is_free(wanted):
            raise ValueError(
                f"Port {wanted} is taken, and {url} is served through it. Stop what runs there, or set PORT."
            )
        return Address(wanted, url, "same")
    port = free_port(wanted)
    return Address(port, f"http://{parts.hostname}:{port}", "same" if port == wanted else "moved")


def private_path(environment: Mapping[str, str]) -> Path:
    """Where the private file is; the same rule as config/settings.py."""
    if environment.get("SHUTLINE_ENV_FILE"):
        return Path(environment["SHUTLINE_ENV_FILE"])
    return Path(environment.get("SHUTLINE_VAR") or "var").resolve() / "private" / "shutline.env"


def address(environment: Mapping[str, str]) -> str:
    """The line for script/start; writes the private file unless both keys come from the environment."""
    path = private_path(environment)
    chosen = choose_address(environment, saved_value(path, "PUBLIC_URL"))
    if not (environment.get("SECRET_KEY") and environment.get("FIELD_KEYS")):
        write_private_file(path, chosen.url)
    return f"{chosen.port} {chosen.url} {chosen.note}"


def main(arguments: list[str]) -> int:
    match arguments:
        case ["python"]:
            return 0 if python_is_ready() else 1
        case ["pango"]:
            return 0 if pango_is_ready() else 1
        case ["address"]:
            try:
                print(address(os.environ))
            except ValueError as error:
                print(error, file=sys.stderr)
                return 1
            return 0
    print(__doc__, file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
