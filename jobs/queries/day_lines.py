"""What the workshop's own record puts on the page of a day: goods out and back, calls, planned and running work."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from django.db.models import Count, F, Q, Sum

from jobs.models import (
    AccessArrangement,
    Attendance,
    Channel,
    Commission,
    Consignment,
    HourEntry,
    LoadItem,
    Message,
    MessageState,
    ParkingPlan,
    Piece,
    Step,
    StepKind,
    Visit,
    VisitKind,
    VisitState,
)
from jobs.queries.consignment_page import ask_sprayer_on
from jobs.queries.message_page import message_words
from jobs.queries.parking_page import apply_by
from jobs.queries.plan import PlannedStep
from jobs.registries import DayAsked, DayLine
from jobs.wall_clock import at_wall_time
from jobs.words import short_day, time_in_words

TO_SITE = (VisitKind.DELIVERY, VisitKind.FITTING)
COMES_IN = (StepKind.MATERIALS, StepKind.BOUGHT_IN)
# So long before a delivery or fitting the door has to be sure; as the reminders have it, common practice, no source.
ACCESS_DAYS = 7


def load_lines(asked: DayAsked) -> list[DayLine]:
    """What has to be in the van for the deliveries and fittings of the day. At most two queries."""
    going = {visit.commission_id: visit.commission for visit in asked.visits if visit.kind in TO_SITE}
    if not going:
        return []
    pieces = {
        row["commission"]: row
        for row in Piece.objects.filter(commission__in=going, in_room_at__isnull=True)
        .order_by()
        .values("commission")
        .annotate(
            count=Count("pk"),
            unwrapped=Count("pk", filter=Q(wrapped_at__isnull=True)),
            loaded=Count("pk", filter=Q(loaded_at__isnull=False)),
        )
    }
    kit = {
        row["commission"]: row
        for row in LoadItem.objects.filter(commission__in=going)
        .order_by()
        .values("commission")
        .annotate(
            count=Count("pk"),
            loaded=Count("pk", filter=Q(loaded_at__isnull=False)),
            lacking=Count("pk", filter=Q(in_hand__lt=F("needed"))),
        )
    }
    return [_load(commission, pieces.get(key), kit.get(key)) for key, commission in going.items()]


def _load(commission: Commission, pieces: Mapping[str, Any] | None, kit: Mapping[str, Any] | None) -> DayLine:
    details = []
    if pieces:
        count = pieces["count"]
        details.append(f"{count} piece{'' if count == 1 else 's'}, {pieces['loaded']} in the van")
        if pieces["unwrapped"]:
            details.append(f"{pieces['unwrapped']} not wrapped")
    else:
        details.append("no piece is left to bring, or none is entered")
    if kit:
        details.append(f"kit: {kit['loaded']} of {kit['count']} lines in the van")
        if kit["lacking"]:
            details.append(f"{kit['lacking']} short")
    short = bool((pieces and pieces["unwrapped"]) or (kit and kit["lacking"]))
    return DayLine(
        "out",
        "Load",
        number=commission.number,
        nickname=commission.nickname,
        details=tuple(details),
        link=("kit", commission.number),
        is_late=short,
    )


def consignment_lines(asked: DayAsked) -> list[DayLine]:
    """Notes that wait to go on a day on which the plan sends them, and what is due back. Two queries."""
    out = Consignment.objects.filter(back_at__isnull=True, commission__closed_on__isnull=True)
    out = out.select_related("subcontractor", "commission").prefetch_related("subcontractor__closures")
    rows = out.annotate(pieces=Sum("items__count")).order_by("pk")
    sending = {
        pk
        for pk, plan in asked.plan.commissions.items()
        if any(not step.is_done and _is_on(step, asked.day) for step in plan.of_kind(StepKind.SPRAYER_OUT))
    }
    found = []
    for one in rows:
        pieces = f"{one.pieces or 0} in all"
        if one.sent_at is None:
            if one.commission_id in sending:
                found.append(_consignment(one, "out", f"To {one.subcontractor}", (pieces, "not gone yet")))
            continue
        promised = one.promised_on
        if promised == asked.day or (asked.is_today and promised is not None and promised < asked.day):
            late = promised < asked.today
            detail = (pieces, f"promised {short_day(promised)}")
            found.append(_consignment(one, "back", f"From {one.subcontractor}", detail, is_late=late))
        elif promised is not None and ask_sprayer_on(one.subcontractor, promised, asked.workshop) == asked.day:
            words = (f"promised {short_day(promised)}", pieces)
            found.append(_consignment(one, "ring", f"Ask {one.subcontractor} how it stands", words))
    return found


def _consignment(
    one: Consignment, part: str, words: str, details: tuple[str, ...], *, is_late: bool = False
) -> DayLine:
    return DayLine(
        part,
        words,
        number=one.commission.number,
        nickname=one.commission.nickname,
        details=details,
        link=("consignment", one.pk),
        is_late=is_late,
    )


def step_lines(asked: DayAsked) -> list[DayLine]:
    """The steps that the plan has on the day, and what it expects in. One query."""
    planned: dict[int, PlannedStep] = {
        step.step_id: step
        for plan in asked.plan.commissions.values()
        if not plan.is_held
        for step in plan.steps
        if _is_on(step, asked.day)
    }
    found = []
    for step in Step.objects.filter(pk__in=planned).select_related("commission", "subcontractor"):
        line = _step(step, planned[step.pk], asked.day)
        if line is not None:
            found.append(line)
    return found


def _is_on(step: PlannedStep, day: dt.date) -> bool:
    return step.starts.day <= day <= step.ends.day


def _step(step: Step, planned: PlannedStep, day: dt.date) -> DayLine | None:
    """None for time that only passes: a lead time on a day that is not its last."""
    waits = step.lead_days > 0
    if waits and (planned.is_done or planned.ends.day != day):
        return None
    comes_in = step.kind in COMES_IN or (waits and step.kind == StepKind.SPRAYER_BACK)
    if planned.is_done:
        state = "done"
    elif planned.is_running:
        state = f"under way since {short_day(planned.starts.day)}"
    else:
        state = "morning" if planned.starts.day == day and planned.starts.half == 0 else "afternoon"
        state = state if planned.starts.day == day else f"goes on from {short_day(planned.starts.day)}"
    details = [state]
    if step.promised_on:
        details.append(f"promised {short_day(step.promised_on)}")
    return DayLine(
        "back" if waits and comes_in else "work",
        f"{step.name}{f' from {step.subcontractor}' if waits and step.subcontractor else ''}",
        number=step.commission.number,
        nickname=step.commission.nickname,
        details=tuple(["by the plan"] if waits else details),
        link=("tick_steps", step.commission.number),
        is_late=planned.is_late and not planned.is_done,
    )


def call_lines(asked: DayAsked) -> list[DayLine]:
    """Calls to make: today also those of days gone by. One query."""
    last = at_wall_time(asked.day + dt.timedelta(days=1), dt.time(0), asked.workshop.tz)
    calls = Message.objects.filter(state=MessageState.WAITING, channel=Channel.CALL, due_at__lt=last)
    if not asked.is_today:
        calls = calls.filter(due_at__gte=at_wall_time(asked.day, dt.time(0), asked.workshop.tz))
    return [_call(message, asked) for message in calls.select_related("commission").order_by("due_at", "pk")]


def _call(message: Message, asked: DayAsked) -> DayLine:
    due = asked.workshop.local_day(message.due_at)
    return DayLine(
        "ring",
        f"Ring {message.to_name or 'the client'}: {message_words(message.kind).lower()}",
        number=message.commission.number if message.commission else None,
        nickname=message.commission.nickname if message.commission else "",
        details=(f"since {short_day(due)}",) if due < asked.day else (),
        link=("message", message.pk),
        asks="messages",
    )


def parking_lines(asked: DayAsked) -> list[DayLine]:
    """Places to ask the council for: on the last day to ask, and today all that are late. One query."""
    wanted = ParkingPlan.objects.filter(
        applied_on__isnull=True, granted_on__isnull=True, day__gte=asked.day, commission__closed_on__isnull=True
    ).select_related("rule", "commission")
    found = []
    for plan in wanted:
        by = apply_by(plan.day, plan.rule.notice_working_days, asked.workshop.nation)
        if by == asked.day or (asked.is_today and by < asked.day):
            found.append(
                DayLine(
                    "ring",
                    f"Ask {plan.rule.council} for parking on {short_day(plan.day)}",
                    number=plan.commission.number,
                    nickname=plan.commission.nickname,
                    details=(f"apply by {short_day(by)}",),
                    link=("parking", plan.commission.number),
                    is_late=by < asked.today,
                )
            )
    return found


def access_lines(asked: DayAsked) -> list[DayLine]:
    """Deliveries and fittings of the coming week whose door is not sure. Two queries at most."""
    first = max(asked.now, at_wall_time(asked.day, dt.time(0), asked.workshop.tz))
    last = at_wall_time(asked.day + dt.timedelta(days=ACCESS_DAYS + 1), dt.time(0), asked.workshop.tz)
    coming = list(
        Visit.objects.filter(state=VisitState.ARRANGED, kind__in=TO_SITE, starts_at__gte=first, starts_at__lt=last)
        .select_related("commission")
        .order_by("starts_at")
    )
    named: dict[int, list[int | None]] = defaultdict(list)
    for key, visit in AccessArrangement.objects.filter(
        commission__in={one.commission_id for one in coming}
    ).values_list("commission", "visit"):
        named[key].append(visit)
    return [
        line
        for visit in coming
        if (line := _door(visit, any(one in (None, visit.pk) for one in named[visit.commission_id]), asked))
    ]


def _door(visit: Visit, is_named: bool, asked: DayAsked) -> DayLine | None:
    assert visit.starts_at is not None
    if is_named and visit.attendance == Attendance.ACCEPTED:
        return None
    if not is_named:
        why = "nobody is named who opens"
    elif visit.attendance == Attendance.DECLINED:
        why = "the client has declined"
    else:
        why = f"the client’s answer: {visit.get_attendance_display().lower()}"
    day = asked.workshop.local_day(visit.starts_at)
    return DayLine(
        "ring",
        f"Make sure of the door on {short_day(day)}",
        number=visit.commission.number,
        nickname=visit.commission.nickname,
        details=(why,),
        link=("arrange_access", visit.commission.number),
        asks="arrange_access",
        is_late=day <= asked.today,
    )


def running_lines(asked: DayAsked) -> list[DayLine]:
    """Timers that run; only today has any. One query."""
    if not asked.is_today:
        return []
    timers = HourEntry.objects.filter(started_at__isnull=False, ended_at__isnull=True)
    return [
        DayLine(
            "running",
            f"{timer.person}: {timer.get_kind_display().lower()}",
            number=timer.commission.number,
            nickname=timer.commission.nickname,
            details=(f"since {time_in_words(asked.workshop.local(timer.started_at).time())}",),
            link=("hours", timer.commission.number),
        )
        for timer in timers.select_related("person", "commission").order_by("started_at")
        if timer.started_at is not None
    ]
