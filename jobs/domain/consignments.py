"""Consignments: a note out, a count back in, and the re-do of what came back short or damaged."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.db import transaction
from django.db.models import Max

from jobs.domain.daybook import write_line
from jobs.domain.steps import add_step, edit_step, finish_step, start_step
from jobs.models import (
    Condition,
    Consignment,
    ConsignmentItem,
    ItemReturn,
    Person,
    Step,
    StepKind,
    Track,
    Workshop,
)
from jobs.queries.consignment_counts import ItemCount, count_items
from jobs.queries.turnaround import lead_days_until
from jobs.refusal import Refusal


@transaction.atomic
def save_consignment(*, consignment: Consignment, now: dt.datetime, actor: Person | None) -> Consignment:
    """The head of a note, new or changed, before it goes."""
    if consignment.sent_at is not None:
        raise Refusal("", f"Consignment {consignment} has gone; its note stands as it went.")
    if consignment.sheen_percent is not None and not 0 <= consignment.sheen_percent <= 100:
        raise Refusal("sheen_percent", "Sheen is a percentage from 0 (dead flat) to 100.")
    if consignment.pk is None:
        last = consignment.commission.consignments.aggregate(last=Max("number"))["last"] or 0
        consignment.number = last + 1
    consignment.save()
    write_line(
        act="save_consignment", now=now, actor=actor, commission=consignment.commission, consignment=consignment.pk
    )
    return consignment


@transaction.atomic
def save_item(*, item: ConsignmentItem, now: dt.datetime, actor: Person | None) -> ConsignmentItem:
    if item.consignment.sent_at is not None:
        raise Refusal("", f"Consignment {item.consignment} has gone; its note stands as it went.")
    for field, words, most in (
        ("count", "How many", 999),
        ("faces", "Faces to coat", 6),
    ):
        if not 1 <= getattr(item, field) <= most:
            raise Refusal(field, f"{words}: give a number from 1 to {most}.")
    for field, words in (("height_mm", "Height"), ("width_mm", "Width"), ("thickness_mm", "Thickness")):
        length_mm = getattr(item, field)
        if length_mm is not None and not 3 <= length_mm <= 4000:
            raise Refusal(
                field, f"{words}: {length_mm} mm is no size of a piece; write millimetres, so 2400 for 2.4 metres."
            )
    if item.masked_cups > 20:
        raise Refusal("masked_cups", "Hinge cups to mask: give a number from 0 to 20.")
    item.save()
    write_line(
        act="save_consignment_item",
        now=now,
        actor=actor,
        commission=item.consignment.commission,
        consignment=item.consignment_id,
        item=item.pk,
    )
    return item


@transaction.atomic
def remove_item(*, item: ConsignmentItem, now: dt.datetime, actor: Person | None) -> None:
    if item.consignment.sent_at is not None:
        raise Refusal("", f"Consignment {item.consignment} has gone; its note stands as it went.")
    write_line(
        act="remove_consignment_item",
        now=now,
        actor=actor,
        commission=item.consignment.commission,
        consignment=item.consignment_id,
        item=item.pk,
    )
    item.delete()


@transaction.atomic
def send_consignment(
    *,
    consignment: Consignment,
    at: dt.datetime,
    promised_on: dt.date,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
) -> None:
    """It goes. The step that takes it there is done, the one that waits for it begins, and is given the sprayer's
    name and the lead time that leads to the promised day, so that the plan says that day."""
    commission, sent_on = consignment.commission, workshop.local_day(at)
    if at > now:
        raise Refusal("sent_at", "Sent: that lies in the future; give a time up to now.")
    if promised_on <= sent_on:
        raise Refusal("promised_on", "Promised back on: give a day after the one on which it goes.")
    if not consignment.items.exists():
        raise Refusal("", "The note has no lines yet: add what goes, and how many.")
    waiting = commission.steps.filter(kind=StepKind.SPRAYER_BACK, finished_at__isnull=True).first()
    done = Consignment.objects.filter(pk=consignment.pk, sent_at__isnull=True).update(
        sent_at=at, promised_on=promised_on, step=waiting
    )
    if not done:
        raise Refusal("", f"Consignment {consignment} has gone already; nothing was changed.")
    consignment.refresh_from_db()
    for step in commission.steps.filter(kind=StepKind.SPRAYER_OUT, finished_at__isnull=True):
        finish_step(step=step, at=at, now=now, actor=actor)
    if waiting is not None:
        _wait_for(waiting, consignment, at, promised_on, workshop, now, actor)
    write_line(
        act="send_consignment",
        now=now,
        actor=actor,
        commission=commission,
        consignment=consignment.pk,
        promised_on=promised_on.isoformat(),
    )


def _wait_for(
    step: Step,
    consignment: Consignment,
    at: dt.datetime,
    promised_on: dt.date,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
) -> None:
    lead_days = lead_days_until(consignment.subcontractor, workshop.local_day(at), promised_on, workshop)
    edit_step(step=step, now=now, actor=actor, subcontractor=consignment.subcontractor, lead_days=lead_days)
    if step.started_at is None:
        start_step(step=step, at=at, now=now, actor=actor)


@transaction.atomic
def receive_consignment(
    *,
    consignment: Consignment,
    counts: Mapping[int, Mapping[str, int]],
    at: dt.datetime,
    now: dt.datetime,
    actor: Person | None,
) -> bool:
    """What came back, counted: by line, how many in each condition. True where everything is back and good; the step
    that waited is then done. Refused: more than went, nothing at all, before it went."""
    if consignment.sent_at is None:
        raise Refusal("", f"Consignment {consignment} has not gone yet.")
    if consignment.back_at is not None:
        raise Refusal("", f"Consignment {consignment} is closed; nothing was changed.")
    if not consignment.sent_at <= at <= now:
        raise Refusal("at", "Came back: give a time after it went and up to now.")
    came = _counted(consignment, counts, at)
    ItemReturn.objects.bulk_create(came)
    write_line(
        act="receive_consignment",
        now=now,
        actor=actor,
        commission=consignment.commission,
        consignment=consignment.pk,
        counted=sum(one.count for one in came),
        faulty=sum(one.count for one in came if one.condition != Condition.GOOD),
    )
    if any(one.to_redo for one in count_items(consignment)):
        return False
    _close(consignment, at, now, actor)
    return True


def _counted(consignment: Consignment, counts: Mapping[int, Mapping[str, int]], at: dt.datetime) -> list[ItemReturn]:
    before = {one.item.pk: one for one in count_items(consignment)}
    came: list[ItemReturn] = []
    for pk, conditions in counts.items():
        line = before[pk]
        if sum(conditions.values()) > line.missing:
            raise Refusal(
                f"good_{pk}",
                f"{line.item}: {line.missing} are still out, {sum(conditions.values())} were counted in.",
            )
        came += [ItemReturn(item=line.item, count=n, condition=kind, at=at) for kind, n in conditions.items() if n]
    if not came:
        raise Refusal("", "Nothing was counted: give how many came back.")
    return came


def _close(consignment: Consignment, at: dt.datetime, now: dt.datetime, actor: Person | None) -> None:
    """Nothing more is waited for; the step is done once no other consignment waits behind it."""
    consignment.back_at = at
    consignment.save(update_fields=["back_at"])
    step = consignment.step
    if step is None or step.finished_at is not None:
        return
    if not step.consignments.filter(sent_at__isnull=False, back_at__isnull=True).exists():
        finish_step(step=step, at=max(at, step.started_at or at), now=now, actor=actor)


@transaction.atomic
def start_redo(
    *,
    consignment: Consignment,
    promised_on: dt.date,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
) -> Consignment:
    """What is short or damaged is made good: a further step with its own lead time between the one that waited and
    what comes after, and a further consignment that says what is still to come. Refused where nothing is."""
    if consignment.sent_at is None or consignment.back_at is not None:
        raise Refusal("", f"Consignment {consignment} is not out; there is nothing to make good.")
    if promised_on <= workshop.local_day(now):
        raise Refusal("promised_on", "Promised back on: give a day after today.")
    open_lines = [one for one in count_items(consignment) if one.to_redo]
    if not open_lines:
        raise Refusal("", "Everything is back and good; there is nothing to make good.")
    _close(consignment, now, now, actor)
    step = _redo_step(consignment, open_lines, now, actor)
    redo = _redo_note(consignment, step, open_lines, promised_on, now)
    _wait_for(step, redo, now, promised_on, workshop, now, actor)
    write_line(
        act="start_redo",
        now=now,
        actor=actor,
        commission=consignment.commission,
        consignment=redo.pk,
        redo_of=consignment.pk,
        promised_on=promised_on.isoformat(),
    )
    return redo


def _redo_note(
    consignment: Consignment, step: Step, lines: list[ItemCount], promised_on: dt.date, now: dt.datetime
) -> Consignment:
    redo = Consignment(
        commission=consignment.commission,
        subcontractor=consignment.subcontractor,
        redo_of=consignment,
        step=step,
        sent_at=now,
        promised_on=promised_on,
    )
    for column in ("product", "colour", "sheen_percent", "sample", "batch"):
        setattr(redo, column, getattr(consignment, column))
    last = consignment.commission.consignments.aggregate(last=Max("number"))["last"]
    redo.number = last + 1
    redo.save()
    for one in lines:
        fields = ("words", "height_mm", "width_mm", "thickness_mm", "faces", "masked_cups")
        same = {name: getattr(one.item, name) for name in fields}
        ConsignmentItem.objects.create(consignment=redo, count=one.to_redo, **same)
    return redo


def _redo_step(consignment: Consignment, lines: list[ItemCount], now: dt.datetime, actor: Person | None) -> Step:
    short, faulty = sum(one.missing for one in lines), sum(one.faulty for one in lines)
    parts = [f"{number} {words}" for number, words in ((short, "short"), (faulty, "damaged")) if number]
    waited = consignment.step
    step = Step(
        commission=consignment.commission,
        kind=StepKind.REDO,
        name=f"Make good: {', '.join(parts)} ({consignment})"[:80],
        track=waited.track if waited else Track.DOORS,
        position=waited.position if waited else consignment.commission.steps.count(),
        hands=0,
        lead_days=1,
    )
    before = _unfinished_after(waited) if waited else []
    return add_step(step=step, after=[waited] if waited else [], before=before, now=now, actor=actor)


def _unfinished_after(step: Step) -> list[Step]:
    """The nearest steps behind this one that are not done: a fault found late still holds up what is left."""
    seen: set[int] = set()
    found: dict[int, Step] = {}
    waiting = [step]
    while waiting:
        for link in waiting.pop().links_out.select_related("after"):
            after = link.after
            if after.pk in seen:
                continue
            seen.add(after.pk)
            if after.finished_at is None:
                found[after.pk] = after
            else:
                waiting.append(after)
    return list(found.values())
