"""The first hour of a workshop: set up from five answers, the first commission, and emptying the demo."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.core.files.storage import Storage
from django.db import models, transaction

from jobs.domain.clients import add_client
from jobs.domain.commissions import open_commission, set_up_workshop
from jobs.domain.daybook import write_line
from jobs.domain.people import save_person
from jobs.domain.templates import make_default_template
from jobs.models import Commission, Message, Person, Role, Template, Workshop
from jobs.outbox import delete_from_outbox
from jobs.queries.client_rows import our_models
from jobs.refusal import Refusal

# What emptying the demo leaves: who works here and how they sign in, the steps to start from, and the daybook, which
# is never shortened and holds no names.
KEPT = {
    "Person", "Device", "Invitation", "Feed", "Heartbeat", "DaybookLine", "Erasure", "Template", "TemplateStep",
    "TemplateLink",
}  # fmt: skip


@dataclass(frozen=True)
class NewPerson:
    name: str
    role: str


@transaction.atomic
def begin_workshop(*, people: Sequence[NewPerson], now: dt.datetime, actor: Person, **fields: Any) -> Workshop:
    """The workshop from the answers of the first hour, its people, and the steps that a commission starts from.

    Refused: there is a workshop already.
    """
    if Workshop.objects.exists():
        raise Refusal("", "The workshop is set up already; change it on the page “Workshop”.")
    for one in people:
        if not Person.objects.filter(name__iexact=one.name).exists():
            save_person(person=Person(name=one.name, role=one.role), now=now, actor=actor)
    hands = Person.objects.filter(role=Role.MAKER, is_active=True).count()
    make_default_template()
    return set_up_workshop(now=now, actor=actor, email=actor.email or "", hands=max(1, hands), **fields)


@transaction.atomic
def open_first_commission(
    *, client: dict[str, Any], commission: dict[str, Any], today: dt.date, now: dt.datetime, actor: Person
) -> Commission:
    """A client and their commission in one; the steps are those of the first template there is."""
    template = Template.objects.order_by("pk").first() or make_default_template()
    return open_commission(
        client=add_client(now=now, actor=actor, **client),
        template=template,
        opened_on=today,
        now=now,
        actor=actor,
        **commission,
    )


@transaction.atomic
def empty_demo(*, workshop: Workshop, now: dt.datetime, actor: Person) -> int:
    """Every row and file of the demo goes, whatever was added since included; people stay. Returns the commissions.

    Refused: this is no demo. Foreign keys are checked at the end of the transaction, so the order does not matter.
    """
    if not Workshop.objects.filter(pk=workshop.pk, is_demo=True).exists():
        raise Refusal("", "This is no demo workshop; nothing was taken away.")
    commissions = Commission.objects.count()
    mails = list(Message.objects.values_list("message_id", flat=True))
    for model in our_models():
        if model.__name__ not in KEPT:
            _empty(model)
    write_line(act="empty_demo", now=now, actor=actor, commissions=commissions)
    transaction.on_commit(partial(_delete_mails, mails))
    return commissions


def _empty(model: type[models.Model]) -> None:
    # Unordered: an order by the commission's number would join a table that is empty by now.
    rows = model._default_manager.order_by()
    for field in model._meta.fields:
        if isinstance(field, models.FileField):
            names = list(rows.exclude(**{field.name: ""}).values_list(field.name, flat=True))
            transaction.on_commit(partial(_delete_files, field.storage, names))
    rows._raw_delete(rows.db)


def _delete_files(storage: Storage, names: Sequence[str]) -> None:
    for name in names:
        storage.delete(name)


def _delete_mails(message_ids: Sequence[str]) -> None:
    for one in message_ids:
        delete_from_outbox(one)
