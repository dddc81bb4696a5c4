"""Snags, from first seen to agreed by the client."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Person, Photograph, Snag
from jobs.refusal import Refusal


@transaction.atomic
def save_snag(*, snag: Snag, today: dt.date, now: dt.datetime, actor: Person | None) -> Snag:
    """A snag, new or changed. It belongs to one of us or to a subcontractor, not to both."""
    if snag.seen_on > today:
        raise Refusal("seen_on", "First seen on: that lies in the future; give today or an earlier day.")
    if snag.due_on is not None and snag.due_on < snag.seen_on:
        raise Refusal("due_on", "Due on: that lies before it was seen; give a later day.")
    if snag.person_id is not None and snag.subcontractor_id is not None:
        raise Refusal("subcontractor", "Name one of us or a subcontractor, not both: one of them sees to it.")
    for field in ("room", "photograph"):
        other = getattr(snag, field)
        if other is not None and other.commission_id != snag.commission_id:
            raise Refusal(field, f"That {field} belongs to another commission; choose one of this commission.")
    act = "note_snag" if snag.pk is None else "edit_snag"
    snag.save()
    write_line(act=act, now=now, actor=actor, commission=snag.commission, snag=snag.pk, cause=snag.cause)
    return snag


@transaction.atomic
def finish_snag(*, snag: Snag, photograph: Photograph | None = None, now: dt.datetime, actor: Person | None) -> None:
    """It has been put right; the client has still to agree."""
    done = Snag.objects.filter(pk=snag.pk, done_at__isnull=True).update(done_at=now, done_photograph=photograph)
    if not done:
        raise Refusal("", "This snag is done already; nothing was changed.")
    snag.done_at = now
    write_line(act="finish_snag", now=now, actor=actor, commission=snag.commission, snag=snag.pk)


@transaction.atomic
def agree_snag(*, snag: Snag, name: str, now: dt.datetime, actor: Person | None) -> None:
    """The client has looked, by the viewing rule, and agrees that it is right."""
    if not name.strip():
        raise Refusal("agreed_by", "Agreed by: write the name of the person who looked.")
    done = Snag.objects.filter(pk=snag.pk, done_at__isnull=False, agreed_at__isnull=True).update(
        agreed_at=now, agreed_by=name.strip()[:120]
    )
    if not done:
        raise Refusal("", "Only a snag that is done, and not agreed yet, can be agreed: mark it done first.")
    snag.refresh_from_db(fields=["agreed_at", "agreed_by"])
    write_line(act="agree_snag", now=now, actor=actor, commission=snag.commission, snag=snag.pk)


@transaction.atomic
def reopen_snag(*, snag: Snag, now: dt.datetime, actor: Person | None) -> None:
    """It shows again, or was ticked by mistake."""
    done = Snag.objects.filter(pk=snag.pk, done_at__isnull=False).update(
        done_at=None, agreed_at=None, agreed_by="", done_photograph=None
    )
    if not done:
        raise Refusal("", "This snag is open; there is nothing to take back.")
    snag.refresh_from_db()
    write_line(act="reopen_snag", now=now, actor=actor, commission=snag.commission, snag=snag.pk)
