from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class ClosedAccountAdapter(DefaultAccountAdapter):
    """Nobody signs up; people are added by the workshop."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False
