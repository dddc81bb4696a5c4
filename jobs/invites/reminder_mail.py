"""The reminders in words. Each is written when it goes, from the record as it then stands."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.mail import EmailMultiAlternatives

from jobs.domain.reminders import is_overtaken
from jobs.invites.visit_mail import letter, visit_mail
from jobs.models import Consignment, Message, ParkingPlan, Step, Subcontractor, Visit, VisitState, Workshop
from jobs.queries.cutting_gate import CUTTING
from jobs.queries.due_reminders import ONE_STAY, TO_SITE, access_of, opener_of, recipient
from jobs.words import day_in_words, joined, short_day, time_in_words


def compose_visit_reminder(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """A reminder of a visit to the client; its template has the name of its kind."""
    visit = message.visit
    if visit is None or not still_stands(message, now) or not is_for(message, visit.commission.client.email):
        return None
    return visit_mail(message.kind, message, workshop, now, stay=stay_in_words(visit, workshop))


def compose_access(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """To whoever opens: when, who comes, and that they are needed. Never a code, a key's place or a full address."""
    visit = message.visit
    if visit is None or not still_stands(message, now):
        return None
    opener = opener_of(visit, access_of({visit.commission_id}))
    name, address = recipient(visit, opener)
    if not is_for(message, address) or message.to_name != name:
        return None
    context: dict[str, Any] = {"opener": opener, "stay": stay_in_words(visit, workshop)}
    context["is_client"] = name == visit.commission.client.name
    if opener is not None:
        context |= {"opens": time_in_words(opener.slot_starts), "shuts": time_in_words(opener.slot_ends)}
    return visit_mail("access_confirmation", message, workshop, now, **context)


def compose_before_cutting(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    commission = message.commission
    if commission is None or not still_stands(message, now) or not is_for(message, commission.client.email):
        return None
    if commission.steps.filter(kind__in=CUTTING, started_at__isnull=False).exists():
        return None
    return letter(message.kind, message, workshop, now, _about(message, workshop))


def compose_sprayer_chase(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """To the sprayer: is the day still right. Nothing of the client is in it."""
    sprayer = _sprayer(message)
    if sprayer is None or not still_stands(message, now) or not is_for(message, sprayer.email):
        return None
    return letter(message.kind, message, workshop, now, _about(message, workshop))


def _sprayer(message: Message) -> Subcontractor | None:
    """Who has the doors; None where they are back, or are promised for another day by now."""
    if "consignment" in message.payload:
        away = Consignment.objects.filter(
            pk=message.payload["consignment"], back_at__isnull=True, promised_on=message.payload["day"]
        ).select_related("subcontractor")
        return next((one.subcontractor for one in away), None)
    steps = Step.objects.filter(pk=message.payload["step"], finished_at__isnull=True).select_related("subcontractor")
    return next((step.subcontractor for step in steps), None)


def compose_parking(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """To ourselves: apply for the place to park. None where it has been applied for."""
    plan = (
        ParkingPlan.objects.filter(pk=message.payload["parking"], applied_on__isnull=True, granted_on__isnull=True)
        .select_related("rule")
        .first()
    )
    if plan is None or not still_stands(message, now):
        return None
    context = _about(message, workshop) | {"plan": plan, "wanted": day_in_words(plan.day)}
    return letter(message.kind, message, workshop, now, context)


def still_stands(message: Message, now: dt.datetime) -> bool:
    """Whether the reminder's time has not gone by, and its visit is still the one it spoke of."""
    visit = message.visit
    return not is_overtaken(message.payload, visit.sequence if visit else None, visit.state if visit else None, now)


def is_for(message: Message, address: str) -> bool:
    """Whether it still goes to the right address; for a changed one the planner queues a reminder of its own."""
    return message.to_email.casefold() == address.casefold()


def stay_in_words(visit: Visit, workshop: Workshop) -> str:
    """The further days of the same stay: "Friday 19 March 2027 and Monday 22 March 2027". One query."""
    if visit.kind not in TO_SITE or visit.starts_at is None:
        return ""
    first = workshop.local_day(visit.starts_at)
    days: list[dt.date] = [first]
    later = Visit.objects.filter(
        commission=visit.commission_id, kind__in=TO_SITE, state=VisitState.ARRANGED, starts_at__gt=visit.starts_at
    ).order_by("starts_at")
    for starts_at in later.values_list("starts_at", flat=True)[:30]:
        assert starts_at is not None
        day = workshop.local_day(starts_at)
        if day - days[-1] > ONE_STAY:
            break
        if day != days[-1]:
            days.append(day)
    return joined([day_in_words(day) for day in days[1:]])


def _about(message: Message, workshop: Workshop) -> dict[str, Any]:
    day = dt.date.fromisoformat(message.payload["day"])
    return {
        "workshop": workshop,
        "commission": message.commission,
        "to_name": message.to_name,
        "day": day_in_words(day),
        "short_day": short_day(day),
    }
