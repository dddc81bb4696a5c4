"""The organiser's address carries a token for each visit: office+token@example.org.

Replies go to the ORGANIZER of the invitation, so a reply that knows the token has seen the invitation.
The part after the plus sign is common practice of mail servers (RFC 5233): the server must allow it.
"""

from __future__ import annotations

import hmac
import re
import secrets

from jobs.invites.facts import LOCAL_PART_LIMIT, FactFault, check_address

# Lower case only: programs and servers on the way may fold the case of an address.
_TOKEN = re.compile(r"[a-z0-9]{16,40}")


def new_token() -> str:
    """A fresh token of 128 random bits, as 32 hexadecimal digits."""
    return secrets.token_hex(16)


def organiser_address(base: str, token: str) -> str:
    """The address for one visit: `office@example.org` and a token give `office+token@example.org`.

    Raises FactFault for a bad token, and where more than 64 characters would stand before the at sign.
    """
    if not _TOKEN.fullmatch(token):
        raise FactFault("token", "A visit's token is 16 to 40 small letters and digits.")
    local, _, domain = check_address("organiser_email", base).rpartition("@")
    if len(local) + 1 + len(token) > LOCAL_PART_LIMIT:
        raise FactFault(
            "organiser_email", f"“{local}” is too long to carry a token; use a shorter name before the @."
        )
    return f"{local}+{token}@{domain}"


def token_of(address: str, base: str) -> str | None:
    """The token that `address` carries for the workshop's address `base`, or None. Case does not matter."""
    local, _, domain = address.strip().lower().rpartition("@")
    own_local, _, own_domain = base.strip().lower().rpartition("@")
    head, plus, token = local.rpartition("+")
    if not plus or (head, domain) != (own_local, own_domain) or not _TOKEN.fullmatch(token):
        return None
    return token


def is_token(given: str | None, expected: str) -> bool:
    """Whether the token is the expected one, compared in constant time."""
    return given is not None and hmac.compare_digest(given.encode(), expected.encode())
