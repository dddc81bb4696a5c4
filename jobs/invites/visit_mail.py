"""The mails about a visit: invite, change, cancellation; written when sent, from the facts as they then are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from re import sub
from typing import Any

from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.functional import SimpleLazyObject

from jobs.invites.calendar_file import build_cancel, build_request
from jobs.invites.client_link import client_link
from jobs.invites.facts import VisitFacts
from jobs.invites.mail import Attachment, Invite, Mailbox, build_mail
from jobs.invites.organiser import organiser_address
from jobs.models import Message, Visit, VisitState, Workshop
from jobs.words import day_in_words, short_day, time_in_words


def visit_facts(visit: Visit, workshop: Workshop, *, with_token: bool = True) -> VisitFacts:
    """What a calendar may know of a visit: no code, no key, no absence, no telephone but the workshop's."""
    assert visit.starts_at is not None and visit.ends_at is not None
    commission = visit.commission
    email = organiser_address(workshop.email, visit.organiser_token) if with_token else workshop.email
    phone = f"\nRing {workshop.name}: {workshop.phone.as_national}" if workshop.phone else ""
    return VisitFacts(
        uid=str(visit.uid),
        sequence=visit.sequence,
        starts_at=visit.starts_at,
        ends_at=visit.ends_at,
        zone=workshop.zone,
        summary=f"{visit.get_kind_display()}: {commission.what}",
        description=f"{visit.person.name} of {workshop.name} comes about your {commission.what}.{phone}",
        location=", ".join(line.strip() for line in commission.address.splitlines() if line.strip()),
        organiser_name=workshop.name,
        organiser_email=email,
        attendee_name=commission.client.name,
        attendee_email=commission.client.email,
        attendance=visit.attendance,
        cancelled=visit.state == VisitState.CANCELLED,
        changed_at=visit.changed_at,
    )


def own_facts(visit: Visit, workshop: Workshop) -> VisitFacts:
    """The visit as our own people's calendars name it: by the commission's number and short name."""
    facts = visit_facts(visit, workshop, with_token=False)
    about = f"{visit.commission.what}, for {visit.commission.client.name}. {visit.person.name} goes."
    return replace(facts, summary=f"{visit.get_kind_display()}: {visit.commission}", description=about)


def invite_of(visit: Visit, workshop: Workshop, now: dt.datetime) -> Invite | None:
    """The invite for a client with an address; who has none is rung up, or gets the words as a letter."""
    if not visit.commission.client.email:
        return None
    return Invite(build_request(visit_facts(visit, workshop), now), "REQUEST")


def compose_invite(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The invite for the present version of the visit, or None where a later version has overtaken it."""
    visit = message.visit
    if visit is None or visit.state != VisitState.ARRANGED or visit.sequence != message.payload["sequence"]:
        return None
    return visit_mail(
        "visit_invite", message, workshop, now, invite=invite_of(visit, workshop, now), is_change=visit.sequence > 0
    )


def compose_cancel(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    visit = message.visit
    if visit is None or visit.state != VisitState.CANCELLED:
        return None
    has_mail = bool(visit.commission.client.email)
    invite = Invite(build_cancel(visit_facts(visit, workshop), now), "CANCEL") if has_mail else None
    return visit_mail("visit_cancel", message, workshop, now, invite=invite)


def note_asked(message: Message, now: dt.datetime) -> None:
    """Keep the DTSTAMP of the invite that goes now; before it goes, so that no answer can come earlier."""
    assert message.visit_id is not None
    Visit.objects.filter(pk=message.visit_id, sequence=message.payload["sequence"]).update(asked_at=now)


def visit_mail(
    template: str,
    message: Message,
    workshop: Workshop,
    now: dt.datetime,
    *,
    invite: Invite | None = None,
    attachments: Sequence[Attachment] = (),
    **context: Any,
) -> EmailMultiAlternatives:
    """One mail from `mail/<template>.subject.txt`, `.txt` and `.html`."""
    visit = message.visit
    assert visit is not None and visit.starts_at is not None and visit.ends_at is not None
    start, end = workshop.local(visit.starts_at), workshop.local(visit.ends_at)
    context |= {
        "workshop": workshop,
        "visit": visit,
        "commission": visit.commission,
        "to_name": message.to_name,
        "day": day_in_words(start.date()),
        "short_day": short_day(start.date()),
        "starts": time_in_words(start.time()),
        "ends": time_in_words(end.time()),
    }
    return letter(template, message, workshop, now, context, invite=invite, attachments=attachments)


def letter(
    template: str,
    message: Message,
    workshop: Workshop,
    now: dt.datetime,
    context: dict[str, Any],
    *,
    invite: Invite | None = None,
    attachments: Sequence[Attachment] = (),
) -> EmailMultiAlternatives:
    """Any mail of the workshop: subject, text and HTML under one template name.

    For somebody without e-mail it is addressed to the workshop: its words are read out or printed, never sent.
    """
    by_mail = bool(message.to_email)
    # Lazily: a link is made only where a template shows it, and one for both parts.
    context = {**context, "by_mail": by_mail, "client_url": SimpleLazyObject(lambda: client_link(message, now))}
    return build_mail(
        subject=render_to_string(f"mail/{template}.subject.txt", context).strip(),
        # A part that is left out leaves blank lines behind.
        text=sub(r"\n{3,}", "\n\n", render_to_string(f"mail/{template}.txt", context)),
        html=render_to_string(f"mail/{template}.html", context),
        sender=Mailbox(workshop.email, workshop.name),
        to=Mailbox(message.to_email or workshop.email, message.to_name),
        message_id=message.message_id,
        sent_at=now,
        invite=invite,
        attachments=list(attachments),
    )
