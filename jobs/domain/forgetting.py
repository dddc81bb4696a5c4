"""Forgetting a client: one erasure, to which each app adds its part through the registry `erasers`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.ledger import LedgerLine, append_line, read_lines
from jobs.models import Client, Erasure, Person, Visit, VisitState, Workshop
from jobs.queries.codes import job_ended_on
from jobs.refusal import Refusal
from jobs.registries import erasers

ASKED, TIME_IS_OVER, RESTORED = "asked", "time", "restored"


def check_may_be_forgotten(client: Client, workshop: Workshop, now: dt.datetime) -> None:
    """Refuse while a job runs or a visit is ahead: somebody would stand before a door whose address is gone."""
    ahead = Visit.objects.filter(
        commission__client=client, state=VisitState.ARRANGED, ends_at__gt=now
    ).select_related("commission")
    for visit in ahead[:1]:
        raise Refusal("", f"A visit of commission {visit.commission} is still ahead: cancel it first.")
    for commission in client.commissions.all():
        if job_ended_on(commission, workshop, now) is None:
            raise Refusal("", f"Commission {commission} is still running: close it first, then forget the client.")


@transaction.atomic
def forget_client(
    *, client: Client, reason: str, workshop: Workshop, now: dt.datetime, actor: Person | None
) -> Erasure:
    """Everything that says who this client was, in every table and file, for good. The ledger has the number only."""
    if Erasure.objects.filter(client_id=client.pk).exists() and reason != RESTORED:
        raise Refusal("", "This client has been forgotten already; nothing was changed.")
    if reason == ASKED:
        check_may_be_forgotten(client, workshop, now)
    erasure = Erasure.objects.create(client_id=client.pk, at=now, reason=reason, parts=_erase(client.pk, now))
    write_line(act="forget_client", now=now, actor=actor, client=client.pk, reason=reason)
    if reason != RESTORED:
        transaction.on_commit(lambda: append_line(client.pk, now))
    return erasure


def forget_again(*, workshop: Workshop, now: dt.datetime) -> list[int]:
    """After a backup was put back: forget everybody whom the ledger names. Returns their numbers.

    A client entered after the erasure is somebody else who got the same number, and stays.
    """
    lines = {line.client_id: line for line in [*_of_the_database(), *read_lines()]}
    done = []
    for client in Client.objects.filter(pk__in=lines).order_by("pk"):
        if client.created_at <= lines[client.pk].at:
            forget_client(client=client, reason=RESTORED, workshop=workshop, now=now, actor=None)
            done.append(client.pk)
    return done


def _erase(client_id: int, now: dt.datetime) -> list[str]:
    names = []
    for name, (_, erase) in sorted(erasers.entries.items(), key=lambda pair: pair[1][0]):
        erase(client_id, now)
        names.append(name)
    return names


def _of_the_database() -> Iterable[LedgerLine]:
    return [LedgerLine(row.client_id, row.at) for row in Erasure.objects.all()]
