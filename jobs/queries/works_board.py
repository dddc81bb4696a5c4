"""What the sheets put on the job board: work late back, kit that is short, parking to apply for, snags overdue.

Nothing of money and no client's name: the wall shows it too. What is near enough to be said is decided by working
days of the nation, for work out by those of whoever has it, without anybody's closures, so that one query is enough:
the page of the consignment and the mail to the sprayer know the closures too.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any

from django.db.models import CharField, DateField, DateTimeField, F, IntegerField, Min, Q, QuerySet, Value
from django.db.models.functions import Cast
from django.http import HttpRequest

from jobs.models import Consignment, LoadItem, ParkingPlan, Snag, VisitKind, VisitState, Workshop
from jobs.queries.consignment_page import ask_on
from jobs.queries.kit_page import load_shown_from
from jobs.queries.parking_page import apply_by
from jobs.queries.words import say_day
from jobs.roles import may

SHOWN = 8
# Parking is said this many days before the last day to apply.
PARKING_DAYS_AHEAD = 3


@dataclass(frozen=True)
class WorksLine:
    day: dt.date
    number: int
    nickname: str
    words: str
    is_late: bool


def works_section(request: HttpRequest, now: dt.datetime) -> tuple[str, dict[str, Any]]:
    """One query."""
    workshop: Workshop = request.workshop  # type: ignore[attr-defined]
    lines = works_lines(workshop, now)
    return "jobs/board_works.html", {
        "works_lines": lines[:SHOWN],
        "works_more": max(0, len(lines) - SHOWN),
        "works_opens": may(request.user, "commission"),
    }


def works_lines(workshop: Workshop, now: dt.datetime) -> list[WorksLine]:
    out = Consignment.objects.filter(sent_at__isnull=False, back_at__isnull=True, promised_on__isnull=False)
    snags = Snag.objects.filter(done_at__isnull=True, due_on__lt=workshop.local_day(now))
    parking = ParkingPlan.objects.filter(applied_on__isnull=True, granted_on__isnull=True, day__gte=now.date())
    loads = Q(
        commission__visits__state=VisitState.ARRANGED,
        commission__visits__kind__in=[VisitKind.DELIVERY, VisitKind.FITTING],
        commission__visits__starts_at__gte=now,
    )
    short = LoadItem.objects.filter(in_hand__lt=F("needed")).annotate(
        load_at=Min("commission__visits__starts_at", filter=loads)
    )
    rows = _rows("out", out, "subcontractor__name", "promised_on", None, weekdays="subcontractor__weekdays").union(
        _rows("snag", snags, "place", "due_on", None),
        _rows("parking", parking, "rule__council", "day", "rule__notice_working_days"),
        _rows("short", short.filter(load_at__isnull=False), "words", None, None, at="load_at"),
        all=True,
    )
    lines = [line for row in rows if (line := _line(workshop, now, *row)) is not None]
    return sorted(lines, key=lambda line: (not line.is_late, line.day, line.number))


def _rows(
    what: str,
    rows: QuerySet,
    words: str,
    day: str | None,
    count: str | None,
    *,
    at: str | None = None,
    weekdays: str | None = None,
) -> QuerySet:
    return (
        rows.filter(commission__closed_on__isnull=True)
        .order_by()
        .values_list(
            Value(what, output_field=CharField()),
            Cast(words, CharField()),
            Cast(day, DateField()) if day else Value(None, output_field=DateField()),
            Cast(at, DateTimeField()) if at else Value(None, output_field=DateTimeField()),
            Cast(count, IntegerField()) if count else Value(0, output_field=IntegerField()),
            Cast("commission__number", IntegerField()),
            Cast("commission__nickname", CharField()),
            Cast(weekdays, CharField()) if weekdays else Value("", output_field=CharField()),
        )
    )


def _line(
    workshop: Workshop,
    now: dt.datetime,
    what: str,
    words: str,
    day: dt.date | None,
    at: dt.datetime | None,
    count: int,
    number: int,
    nickname: str,
    weekdays: str,
) -> WorksLine | None:
    today = workshop.local_day(now)
    on = day if at is None else workshop.local_day(at)
    assert on is not None  # every row has one or the other
    said = say_day(on, today)
    if what == "out":
        if on < today:
            return WorksLine(on, number, nickname, f"late from {words}, promised {said}", True)
        if ask_on(on, workshop, weekdays=json.loads(weekdays)) <= today:
            return WorksLine(on, number, nickname, f"ask {words}: promised {said}", False)
    elif what == "snag":
        return WorksLine(on, number, nickname, f"snag overdue since {said}: {words}", True)
    elif what == "parking":
        by = apply_by(on, count, workshop.nation)
        if by - dt.timedelta(days=PARKING_DAYS_AHEAD) <= today:
            return WorksLine(by, number, nickname, f"parking for {said}: apply by {say_day(by, today)}", by < today)
    elif load_shown_from(on, workshop) <= today:
        return WorksLine(on, number, nickname, f"short for loading on {said}: {words}", True)
    return None
