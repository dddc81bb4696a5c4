"""Everything kept about one client, as a ZIP: one JSON file in plain words, and every file and mail beside it.

No code, no key and no token is in it: sealed columns, hashes of links and the like are left out by kind or name.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from typing import IO, Any

from django.db import models

from jobs.models import AccessCode, Client, DaybookLine, Message, Person
from jobs.outbox import outbox_path
from jobs.queries.client_rows import client_models, rows_of
from jobs.secrets.field import SealedField

SECRET = re.compile(r"(token|_hash$|^digest$|lease|message_id|organiser)")
READ_ME = """What {workshop} keeps about {client}
Made on {day}.

everything.json  every line of every table that leads to this client, under the name of the table
files/           photographs, drawings and handover packs, as they are kept
mails/           letters that were written to a file because no mail server was set

Codes for doors and alarms are never in here. everything.json says which codes are kept, not what they are; they are
deleted seven days after the job ends.
"""


def write_export(client: Client, out: IO[bytes], *, workshop_name: str, now: dt.datetime) -> None:
    """Write the ZIP to `out`. Files that are missing are named in everything.json under "missing files"."""
    tables: dict[str, list[dict[str, Any]]] = {}
    missing: list[str] = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for model in client_models():
            rows = list(rows_of(model, client.pk))
            if rows:
                tables[str(model._meta.verbose_name_plural)] = [told(row) for row in rows]
            for row in rows:
                for name, data in _files_of(row, missing):
                    archive.writestr(name, data)
        tables["daybook lines about the client"] = [
            told(line) for line in DaybookLine.objects.filter(commission=None, facts__client=client.pk)
        ]
        for message in Message.objects.filter(commission__client=client):
            path = outbox_path(message.message_id)
            if path.exists():
                archive.write(path, f"mails/{path.name}")
        everything = {"made at": now.isoformat(), "tables": tables, "missing files": missing}
        archive.writestr("everything.json", json.dumps(everything, indent=2, ensure_ascii=False, default=_plain))
        archive.writestr("read me.txt", READ_ME.format(workshop=workshop_name, client=client, day=f"{now:%d %B %Y}"))


def told(row: models.Model) -> dict[str, Any]:
    """A row as labels and values; people of the workshop by name, what is secret not at all."""
    words: dict[str, Any] = {"number": row.pk}
    for field in row._meta.fields:
        if field.primary_key or isinstance(field, (SealedField, models.BinaryField)) or SECRET.search(field.name):
            continue
        label = str(field.verbose_name)
        value = getattr(row, field.attname)
        if isinstance(field, models.FileField):
            value = value.name
        elif isinstance(field, models.ForeignKey) and field.related_model is Person:
            person = getattr(row, field.name)
            value = person.name if person else None
        elif field.choices and value not in (None, ""):
            value = getattr(row, f"get_{field.name}_display")()
        words[label if label not in words else field.name] = value
    if isinstance(row, AccessCode):
        words["code"] = "kept sealed, and not in this file"
    return words


def _files_of(row: models.Model, missing: list[str]) -> Iterator[tuple[str, bytes]]:
    kind = str(row._meta.model_name)
    for field in row._meta.fields:
        if isinstance(field, models.BinaryField) and getattr(row, field.name):
            yield f"files/{kind}/{row.pk}-{field.name}.bin", bytes(getattr(row, field.name))
        if not isinstance(field, models.FileField):
            continue
        file = getattr(row, field.name)
        if not file.name:
            continue
        try:
            with file.open("rb") as opened:
                yield f"files/{kind}/{row.pk}-{file.name.rsplit('/', 1)[-1]}", opened.read()
        except FileNotFoundError:
            missing.append(file.name)


def _plain(value: Any) -> Any:
    if isinstance(value, (dt.datetime, dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    return str(value)
