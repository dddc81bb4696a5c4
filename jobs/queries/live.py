"""Everything the board and the plan read, in six queries whatever the number of commissions."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from django.db.models import CharField, DateField, IntegerField, Q, QuerySet, TextField, Value
from django.db.models.functions import Cast, Concat, JSONObject

from jobs.models import (
    Absence,
    AccessArrangement,
    ClientAway,
    Closure,
    Commission,
    HelperDay,
    Person,
    PlanState,
    PlanVersion,
    Role,
    Step,
    StepKind,
    StepLink,
    SubcontractorClosure,
    VanDay,
    Visit,
    VisitState,
    Workshop,
)

MAKER, VERSION = "maker", "version"
# Work that began longer ago than this is drawn and counted as if it had begun then.
LOOK_BACK = dt.timedelta(days=200)
# Doors left at the sprayer are there; a drawing sent waits for its answer. An order has to be placed by somebody.
BEGIN_BY_THEMSELVES = (StepKind.SPRAYER_BACK, StepKind.APPROVAL, StepKind.DEPOSIT)


@dataclass(frozen=True)
class DaySpan:
    """Days, both ends included, of which something is true; `owner_id` is the person or client, 0 for the workshop.

    `what` is one of closure, absence, client_away, helper, van, van_gone, sub_closed (owner: the subcontractor).
    """

    what: str
    owner_id: int
    first: dt.date
    last: dt.date


class LinkRow(NamedTuple):
    """A StepLink without the cost of a model row: there are a score of them a commission."""

    before_id: int
    after_id: int
    least_wait_days: int
    greatest_wait_days: int | None


class MakerRow(NamedTuple):
    """Somebody who makes, with the skills they are kept to; none named means all of them."""

    pk: int
    name: str
    skills: list[str]


class VersionRow(NamedTuple):
    """What is needed of a PlanVersion to show it; the columns are described there."""

    pk: int
    input_hash: str
    places: dict[str, list[Any]]
    refused: list[list[Any]]


@dataclass(frozen=True)
class LiveRecord:
    """The commissions that are not closed, with all that hangs on them, at one instant."""

    workshop: Workshop
    now: dt.datetime
    commissions: tuple[Commission, ...]
    steps: dict[int, tuple[Step, ...]]
    links: tuple[LinkRow, ...]
    visits: dict[int, tuple[Visit, ...]]
    access: dict[int, AccessArrangement]
    """By commission: its own arrangement."""
    visit_access: dict[int, AccessArrangement]
    """By visit, which then wins."""
    days: tuple[DaySpan, ...]
    makers: tuple[MakerRow, ...] = ()
    version: VersionRow | None = None
    """The plan in force, which may have been made for a record that has changed since."""

    @cached_property
    def today(self) -> dt.date:
        return self.workshop.local_day(self.now)

    @cached_property
    def _steps_before(self) -> dict[int, list[Step]]:
        by_pk = {step.pk: step for steps in self.steps.values() for step in steps}
        found: dict[int, list[Step]] = defaultdict(list)
        for link in self.links:
            if link.before_id in by_pk:
                found[link.after_id].append(by_pk[link.before_id])
        return found

    def began_at(self, step: Step) -> dt.datetime | None:
        """When a step began. Waiting for somebody else begins by itself once what it waits upon has left us."""
        if step.started_at is not None or step.kind not in BEGIN_BY_THEMSELVES or step.lead_days == 0:
            return step.started_at
        ends = [before.finished_at for before in self._steps_before[step.pk]]
        return max((end for end in ends if end), default=None) if all(ends) else None

    def is_ready(self, step: Step) -> bool:
        """Whether nothing that has to come before an open step is still open."""
        return step.finished_at is None and all(before.finished_at for before in self._steps_before[step.pk])

    def spans(self, what: str, owner_id: int | None = None) -> tuple[DaySpan, ...]:
        return tuple(span for span in self.days if span.what == what and owner_id in (None, span.owner_id))


def load_live(workshop: Workshop, now: dt.datetime) -> LiveRecord:
    """Six queries."""
    live = Q(commission__closed_on__isnull=True)
    steps: dict[int, list[Step]] = defaultdict(list)
    for step in Step.objects.filter(live).select_related("subcontractor"):
        steps[step.commission_id].append(step)
    visits: dict[int, list[Visit]] = defaultdict(list)
    for visit in Visit.objects.filter(live, state__in=[VisitState.ARRANGED, VisitState.TO_ARRANGE]):
        visits[visit.commission_id].append(visit)
    access = list(AccessArrangement.objects.filter(live).only("commission", "visit", "slot_starts", "slot_ends"))
    days, makers, version = load_days(since=workshop.local_day(now) - LOOK_BACK)
    return LiveRecord(
        workshop=workshop,
        now=now,
        commissions=tuple(Commission.objects.filter(closed_on__isnull=True)),
        steps={key: tuple(found) for key, found in steps.items()},
        links=tuple(
            LinkRow(*row)
            for row in StepLink.objects.filter(before__commission__closed_on__isnull=True).values_list(
                *LinkRow._fields
            )
        ),
        visits={key: tuple(found) for key, found in visits.items()},
        access={one.commission_id: one for one in access if one.visit_id is None},
        visit_access={one.visit_id: one for one in access if one.visit_id is not None},
        days=days,
        makers=makers,
        version=version,
    )


def load_days(since: dt.date) -> tuple[tuple[DaySpan, ...], tuple[MakerRow, ...], VersionRow | None]:
    """In one UNION query: every kind of day that has not ended before `since`, everybody who makes, and the plan in
    force."""
    ranges: list[tuple[str, QuerySet, str]] = [
        ("absence", Absence.objects.all(), "person_id"),
        (
            "client_away",
            ClientAway.objects.filter(client__commissions__closed_on__isnull=True).distinct(),
            "client_id",
        ),
        ("helper", HelperDay.objects.all(), "person_id"),
        ("van", VanDay.objects.filter(available=True), ""),
        ("van_gone", VanDay.objects.filter(available=False), ""),
        ("sub_closed", SubcontractorClosure.objects.all(), "subcontractor_id"),
    ]
    first = _as_rows("closure", Closure.objects.all(), "", since)
    others = [*(_as_rows(*one, since) for one in ranges), _maker_rows(since), _version_rows(since)]
    rows = list(first.union(*others, all=True))
    days = tuple(DaySpan(*row[:4]) for row in rows if row[0] not in (MAKER, VERSION))
    # The skills come first, as a JSON list, which holds no bar; a name may.
    split = sorted((pk, *words.split("|", 1)) for what, pk, _, _, words in rows if what == MAKER)
    makers = tuple(MakerRow(pk, name, json.loads(skills)) for pk, skills, name in split)
    versions = [_version(pk, json.loads(words)) for what, pk, _, _, words in rows if what == VERSION]
    return days, makers, versions[0] if versions else None


def _version(pk: int, found: dict[str, Any]) -> VersionRow:
    """A JSON column within JSON is text with SQLite and an object with PostgreSQL."""
    places, refused = (
        json.loads(value) if isinstance(value, str) else value for value in (found["places"], found["refused"])
    )
    return VersionRow(pk, found["input_hash"], places, refused)


def _as_rows(what: str, rows: QuerySet, owner: str, since: dt.date) -> QuerySet:
    one_day = not hasattr(rows.model, "first_day")
    names = ("day", "day") if one_day else ("first_day", "last_day")
    return (
        rows.filter(**{f"{names[1]}__gte": since})
        .order_by()
        .values_list(
            Value(what, output_field=CharField()),
            Cast(owner, IntegerField()) if owner else Value(0, output_field=IntegerField()),
            Cast(names[0], DateField()),
            Cast(names[1], DateField()),
            Value("", output_field=TextField()),
        )
    )


def _maker_rows(since: dt.date) -> QuerySet:
    """People beside the days, so that they cost no query of their own."""
    words = Concat(Cast("skills", TextField()), Value("|"), "name", output_field=TextField())
    return _no_days(MAKER, Person.objects.filter(role=Role.MAKER, is_active=True), words, since)


def _version_rows(since: dt.date) -> QuerySet:
    found = JSONObject(input_hash="input_hash", places="places", refused="refused")
    return _no_days(VERSION, PlanVersion.objects.filter(state=PlanState.CURRENT), Cast(found, TextField()), since)


def _no_days(what: str, rows: QuerySet, words: Any, since: dt.date) -> QuerySet:
    return rows.order_by().values_list(
        Value(what, output_field=CharField()),
        Cast("pk", IntegerField()),
        Cast(Value(since), DateField()),
        Cast(Value(since), DateField()),
        words,
    )
