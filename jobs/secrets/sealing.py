"""Sealing and opening single values with settings.FIELD_KEYS (newest first).

The seal is Fernet (AES-128-CBC with HMAC-SHA256, https://github.com/fernet/spec/blob/master/Spec.md). Fernet has no
associated data, so the row's identity is put inside the plaintext: a ciphertext copied into another row or column
does not open there.
"""

from __future__ import annotations

import hmac
import json

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.views.decorators.debug import sensitive_variables

# All values come out equally long, so that the ciphertext does not tell a code of four figures from one of nine.
PADDED_TO_BYTES = 256


class SealBroken(Exception):
    """A sealed value that does not open here; the message holds nothing of the value."""


class NoKeyFits(SealBroken):
    """None of FIELD_KEYS opens it, or it was altered."""


class OtherRow(SealBroken):
    """It was sealed for another row or column than the one it lies in."""


# An error page or report, should one ever be switched on, blanks these variables.
@sensitive_variables("text", "plain")
def seal(text: str, *, row: str) -> str:
    """`text` sealed for `row` with the newest key: ASCII text."""
    plain = json.dumps([row, text]).encode("utf-8")
    return _box().encrypt(plain + b" " * (-len(plain) % PADDED_TO_BYTES)).decode("ascii")


@sensitive_variables("text", "plain")
def unseal(token: str, *, row: str) -> str:
    """What was sealed for `row`.

    Raises:
        NoKeyFits, OtherRow: and then nothing of the text is in the error.
    """
    try:
        plain = _box().decrypt(token)
    except (InvalidToken, ValueError):
        raise NoKeyFits("no key of FIELD_KEYS opens this value") from None
    found_row, text = json.loads(plain)
    if not hmac.compare_digest(found_row.encode("utf-8"), row.encode("utf-8")):
        raise OtherRow("this value was sealed for another row")
    return str(text)


def reseal(token: str) -> str:
    """The same value under the newest key; the row it belongs to stays inside.

    Raises:
        NoKeyFits
    """
    try:
        return _box().rotate(token).decode("ascii")
    except (InvalidToken, ValueError):
        raise NoKeyFits("no key of FIELD_KEYS opens this value") from None


def is_under_newest_key(token: str) -> bool:
    try:
        Fernet(settings.FIELD_KEYS[0]).decrypt(token)
    except (InvalidToken, ValueError):
        return False
    return True


def _box() -> MultiFernet:
    # Made anew each time: a few microseconds, and a rotated setting counts at once.
    return MultiFernet([Fernet(key) for key in settings.FIELD_KEYS])
