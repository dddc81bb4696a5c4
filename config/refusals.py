"""Settings with which Shutline will not start, each with the remedy. Pure: values in, a sentence out."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Sequence
from urllib.parse import SplitResult, urlsplit

from django.core.exceptions import ImproperlyConfigured

from config.first_run import LOOPBACK

TEST_KEY_START = "only-for-the-test-run-"
TEST_FIELD_KEY = "dGVzdHRlc3R0ZXN0dGVzdHRlc3R0ZXN0dGVzdHRlc3Q="
# The same bounds as Django's own deployment check security.W009.
SHORTEST_KEY = 50
FEWEST_SIGNS = 5


def public_address(url: str) -> SplitResult:
    """PUBLIC_URL taken apart.

    Raises:
        ImproperlyConfigured: no http or https address, or one with a path, user or query.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    if parts.scheme not in ("http", "https") or not parts.hostname or port == 0:
        raise ImproperlyConfigured(
            f"PUBLIC_URL is {url!r}. Write the whole address people type, as in https://jobs.example.org"
        )
    if parts.path.strip("/") or parts.query or parts.fragment or parts.username:
        raise ImproperlyConfigured(
            f"PUBLIC_URL is {url!r}. Leave out what stands behind the name and port: "
            f"{parts.scheme}://{parts.hostname}{f':{port}' if port else ''}"
        )
    return parts


def is_this_machine(parts: SplitResult) -> bool:
    """Only a browser on this very machine reaches the address."""
    return (parts.hostname or "") in LOOPBACK


def proxy_count(text: str) -> int:
    """How many proxies stand before this program, each adding the address it saw to X-Forwarded-For.

    Raises:
        ImproperlyConfigured: no whole number from 0 to 9.
    """
    if not text.isascii() or not text.isdecimal() or int(text) > 9:
        raise ImproperlyConfigured(
            f"TRUSTED_PROXIES is {text!r}. Write how many proxies stand before Shutline: 0 without one, usually 1. "
            "Too high a number lets a visitor choose the address that limits are counted by."
        )
    return int(text)


def weak_secret_key(key: str) -> str:
    """Why SECRET_KEY must not sign anything, or "" where it may."""
    if key.startswith((TEST_KEY_START, "django-insecure-")):
        return "SECRET_KEY is a published default."
    if len(key) < SHORTEST_KEY or len(set(key)) < FEWEST_SIGNS:
        return f"SECRET_KEY is too short or too plain: at least {SHORTEST_KEY} random signs are needed."
    return ""


def is_fernet_key(key: str) -> bool:
    """32 bytes in URL-safe base64, as the Fernet specification asks."""
    try:
        return len(base64.b64decode(key.encode("ascii"), altchars=b"-_", validate=True)) == 32
    except (binascii.Error, ValueError):
        return False


def weak_field_keys(keys: Sequence[str], secret_key: str) -> str:
    """Why FIELD_KEYS must not guard the stored codes, or "" where they may."""
    if not keys:
        return "FIELD_KEYS is empty."
    if TEST_FIELD_KEY in keys:
        return "FIELD_KEYS holds the published key of the test run."
    if secret_key in keys:
        return "FIELD_KEYS is the same as SECRET_KEY; they must differ, so that either can be changed alone."
    for place, key in enumerate(keys, start=1):
        if not is_fernet_key(key):
            return f"FIELD_KEYS: key {place} is no Fernet key (44 signs of URL-safe base64, 32 bytes)."
    return ""


def refuse_unsafe(
    *, public: SplitResult, debug: bool, secret_key: str, field_keys: Sequence[str], extra_hosts: Sequence[str]
) -> None:
    """Stop before the first request where others can reach this machine and something would let them in.

    On an address of this machine alone the same findings are warnings of `manage.py check`.

    Raises:
        ImproperlyConfigured: with the setting's name and the remedy.
    """
    if is_this_machine(public) and public.scheme == "http":
        return
    if debug:
        raise ImproperlyConfigured(
            "DEBUG is on, and PUBLIC_URL is an address others can reach: errors would show them the settings. "
            "Take DEBUG out of the environment, or set PUBLIC_URL to http://localhost:8000."
        )
    finding = weak_secret_key(secret_key) or weak_field_keys(field_keys, secret_key)
    if finding:
        raise ImproperlyConfigured(
            f"{finding} Let script/start write new ones (move the private file away first, if it holds these), "
            "or make them with: python -c 'from config.first_run import private_text; print(private_text(\"\"))'"
        )
    if "*" in extra_hosts:
        raise ImproperlyConfigured(
            "EXTRA_HOSTS is *, which lets anyone choose the address in our mails. Name the hosts."
        )
