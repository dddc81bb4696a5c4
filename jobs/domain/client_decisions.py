"""What a client does on their own page. Each is one transaction: the act, the record of it, and the mailed copy."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db import transaction

from jobs.domain.clients import add_client_away, arrange_access, remove_client_away
from jobs.domain.daybook import write_line
from jobs.domain.messages import queue_message
from jobs.domain.surveys import declare_nothing_changed
from jobs.models import (
    AccessArrangement,
    ClientAway,
    ClientDecision,
    ClientLink,
    Declaration,
    SlotOffer,
    Workshop,
)
from jobs.queries.client_page import UNDO_WITHIN
from jobs.refusal import Refusal
from jobs.registries import client_decisions


@transaction.atomic
def record_decision(
    *,
    link: ClientLink,
    kind: str,
    said: str,
    workshop: Workshop,
    now: dt.datetime,
    facts: dict[str, Any] | None = None,
) -> ClientDecision:
    """Keep what the client did, in the sentence they read, and send them a copy. `facts` holds ids and times."""
    decision = ClientDecision.objects.create(
        commission=link.commission, link=link, kind=kind, said=said[:300], facts=facts or {}, decided_at=now
    )
    write_line(
        act="client_decided", now=now, actor=None, commission=link.commission, decision=decision.pk, what=kind,
        link=link.pk,
    )  # fmt: skip
    _queue_receipt(decision, workshop, now)
    return decision


@transaction.atomic
def undo_decision(*, decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    """That was a mistake: taken back within the hour, once, with a mail that says so."""
    kind = client_decisions.get(decision.kind)
    if kind is None or kind.undo is None:
        raise Refusal("", "This is not taken back here: change it on its own page, or ring us.")
    if now - decision.decided_at > UNDO_WITHIN:
        raise Refusal("", "The hour for taking this back has gone by. Please ring us: we put it right together.")
    if not ClientDecision.objects.filter(pk=decision.pk, undone_at__isnull=True).update(undone_at=now):
        raise Refusal("", "You have taken this back already. Nothing more was changed.")
    decision.refresh_from_db(fields=["undone_at"])
    kind.undo(decision, workshop, now)
    write_line(
        act="client_took_back", now=now, actor=None, commission=decision.commission, decision=decision.pk,
        what=decision.kind,
    )  # fmt: skip
    _queue_receipt(decision, workshop, now)


@transaction.atomic
def declare_by_link(
    *, link: ClientLink, nothing_changed: bool, what_changed: str, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """The client's word that nothing in the rooms has changed since the survey, or what has."""
    declaration = declare_nothing_changed(
        commission=link.commission,
        declared_at=now,
        way=Declaration.Way.LINK,
        nothing_changed=nothing_changed,
        what_changed=what_changed,
        now=now,
        actor=None,
    )
    said = (
        "You told us that nothing has changed in the room."
        if nothing_changed
        else "You told us that something has changed in the room. We ring you about it."
    )
    return record_decision(
        link=link, kind="declaration", said=said, workshop=workshop, now=now, facts={"declaration": declaration.pk}
    )


def take_back_declaration(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    Declaration.objects.filter(pk=decision.facts["declaration"], commission=decision.commission).delete()


@transaction.atomic
def arrange_access_by_link(
    *, link: ClientLink, access: AccessArrangement, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """Who opens, between which hours, whom to ask instead, where to park."""
    arrange_access(access=access, now=now, actor=None)
    return record_decision(
        link=link,
        kind="access",
        said="You told us who opens the door and where we park.",
        workshop=workshop,
        now=now,
        facts={"access": access.pk},
    )


@transaction.atomic
def add_away_by_link(
    *, link: ClientLink, first_day: dt.date, last_day: dt.date, today: dt.date, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """Days on which nobody is at home. The sentence kept and mailed does not say which."""
    if last_day < today:
        raise Refusal("last_day", "Last day: these days have gone by; give days that are still to come.")
    if link.commission.client.away.filter(first_day=first_day, last_day=last_day).exists():
        raise Refusal("first_day", "First day: you have told us about these days already.")
    away = add_client_away(client=link.commission.client, first_day=first_day, last_day=last_day, now=now, actor=None)
    return record_decision(
        link=link,
        kind="away",
        said="You told us about days when you are away.",
        workshop=workshop,
        now=now,
        facts={"away": away.pk},
    )


def take_back_away(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    away = ClientAway.objects.filter(pk=decision.facts["away"], client=decision.commission.client).first()
    if away is not None:
        remove_client_away(away=away, now=now, actor=None)


def forget_decisions(client_id: int, now: dt.datetime) -> None:
    """Eraser: the sentences, the links and their sessions, and the offers of a client who is to be forgotten."""
    ClientDecision.objects.filter(commission__client_id=client_id).delete()
    ClientLink.objects.filter(commission__client_id=client_id).delete()
    SlotOffer.objects.filter(commission__client_id=client_id).delete()


def _queue_receipt(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    client = decision.commission.client
    undone = decision.undone_at is not None
    queue_message(
        key=f"client_receipt:{decision.pk}:{'undone' if undone else 'made'}",
        kind="client_receipt",
        workshop=workshop,
        now=now,
        commission=decision.commission,
        to_name=client.name,
        to_email=client.email,
        payload={"decision": decision.pk, "undone": undone},
    )
