"""The hinge check: begun on the day of the return visit, done door by door, finished once."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from aftercare.models import DoorCheck, Handover, HingeCheck, Verdict
from jobs.domain.daybook import write_line
from jobs.domain.messages import queue_message
from jobs.domain.snags import save_snag
from jobs.domain.steps import add_step, finish_step
from jobs.domain.visits import finish_visit, keep_to_arrange
from jobs.models import Person, Snag, Step, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal
from jobs.words import day_in_words

# Time for the photographs of the day to be put in, so that the new pack has them.
PACK_WAITS = dt.timedelta(hours=2)
COLDEST_C, WARMEST_C = Decimal(-5), Decimal(45)
# Three hours for each snag, until somebody who has seen it says better: judgement.
SNAG_HOURS = Decimal(3)


@dataclass(frozen=True)
class RoomFound:
    """What was found of the room; blank is "not looked at"."""

    room_c: Decimal | None = None
    humidity_percent: int | None = None
    fixings: str = ""
    scribes: str = ""
    notes: str = ""


def may_begin(visit: Visit, workshop: Workshop, now: dt.datetime) -> None:
    """Refuse a check that no visit stands behind, or that lies before it."""
    if visit.kind != VisitKind.RETURN:
        raise Refusal("", "The hinge check belongs to a return visit; this visit is another.")
    if visit.state == VisitState.CANCELLED:
        raise Refusal("", "This visit was cancelled: book another return visit, then check the doors there.")
    if visit.starts_at is None:
        raise Refusal("", "This return visit has no day yet: arrange it first.")
    day = workshop.local_day(visit.starts_at)
    if workshop.local_day(now) < day:
        raise Refusal(
            "",
            f"The return visit is on {day_in_words(day)}, and the check begins on that day. If you are there "
            "today, move the visit first.",
        )


@transaction.atomic
def record_room(*, visit: Visit, found: RoomFound, workshop: Workshop, now: dt.datetime, actor: Person) -> HingeCheck:
    """Temperature, humidity, fixings, scribes and notes; begins the check where it has not begun."""
    if found.room_c is not None and not COLDEST_C <= found.room_c <= WARMEST_C:
        raise Refusal("room_c", f"Room temperature: {found.room_c} °C is no room. Give {COLDEST_C} to {WARMEST_C}.")
    if found.humidity_percent is not None and not 1 <= found.humidity_percent <= 100:
        raise Refusal(
            "humidity_percent",
            f"Relative humidity: {found.humidity_percent} % cannot be. Read it again and give 1 to 100.",
        )
    check = _open_check(visit, workshop, now, actor)
    for name, value in vars(found).items():
        setattr(check, name, value)
    check.save(update_fields=list(vars(found)))
    write_line(act="check_room", now=now, actor=actor, commission=visit.commission, visit=visit.pk, check=check.pk)
    return check


@transaction.atomic
def check_door(*, visit: Visit, row: DoorCheck, workshop: Workshop, now: dt.datetime, actor: Person) -> DoorCheck:
    """One door: what was found and what was done. `row` has its door; checking it again changes what was noted."""
    if row.door.commission_id != visit.commission_id:
        raise Refusal("", "That door belongs to another commission.")
    if row.verdict == Verdict.SNAG and not row.words.strip():
        raise Refusal("words", "What is wrong: say it in a few words, so that whoever puts it right knows.")
    row.check_of = _open_check(visit, workshop, now, actor)
    row.save()
    write_line(
        act="check_door",
        now=now,
        actor=actor,
        commission=visit.commission,
        check=row.check_of_id,
        door=row.door_id,
        verdict=row.verdict,
    )
    return row


@transaction.atomic
def finish_check(
    *, check: HingeCheck, second_visit: bool, workshop: Workshop, now: dt.datetime, actor: Person
) -> HingeCheck:
    """The check is done: visit and step with it, a step for each snag, a second visit where asked, a new pack."""
    if not HingeCheck.objects.filter(pk=check.pk, finished_at__isnull=True).update(finished_at=now):
        raise Refusal("", "This check was finished already; nothing was changed.")
    check.finished_at = now
    visit = check.visit
    if visit.state == VisitState.ARRANGED:
        finish_visit(visit=visit, now=now, actor=actor)
    step = _return_step(visit)
    if step is not None and step.finished_at is None:
        finish_step(step=step, at=now, now=now, actor=actor)
    snags = list(check.doors.filter(verdict=Verdict.SNAG).select_related("door__room"))
    today = workshop.local_day(now)
    steps = [_step_for(snag, visit, step, today, now, actor) for snag in snags]
    if second_visit:
        _owe_second_visit(visit, snags, steps, now, actor)
    write_line(
        act="finish_check", now=now, actor=actor, commission=visit.commission, check=check.pk, snags=len(snags)
    )
    _queue_pack(check, workshop, now)
    return check


def standing_handover(visit: Visit) -> Handover | None:
    return Handover.objects.filter(commission=visit.commission_id, undone_at__isnull=True).first()


def _open_check(visit: Visit, workshop: Workshop, now: dt.datetime, actor: Person) -> HingeCheck:
    may_begin(visit, workshop, now)
    check, is_new = HingeCheck.objects.select_for_update().get_or_create(
        visit=visit, defaults={"by": actor, "begun_at": now}
    )
    if check.finished_at is not None:
        raise Refusal("", "This check is finished; what was found stays as it is. A later visit has its own check.")
    if is_new:
        write_line(act="begin_check", now=now, actor=actor, commission=visit.commission, check=check.pk)
    return check


def _return_step(visit: Visit) -> Step | None:
    if visit.step is not None and visit.step.kind == StepKind.RETURN_VISIT:
        return visit.step
    return visit.commission.steps.filter(kind=StepKind.RETURN_VISIT, finished_at__isnull=True).first()


def _step_for(
    snag: DoorCheck, visit: Visit, after: Step | None, today: dt.date, now: dt.datetime, actor: Person
) -> Step:
    """A line on the snag list, and a step that puts it right; what else is to be made can be added there."""
    last = visit.commission.steps.order_by("position").last()
    snag.snag = save_snag(
        snag=Snag(
            commission=visit.commission,
            room=snag.door.room,
            place=f"Door {snag.door}",
            words=snag.words,
            seen_on=today,
        ),
        today=today,
        now=now,
        actor=actor,
    )
    step = Step(
        commission=visit.commission,
        kind=StepKind.REDO,
        name=f"Make good {snag.door}: {snag.words}"[:80],
        position=last.position + 1 if last else 0,
        allowance_hours=SNAG_HOURS,
        needs_access=True,
    )
    add_step(step=step, after=[after] if after else [], before=[], now=now, actor=actor)
    snag.step = step
    snag.save(update_fields=["step", "snag"])
    return step


def _owe_second_visit(
    visit: Visit, snags: list[DoorCheck], steps: list[Step], now: dt.datetime, actor: Person
) -> None:
    which = "; ".join(f"{snag.door}: {snag.words}" for snag in snags) or "asked for at the hinge check"
    keep_to_arrange(
        commission=visit.commission,
        kind=VisitKind.RETURN,
        person=visit.person,
        reasons=f"Second return visit. {which}.",
        now=now,
        actor=actor,
        step=steps[0] if steps else None,
    )


def _queue_pack(check: HingeCheck, workshop: Workshop, now: dt.datetime) -> None:
    """The pack with the new settings goes to the client; without an e-mail to us, to be printed and posted."""
    commission = check.visit.commission
    client = commission.client
    if standing_handover(check.visit) is None:
        return  # no handover, no pack
    queue_message(
        key=f"pack_revision:{check.pk}",
        kind="pack_revision",
        workshop=workshop,
        now=now,
        due_at=now + PACK_WAITS,
        commission=commission,
        to_name=client.name if client.email else workshop.name,
        to_email=client.email or workshop.email,
        payload={"check": check.pk, "to_client": bool(client.email)},
    )
