"""What a client decides about drawings and snags on their own page, and how it is taken back within the hour."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.client_decisions import record_decision
from jobs.domain.daybook import write_line
from jobs.domain.drawings import approve_drawing
from jobs.domain.snags import agree_snag
from jobs.models import ClientDecision, ClientLink, DrawingVersion, Snag, Workshop
from jobs.refusal import Refusal


@transaction.atomic
def approve_drawing_by_link(
    *, link: ClientLink, drawing: DrawingVersion, name: str, workshop: Workshop, now: dt.datetime
) -> ClientDecision:
    """The client approves this version; name, instant and hash are frozen with it."""
    if len(name.strip()) > 120:
        raise Refusal("name", f"Your name: write at most 120 signs; these are {len(name.strip())}.")
    approve_drawing(drawing=drawing, name=name, now=now, actor=None)
    return record_decision(
        link=link, kind="approve_drawing", said=f"You approved {drawing}.", workshop=workshop, now=now,
        facts={"drawing": drawing.pk, "sha256": drawing.approved_sha256},
    )  # fmt: skip


def take_back_approval(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    """The approval is lifted, unless it is another one by now; the daybook keeps both."""
    pk = decision.facts["drawing"]
    mine = DrawingVersion.objects.filter(pk=pk, commission=decision.commission, approved_at=decision.decided_at)
    if not mine.update(approved_by_name="", approved_at=None, approved_sha256=""):
        raise Refusal("", "This drawing was approved afresh since. Please ring us: we put it right together.")
    write_line(act="take_back_approval", now=now, actor=None, commission=decision.commission, drawing=pk)


@transaction.atomic
def agree_snag_by_link(*, link: ClientLink, snag: Snag, workshop: Workshop, now: dt.datetime) -> ClientDecision:
    """The client has looked and says that it is right now."""
    agree_snag(snag=snag, name=link.commission.client.name, now=now, actor=None)
    return record_decision(
        link=link, kind="agree_snag", said=f"You told us that this is right now: {snag}."[:300], workshop=workshop,
        now=now, facts={"snag": snag.pk},
    )  # fmt: skip


def take_back_agreement(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> None:
    pk = decision.facts["snag"]
    mine = Snag.objects.filter(pk=pk, commission=decision.commission, agreed_at=decision.decided_at)
    if not mine.update(agreed_at=None, agreed_by=""):
        raise Refusal("", "This has been looked at again since. Please ring us: we put it right together.")
    write_line(act="take_back_agreement", now=now, actor=None, commission=decision.commission, snag=pk)
