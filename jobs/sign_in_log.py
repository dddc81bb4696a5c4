"""One line in the log for whatever changes who is signed in, or how: ids and addresses, no name, no password."""

from __future__ import annotations

import logging
from typing import Any

from allauth.account import signals as account
from allauth.core.internal.httpkit import get_client_ip
from allauth.mfa import signals as factors
from django.contrib.auth import signals as auth
from django.dispatch import receiver
from django.http import HttpRequest

log = logging.getLogger(__name__)


def where(request: HttpRequest | None) -> str:
    """The address as the trusted proxies saw it."""
    return (get_client_ip(request) if request is not None else None) or "nowhere"


@receiver(auth.user_logged_in)
def signed_in(sender: Any, request: HttpRequest | None, user: Any, **kwargs: Any) -> None:
    log.info("person %s signed in from %s", user.pk, where(request))


@receiver(auth.user_logged_out)
def signed_out(sender: Any, request: HttpRequest | None, user: Any, **kwargs: Any) -> None:
    log.info("person %s signed out", user.pk if user is not None else "?")


@receiver(auth.user_login_failed)
def failed(sender: Any, credentials: Any, request: HttpRequest | None = None, **kwargs: Any) -> None:
    log.warning("a sign-in failed, from %s", where(request))


@receiver([account.password_changed, account.password_set, account.password_reset])
def password_changed(sender: Any, request: HttpRequest, user: Any, **kwargs: Any) -> None:
    log.warning("person %s has a new password, set from %s", user.pk, where(request))


@receiver(factors.authentication_failed)
def factor_failed(sender: Any, request: HttpRequest, user: Any, **kwargs: Any) -> None:
    log.warning("person %s gave a wrong second factor, from %s", user.pk if user else "?", where(request))


@receiver(factors.authenticator_added)
def factor_added(sender: Any, request: HttpRequest, user: Any, authenticator: Any, **kwargs: Any) -> None:
    log.warning("person %s set up a second factor (%s), from %s", user.pk, authenticator.type, where(request))


@receiver(factors.authenticator_removed)
def factor_removed(sender: Any, request: HttpRequest, user: Any, authenticator: Any, **kwargs: Any) -> None:
    log.warning("person %s took out a second factor (%s), from %s", user.pk, authenticator.type, where(request))
