"""The reports of the jobs app: hours, promises, turnaround, money. Each a fixed number of queries."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from statistics import median
from typing import Any

from jobs.models import EVENT_STEPS, Commission, StagePayment, Step, StepKind, Subcontractor, Workshop
from jobs.queries.hours_page import all_hours_page
from jobs.queries.turnaround import turnarounds
from jobs.registries import reports
from jobs.reports import BarRow, Report, hours, pounds
from jobs.roles import may
from jobs.words import money_in_words

MONEY_JOBS = 30


def reports_for(workshop: Workshop, now: dt.datetime, person: Any) -> list[Report]:
    """Those that the person may read, in order."""
    return [source.make(workshop, now) for source in reports.all() if may(person, source.asks)]


def hours_report(workshop: Workshop, now: dt.datetime) -> Report:
    """Hours against allowance by kind of step, from the latest jobs. Seven queries."""
    page = all_hours_page()
    rows, bars = [], []
    for figure, label, past in page["rows"]:
        allowed, took = hours(figure.allowance_minutes), hours(figure.actual_minutes)
        share = round(100 * figure.actual_minutes / figure.allowance_minutes) if figure.allowance_minutes else None
        rows.append((label, past.jobs, allowed, took, share, hours(past.median_minutes)))
        words = f"{took} h of {allowed} h" if figure.allowance_minutes else f"{took} h, never priced"
        bars.append(BarRow(label, (figure.allowance_minutes or None, figure.actual_minutes), words))
    return Report(
        "hours",
        "Hours against allowance",
        page["jobs"],
        f"From {_count(page['jobs'], 'job', 'jobs')}: kinds of step that are finished and have hours.",
        ("Kind of step", "Jobs behind it", "Allowed, h", "Took, h", "Took, % of allowed", "Median a job, h"),
        tuple(rows),
        ("Allowed", "Took"),
        tuple(bars),
        "No step with hours is finished yet. Hours come from timers, or are told when a step is done.",
    )


def promises_report(workshop: Workshop, now: dt.datetime) -> Report:
    """Dates told to the client, by kind of step: kept is finished on the day or before. One query."""
    late_days: dict[str, list[int]] = defaultdict(list)
    today, overdue = workshop.local_day(now), 0
    promised = Step.objects.filter(promised_on__isnull=False).values_list("kind", "promised_on", "finished_at")
    for kind, day, finished_at in promised.order_by():
        assert day is not None  # as the query has it
        if finished_at is not None:
            late_days[kind].append(max(0, (workshop.local_day(finished_at) - day).days))
        elif day < today:
            overdue += 1
    rows, bars = [], []
    for kind in StepKind:
        days = late_days.get(kind.value)
        if not days:
            continue
        late = [one for one in days if one]
        kept, share = len(days) - len(late), round(100 * (len(days) - len(late)) / len(days))
        rows.append(
            (kind.label, len(days), kept, share, math.ceil(median(late)) if late else None, max(late, default=None))
        )
        bars.append(BarRow(str(kind.label), (len(days), kept), f"{kept} of {len(days)} kept, {share} %"))
    told = sum(len(days) for days in late_days.values())
    still = f" {_count(overdue, 'promise is', 'promises are')} past and not done yet." if overdue else ""
    return Report(
        "promises",
        "Promises kept",
        told,
        f"{_count(told, 'promised date', 'promised dates')} of steps that are done.{still}",
        ("Promised", "Promises", "Kept", "Kept, %", "Late ones: median days", "Worst, days"),
        tuple(rows),
        ("Promised", "Kept"),
        tuple(bars),
        "No promised step is done yet. A promise is the date told to the client, noted with a step.",
    )


def turnaround_report(workshop: Workshop, now: dt.datetime) -> Report:
    """What each subcontractor states and what they took, in their own working days. Three queries."""
    found = turnarounds(workshop)
    rows, bars = [], []
    for one in Subcontractor.objects.filter(pk__in=found):
        took = found[one.pk]
        rows.append((one.name, took.count, one.turnaround_days, took.median_days, took.worst_days))
        words = f"median {took.median_days}, worst {took.worst_days}, states {one.turnaround_days}"
        bars.append(BarRow(one.name, (one.turnaround_days, took.median_days, took.worst_days), words))
    count = sum(took.count for took in found.values())
    return Report(
        "turnaround",
        "Turnaround of each sprayer",
        count,
        f"{_count(count, 'consignment', 'consignments')} back, re-dos left out; in their own working days, neither "
        "the day it went nor the day it came back counted.",
        ("Subcontractor", "Times back", "They state, days", "Median, days", "Worst, days"),
        tuple(rows),
        ("They state", "Median", "Worst"),
        tuple(bars),
        "No consignment has come back yet.",
    )


def money_report(workshop: Workshop, now: dt.datetime) -> Report:
    """Stage payments of the latest commissions: agreed, in, and due but not in. Four queries."""
    latest = list(Commission.objects.filter(stage_payments__isnull=False).distinct().order_by("-number")[:MONEY_JOBS])
    done: dict[int, set[str]] = defaultdict(set)
    events = Step.objects.filter(commission__in=latest, kind__in=set(EVENT_STEPS.values()), finished_at__isnull=False)
    for key, kind in events.order_by().values_list("commission", "kind"):
        done[key].add(kind)
    payments: dict[int, list[StagePayment]] = defaultdict(list)
    for payment in StagePayment.objects.filter(commission__in=latest).prefetch_related("receipts"):
        payments[payment.commission_id].append(payment)
    today = workshop.local_day(now)
    rows, bars = [], []
    for one in latest:
        agreed, received, due = _money(payments[one.pk], done[one.pk], today)
        rows.append((str(one), len(payments[one.pk]), pounds(agreed), pounds(received), pounds(due)))
        words = f"{money_in_words(received)} of {money_in_words(agreed)}"
        bars.append(BarRow(str(one), (agreed, received), words + (f", {money_in_words(due)} due" if due else "")))
    return Report(
        "money",
        "Money",
        len(latest),
        f"Stage payments of {_count(len(latest), 'commission', 'commissions')}, the newest first. Due is what its "
        "day or its event has made due and is not in.",
        ("Commission", "Stage payments", "Agreed, £", "Received, £", "Due and not in, £"),
        tuple(rows),
        ("Agreed", "Received"),
        tuple(bars),
        "No stage payments are agreed yet. They are noted on the Stage payments sheet of a commission.",
    )


def _money(payments: list[StagePayment], done: set[str], today: dt.date) -> tuple[int, int, int]:
    """Agreed, received, due and not in; pence."""
    agreed = received = due = 0
    for payment in payments:
        came = sum(one.amount_pence for one in payment.receipts.all())
        is_due = EVENT_STEPS.get(payment.event) in done or (payment.due_on is not None and payment.due_on <= today)
        agreed, received = agreed + payment.amount_pence, received + came
        due += max(0, payment.amount_pence - came) if is_due else 0
    return agreed, received, due


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
