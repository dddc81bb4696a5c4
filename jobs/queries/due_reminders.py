"""The reminders that the visits of the record ask for. Three queries, whatever the size of the record.

Days before and hours of the day are common practice of our own, no source.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from jobs.models import AccessArrangement, Declaration, SendPolicy, Visit, VisitKind, VisitState, Workshop
from jobs.registries import DueReminder
from jobs.wall_clock import at_wall_time

MORNING = dt.time(9, 0)
HORIZON = dt.timedelta(days=15)
# Visits nearer together than this are one stay: only its first day is announced. It spans a weekend.
ONE_STAY = dt.timedelta(days=4)
ANSWER_COUNTS_FOR = dt.timedelta(days=14)
TO_SITE = (VisitKind.DELIVERY, VisitKind.FITTING)


@dataclass(frozen=True)
class VisitRule:
    """When a kind of visit is announced: `days` before it, until `lapses_days` before it (0: until it starts)."""

    kind: str
    of: tuple[str, ...]
    days: int
    lapses_days: int = 0
    to_opener: bool = False
    first_of_stay: bool = False
    policy: str = SendPolicy.AT_LEAST_ONCE


RULES = (
    VisitRule("survey_confirmation", (VisitKind.SURVEY,), 2),
    VisitRule("nothing_changed_fitting", (VisitKind.FITTING,), 14, 7, first_of_stay=True),
    VisitRule("access_confirmation", TO_SITE, 7, 2, True, True, SendPolicy.AT_MOST_ONCE),
    VisitRule("access_confirmation", TO_SITE, 2, 0, True, True, SendPolicy.AT_MOST_ONCE),
    VisitRule("fitting_confirmation", (VisitKind.FITTING,), 4, first_of_stay=True),
    VisitRule("return_reminder", (VisitKind.RETURN,), 7, 1),
    VisitRule("return_reminder", (VisitKind.RETURN,), 1),
)


def visit_reminders(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    visits = list(
        Visit.objects.filter(
            state__in=[VisitState.ARRANGED, VisitState.DONE],
            starts_at__gt=now - ONE_STAY,
            starts_at__lt=now + HORIZON,
        )
        .select_related("commission__client")
        .order_by("starts_at", "pk")
    )
    commissions = {visit.commission_id for visit in visits}
    access = access_of(commissions)
    answered = _answered(commissions, now)
    stays: dict[int, list[Visit]] = defaultdict(list)
    for visit in visits:
        stays[visit.commission_id].append(visit)
    for visit in visits:
        if visit.state != VisitState.ARRANGED or visit.starts_at is None or visit.starts_at <= now:
            continue
        for rule in RULES:
            if visit.kind in rule.of and not (
                rule.first_of_stay and _goes_on(visit, stays[visit.commission_id], rule.of)
            ):
                reminder = _reminder(visit, rule, workshop, access)
                if not _is_told_already(reminder, rule, visit, answered):
                    yield reminder


def access_of(commission_ids: set[int]) -> dict[tuple[int, int | None], AccessArrangement]:
    """Access by commission and visit; the visit is None for what holds for the whole commission. One query."""
    found = AccessArrangement.objects.filter(commission__in=commission_ids)
    return {(one.commission_id, one.visit_id): one for one in found}


def opener_of(visit: Visit, access: dict[tuple[int, int | None], AccessArrangement]) -> AccessArrangement | None:
    """Who lets us in at this visit: its own arrangement, else that of the commission."""
    return access.get((visit.commission_id, visit.pk)) or access.get((visit.commission_id, None))


def recipient(visit: Visit, opener: AccessArrangement | None) -> tuple[str, str]:
    """Name and address of whoever opens; of the client where nobody is named, or where it is the client."""
    client = visit.commission.client
    if opener is None or (opener.opener_name.strip().casefold() == client.name.strip().casefold()):
        return client.name, (opener.opener_email if opener else "") or client.email
    return opener.opener_name, opener.opener_email


def mark_of(address: str) -> str:
    """Part of a key: whoever it goes to, so that another opener is told afresh. Not the address itself."""
    return hashlib.sha256(address.casefold().encode()).hexdigest()[:12]


def _reminder(
    visit: Visit, rule: VisitRule, workshop: Workshop, access: dict[tuple[int, int | None], AccessArrangement]
) -> DueReminder:
    assert visit.starts_at is not None
    day = workshop.local_day(visit.starts_at)
    name, address = visit.commission.client.name, visit.commission.client.email
    if rule.to_opener:
        name, address = recipient(visit, opener_of(visit, access))
    lapses_at = visit.starts_at
    if rule.lapses_days:
        lapses_at = at_wall_time(day - dt.timedelta(days=rule.lapses_days), MORNING, workshop.tz)
    return DueReminder(
        key=f"{rule.kind}:{visit.pk}:{visit.sequence}:{rule.days}:{mark_of(address or name)}",
        kind=rule.kind,
        due_at=at_wall_time(day - dt.timedelta(days=rule.days), MORNING, workshop.tz),
        lapses_at=lapses_at,
        to_name=name,
        to_email=address,
        commission_id=visit.commission_id,
        visit_id=visit.pk,
        visit_sequence=visit.sequence,
        policy=rule.policy,
        facts={"days": rule.days},
    )


def _goes_on(visit: Visit, of_commission: list[Visit], kinds: tuple[str, ...]) -> bool:
    """Whether a visit of the same stay comes before this one."""
    assert visit.starts_at is not None
    return any(
        other.kind in kinds
        and other.pk != visit.pk
        and other.starts_at is not None
        and visit.starts_at - ONE_STAY <= other.starts_at < visit.starts_at
        for other in of_commission
    )


def _is_told_already(reminder: DueReminder, rule: VisitRule, visit: Visit, answered: dict[int, dt.datetime]) -> bool:
    if rule.to_opener:
        return False
    if rule.kind == "nothing_changed_fitting":
        said_at = answered.get(visit.commission_id)
        return said_at is not None and said_at > reminder.due_at - ANSWER_COUNTS_FOR
    # The invite of this version went out after the reminder was due: the client has just been told.
    return visit.changed_at >= reminder.due_at


def _answered(commission_ids: set[int], now: dt.datetime) -> dict[int, dt.datetime]:
    """When each client last declared whether something has changed."""
    since = now - HORIZON - 2 * ANSWER_COUNTS_FOR
    found: dict[int, dt.datetime] = defaultdict(lambda: since)
    for key, at in Declaration.objects.filter(commission__in=commission_ids, declared_at__gte=since).values_list(
        "commission", "declared_at"
    ):
        found[key] = max(found[key], at)
    return dict(found)
