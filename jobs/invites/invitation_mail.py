"""The mail by which somebody of the workshop is invited to sign in."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.urls import reverse

from jobs.domain.sign_in import INVITATION_LASTS, new_invitation_token
from jobs.invites.visit_mail import letter
from jobs.models import Message, Workshop
from jobs.words import day_in_words


def compose_invitation(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The mail with a link made this moment, or None where the invitation was used, withdrawn or overtaken."""
    token = new_invitation_token(message.payload["invitation"], now=now)
    if token is None:
        return None
    context = {
        "workshop": workshop,
        "to_name": message.to_name,
        "link": settings.PUBLIC_URL + reverse("accept_invitation", args=[token]),
        "until": day_in_words(workshop.local_day(now + INVITATION_LASTS)),
    }
    return letter("invitation", message, workshop, now, context)
