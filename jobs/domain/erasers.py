"""What the jobs app takes away when a client is forgotten, beside codes, site, post, photographs and client page.

`wipe_words` and `wipe_files` go over every table that leads to the client, so that a field nobody thought of is gone
as well: long notes are emptied, names of people are emptied, and in short texts whatever says who the client is is
replaced. Sizes, dates, hours, amounts and hashes stay.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from django.core.files.storage import Storage
from django.db import IntegrityError, models, transaction
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models import AccessArrangement, Client, ClientAway, Commission, HeldReply, Message
from jobs.outbox import delete_from_outbox
from jobs.queries.client_rows import client_models, identifiers, pattern_of, rows_of

GONE = "[forgotten]"
# Short texts that hold a person by their nature, whoever it is.
PEOPLE = re.compile(r"(_name|_by|_by_name|_from|_to|_email|sender|signed)$")
KEPT_PEOPLE = {"applied_by"}  # of a finish: a trade's name, needed to match it
APPEND_ONLY = {"DaybookLine"}  # holds ids and facts only


def forget_outbox(client_id: int, now: dt.datetime) -> None:
    """Mails written to files, where no mail server is set."""
    ids = list(Message.objects.filter(commission__client_id=client_id).values_list("message_id", flat=True))

    def delete() -> None:
        for message_id in ids:
            delete_from_outbox(message_id)

    transaction.on_commit(delete)


def forget_people(client_id: int, now: dt.datetime) -> None:
    """When the client is away, and mails from their address that no visit was found for. Who lets us in goes last,
    with the client: their names must be known until every text has been looked through."""
    ClientAway.objects.filter(client_id=client_id).delete()
    email = Client.objects.filter(pk=client_id).values_list("email", flat=True).first()
    if email:
        HeldReply.objects.filter(sender__icontains=email).delete()


def wipe_files(client_id: int, now: dt.datetime) -> None:
    """Drawings, packs and whatever else is kept as a file; rows and hashes stay."""
    for model in client_models():
        for field in [field for field in model._meta.fields if isinstance(field, models.FileField)]:
            rows = rows_of(model, client_id).exclude(**{field.name: ""})
            names = list(rows.values_list(field.name, flat=True))
            rows.update(**{field.name: ""})
            _delete_later(field.storage, names)


def wipe_words(client_id: int, now: dt.datetime) -> None:
    client = Client.objects.get(pk=client_id)
    pattern = pattern_of(identifiers(client))
    for model in client_models():
        if model.__name__ in APPEND_ONLY or model in (Client, AccessArrangement):
            continue
        _empty_notes(model, client_id)
        if pattern is not None:
            _replace_words(model, client_id, pattern)


def forget_client_itself(client_id: int, now: dt.datetime) -> None:
    """Last of all, because the others look up by name: the client's row, the sites, and who let us in."""
    AccessArrangement.objects.filter(commission__client_id=client_id).delete()
    for commission in Commission.objects.filter(client_id=client_id):
        commission.nickname = f"No. {commission.number}"
        commission.site_address = ""
        commission.latitude_deg = commission.longitude_deg = None
        commission.save(update_fields=["nickname", "site_address", "latitude_deg", "longitude_deg"])
    Client.objects.filter(pk=client_id).update(
        name=f"Forgotten client {client_id}",
        email="",
        phone="",
        address="",
        postcode="",
        notes="",
        may_be_asked_for_review=False,
    )


def _delete_later(storage: Storage, names: list[str]) -> None:
    def delete() -> None:
        for name in names:
            storage.delete(name)

    transaction.on_commit(delete)


def _empty_notes(model: type[models.Model], client_id: int) -> None:
    blank: dict[str, Any] = {}
    for field in model._meta.fields:
        if isinstance(field, models.BinaryField):
            blank[field.name] = b""
        elif type(field) is models.TextField or _is_of_people(field):
            blank[field.name] = "" if not field.null else None
    if blank:
        rows_of(model, client_id).update(**blank)


def _is_of_people(field: models.Field[Any, Any]) -> bool:
    if not isinstance(field, models.CharField) or field.choices or field.unique or field.name in KEPT_PEOPLE:
        return False
    return bool(PEOPLE.search(field.name)) or isinstance(field, (models.EmailField, PhoneNumberField))


def _replace_words(model: type[models.Model], client_id: int, pattern: re.Pattern[str]) -> None:
    fields = {
        field.name: field
        for field in model._meta.fields
        if (type(field) is models.CharField and not field.choices) or isinstance(field, models.JSONField)
    }
    if not fields:
        return
    for row in rows_of(model, client_id).values("pk", *fields):
        changed = {}
        for name, field in fields.items():
            wiped = _wiped(row[name], pattern, getattr(field, "max_length", None))
            if wiped != row[name]:
                changed[name] = wiped
        if changed:
            _keep_changed(model, row["pk"], changed, fields)


def _keep_changed(
    model: type[models.Model], key: Any, changed: dict[str, Any], fields: Mapping[str, models.Field[Any, Any]]
) -> None:
    """Two names may have become one where only one may stand: the second then gets its row's number."""
    rows = model._default_manager.filter(pk=key)
    try:
        with transaction.atomic():
            rows.update(**changed)
    except IntegrityError:
        ending = f" {key}"
        for name, value in changed.items():
            longest = getattr(fields[name], "max_length", None)
            if isinstance(value, str) and longest:
                changed[name] = value[: longest - len(ending)] + ending
        rows.update(**changed)


def _wiped(value: Any, pattern: re.Pattern[str], longest: int | None) -> Any:
    if isinstance(value, str):
        return pattern.sub(GONE, value)[:longest]
    if isinstance(value, list):
        return [_wiped(one, pattern, None) for one in value]
    if isinstance(value, dict):
        return {key: _wiped(one, pattern, None) for key, one in value.items()}
    return value
