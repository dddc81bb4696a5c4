"""Clients and commissions from a CSV table: all or nothing, and first of all a dry run.

The dry run is the real thing rolled back, so it finds whatever the real thing would.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from phonenumber_field.phonenumber import to_python

from jobs.csv_in import Column, Complaint, Row, read_table, text_up_to
from jobs.domain.clients import add_client
from jobs.domain.commissions import PastStep, open_commission
from jobs.models import Client, Person, StepKind, Template, Workshop
from jobs.refusal import Refusal


@dataclass(frozen=True)
class Outcome:
    """`said` has a line for each row; with complaints, or in a dry run, nothing was kept."""

    said: list[str]
    complaints: list[Complaint]
    is_kept: bool


@dataclass(frozen=True)
class Keeper:
    """Columns in words for the screen, the columns themselves, and the act for one row, which returns its line."""

    explained: Sequence[tuple[str, str, str]]
    columns: Callable[[], list[Column]]
    keep: Callable[..., str]


def import_table(
    *, kind: str, data: bytes, dry_run: bool, workshop: Workshop, now: dt.datetime, actor: Person
) -> Outcome:
    """`kind` is a key of KEEPERS."""
    keeper = KEEPERS[kind]
    table = read_table(data, keeper.columns())
    if not table.is_good:
        return Outcome([], table.complaints, is_kept=False)
    said: list[str] = []
    complaints: list[Complaint] = []
    with transaction.atomic():
        for row in table.rows:
            try:
                with transaction.atomic():
                    said.append(keeper.keep(row, workshop=workshop, now=now, actor=actor))
            except Refusal as refusal:
                complaints.append(Complaint(row.line, refusal.sentence))
        if complaints or dry_run:
            transaction.set_rollback(True)
    return Outcome([] if complaints else said, complaints, is_kept=not complaints and not dry_run)


def _email(text: str) -> str:
    try:
        validate_email(text)
    except ValidationError as fault:
        raise ValueError(f"“{text}” is no e-mail address.") from fault
    return text


def _phone(text: str) -> str:
    number = to_python(text)
    if number is None or not number.is_valid():
        raise ValueError(f"“{text}” is no telephone number; write it as 020 7946 0123 or +44 20 7946 0123.")
    return str(number.as_e164)


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as fault:
        raise ValueError(f"“{text}” is no day of the calendar; write it as 2027-03-31.") from fault


def _degrees(most: int) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError as fault:
            raise ValueError(f"“{text}” is no number of degrees; write it as 52.48.") from fault
        if not -most <= value <= most:
            raise ValueError(f"{text} lies outside -{most} to {most} degrees.")
        return value

    return read


CLIENT_COLUMNS = (
    ("name", "needed", "Priscilla Quennell"),
    ("email", "for invites and the handover pack", "quennell@example.org"),
    ("phone", "", "020 7946 0123"),
    ("address", "", "7 Tannery Lane, Fieldgate"),
    ("postcode", "", ""),
    ("notes", "never a key or alarm code", ""),
)


def client_columns() -> list[Column]:
    return [
        Column("name", text_up_to(120), required=True),
        Column("email", _email),
        Column("phone", _phone, signs=True),
        Column("address", text_up_to(500)),
        Column("postcode", text_up_to(12)),
        Column("notes", text_up_to(1000)),
    ]


def keep_client(row: Row, *, workshop: Workshop, now: dt.datetime, actor: Person) -> str:
    same = Client.objects.filter(name__iexact=row.values["name"], email__iexact=row.values["email"])
    if same.exists():
        raise Refusal("name", f"name: {row.values['name']} is among the clients already, with the same e-mail.")
    client = add_client(now=now, actor=actor, **row.values)
    return f"{client.name}{', ' + client.email if client.email else ', without e-mail'}"


COMMISSION_COLUMNS = (
    ("client", "the client’s name, as it stands among the clients; needed", "Priscilla Quennell"),
    ("nickname", "what the wall says, no person’s name; needed", "Tannery"),
    ("what", "what it is; needed", "boot room"),
    ("opened_on", "needed", "2027-01-04"),
    ("maker", "blank: whoever brings the table in", ""),
    ("site_address", "where it is not the client’s", ""),
    ("latitude", "degrees, both or neither", "52.48"),
    ("longitude", "degrees", "-1.9"),
    ("template", "name of the steps to start from; blank: the first", ""),
    ("finished_steps", "what lies behind it, each with its day", "Survey 2027-01-05; Drawing 2027-01-20"),
)


def commission_columns() -> list[Column]:
    return [
        Column("client", required=True),
        Column("nickname", text_up_to(30), required=True),
        Column("what", text_up_to(120), required=True),
        Column("opened_on", _day, required=True),
        Column("maker"),
        Column("site_address", text_up_to(500)),
        Column("latitude", _degrees(90), default=None, signs=True),
        Column("longitude", _degrees(180), default=None, signs=True),
        Column("template"),
        Column("finished_steps", _finished_steps, default={}),
    ]


def _finished_steps(text: str) -> dict[str, dt.date]:
    kinds = {str(kind.label).lower(): kind.value for kind in StepKind}
    found: dict[str, dt.date] = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        label, _, day = part.rpartition(" ")
        kind = kinds.get(label.strip().lower())
        if kind is None:
            raise ValueError(f"“{label or part}” is no step; the steps are: {', '.join(kinds)}.")
        if kind == StepKind.HANDOVER or kind == StepKind.RETURN_VISIT:
            raise ValueError("a handover is recorded on the commission's own page, with its return visit.")
        found[kind] = _day(day)
    return found


def _one(rows: Any, name: str, words: str) -> Any:
    found = list(rows.filter(name__iexact=name)[:2])
    if len(found) == 1:
        return found[0]
    reason = "there is none of that name" if not found else "there are several of that name"
    raise Refusal(words, f"{words}: “{name}”: {reason}.")


def keep_commission(row: Row, *, workshop: Workshop, now: dt.datetime, actor: Person) -> str:
    values = row.values
    template = _one(Template.objects, values["template"], "template") if values["template"] else None
    template = template or Template.objects.order_by("pk").first()
    if template is None:
        raise Refusal("template", "template: there are no steps to start from; start the program once to make them.")
    unknown = set(values["finished_steps"]) - set(template.steps.values_list("kind", flat=True))
    if unknown:
        names = ", ".join(sorted(str(StepKind(kind).label) for kind in unknown))
        raise Refusal("finished_steps", f"finished_steps: “{template}” has no such steps: {names}.")
    past = {
        kind: PastStep(
            started_at=dt.datetime.combine(day, workshop.day_starts, workshop.tz),
            finished_at=dt.datetime.combine(day, workshop.day_ends, workshop.tz),
        )
        for kind, day in values["finished_steps"].items()
    }
    commission = open_commission(
        client=_one(Client.objects, values["client"], "client"),
        nickname=values["nickname"],
        what=values["what"],
        maker=_one(Person.objects.filter(is_active=True), values["maker"], "maker") if values["maker"] else actor,
        template=template,
        opened_on=values["opened_on"],
        site_address=values["site_address"],
        latitude_deg=values["latitude"],
        longitude_deg=values["longitude"],
        past=past,
        now=now,
        actor=actor,
    )
    behind = f", {len(past)} steps behind it" if past else ""
    return f"{commission.number} {commission.nickname}, {commission.what} for {commission.client}{behind}"


KEEPERS = {
    "clients": Keeper(CLIENT_COLUMNS, client_columns, keep_client),
    "commissions": Keeper(COMMISSION_COLUMNS, commission_columns, keep_commission),
}
