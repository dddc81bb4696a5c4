"""The address of the client's own page in a mail to that client."""

from __future__ import annotations

import datetime as dt

from jobs.models import Message, MessageState
from jobs.registries import client_links

SHOWN_INSTEAD = "https://shutline.example.org/their-own-page"


def client_link(message: Message, now: dt.datetime) -> str:
    """The link, or "" where it must not be: only a mail to the client's own address carries it.

    A link is a key: it is made when the mail goes. A mail that is only looked at shows an example in its place.
    """
    makers = client_links.all()
    commission = message.commission
    if not makers or commission is None or not message.to_email:
        return ""
    if message.to_email.casefold() != commission.client.email.casefold():
        return ""
    return makers[0](commission, now) if message.state == MessageState.SENDING else SHOWN_INSTEAD
