"""How the sign-in library behaves here: nobody signs up, and what it keeps of a second factor is sealed."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from django.http import HttpRequest

from jobs.secrets.sealing import seal, unseal


class ClosedAccountAdapter(DefaultAccountAdapter):
    """Nobody signs up; people are added by the workshop."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False


class SealedMFAAdapter(DefaultMFAAdapter):
    """TOTP secrets and seeds of recovery codes lie sealed with FIELD_KEYS: a copy of the database signs nobody in.

    The library gives no row with the text, so these are bound to their purpose only.
    """

    ROW = "second factor"

    def encrypt(self, text: str) -> str:
        return seal(text, row=self.ROW)

    def decrypt(self, encrypted_text: str) -> str:
        return unseal(encrypted_text, row=self.ROW)
