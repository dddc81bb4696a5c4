"""Hours: one running timer a person, or minutes told afterwards. Hours are what later allowances are made of."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction
from django.db.models import Sum

from jobs.domain.daybook import write_line
from jobs.models import LONGEST_MINUTES, Commission, HourEntry, HourKind, Person, Workshop
from jobs.refusal import Refusal

SHORTEST = dt.timedelta(seconds=30)
DAY_MINUTES = 24 * 60


def start_timer(
    *,
    person: Person,
    commission: Commission,
    kind: str,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    started_at: dt.datetime | None = None,
) -> HourEntry:
    """The timer runs from now, or from `started_at` where the button was pressed late. Refused while another runs,
    and where it would reach into time that is noted already."""
    if kind not in HourKind.values:
        raise Refusal("kind", "On what: choose one of the list.")
    at = started_at or now
    if at > now:
        raise Refusal("started_at", "From: that lies in the future; give a time up to now.")
    if now - at > dt.timedelta(minutes=LONGEST_MINUTES):
        raise Refusal("started_at", "From: that is more than 16 hours ago; tell the hours of that day instead.")
    try:
        with transaction.atomic():
            Person.objects.select_for_update().get(pk=person.pk)
            _refuse_running(person)
            _refuse_overlap(person, at)
            entry = HourEntry.objects.create(
                person=person,
                commission=commission,
                kind=kind,
                started_at=at,
                worked_on=workshop.local_day(at),
            )
            write_line(act="start_timer", now=now, actor=actor, commission=commission, hours=entry.pk, hour_kind=kind)
    except IntegrityError as fault:  # two taps at once: the unique row decides
        _refuse_running(person)
        raise Refusal("", f"{person} has a timer running already: stop that one first.") from fault
    return entry


def _refuse_running(person: Person) -> None:
    running = running_timer(person)
    if running is not None:
        raise Refusal(
            "",
            f"{person} has a timer running already: {running.get_kind_display()} on {running.commission}. "
            "Stop that one first.",
        )


def _refuse_overlap(person: Person, at: dt.datetime) -> None:
    if HourEntry.objects.filter(person=person, ended_at__gt=at).exists():
        raise Refusal(
            "started_at", f"From: {person}'s time then is noted already; give the time at which that ended, or later."
        )


def running_timer(person: Person) -> HourEntry | None:
    return (
        HourEntry.objects.filter(person=person, started_at__isnull=False, ended_at__isnull=True)
        .select_related("commission")
        .first()
    )


@transaction.atomic
def stop_timer(
    *, entry: HourEntry, now: dt.datetime, actor: Person | None, minutes: int | None = None
) -> HourEntry | None:
    """The timer stops now, or after `minutes` where it was left running. Under half a minute it was a slip, and
    nothing is kept: the answer is then None. Refused: stopped already, longer than 16 hours without `minutes`."""
    started = entry.started_at
    if started is None or entry.ended_at is not None:
        raise Refusal("", "This timer has been stopped already; nothing was changed.")
    ran = now - started
    if minutes is not None:
        if not 1 <= minutes <= LONGEST_MINUTES or dt.timedelta(minutes=minutes) > ran:
            raise Refusal("minutes", "Minutes: give from 1 to as many as the timer has run, and no more than 960.")
        ended_at = started + dt.timedelta(minutes=minutes)
    elif ran > dt.timedelta(minutes=LONGEST_MINUTES):
        raise Refusal(
            "minutes",
            f"This timer has run for {int(ran.total_seconds() // 3600)} hours: say how long it really took.",
        )
    elif ran < SHORTEST:
        entry.delete()
        return None
    else:
        ended_at, minutes = now, max(1, int(ran.total_seconds() + 30) // 60)
    stopped = HourEntry.objects.filter(pk=entry.pk, ended_at__isnull=True).update(ended_at=ended_at, minutes=minutes)
    if not stopped:
        raise Refusal("", "This timer has been stopped already; nothing was changed.")
    entry.ended_at, entry.minutes = ended_at, minutes
    write_line(
        act="stop_timer", now=now, actor=actor, commission=entry.commission, hours=entry.pk, hour_kind=entry.kind
    )
    return entry


@transaction.atomic
def tell_hours(
    *,
    person: Person,
    commission: Commission,
    kind: str,
    worked_on: dt.date,
    minutes: int,
    today: dt.date,
    now: dt.datetime,
    actor: Person | None,
) -> HourEntry:
    """How long it took, told afterwards. A person's day holds no more than 24 hours, timers included."""
    if worked_on > today:
        raise Refusal("worked_on", "Day: that lies in the future; give today or an earlier day.")
    if not 1 <= minutes <= LONGEST_MINUTES:
        raise Refusal("minutes", "How long: give from 1 minute to 16 hours.")
    Person.objects.select_for_update().get(pk=person.pk)
    told = HourEntry.objects.filter(person=person, worked_on=worked_on).aggregate(sum=Sum("minutes"))["sum"] or 0
    if told + minutes > DAY_MINUTES:
        raise Refusal(
            "minutes",
            f"How long: with this {person}'s day would have more than 24 hours; {hours_in_words(told)} are noted.",
        )
    entry = HourEntry.objects.create(
        person=person, commission=commission, kind=kind, worked_on=worked_on, minutes=minutes
    )
    write_line(act="tell_hours", now=now, actor=actor, commission=commission, hours=entry.pk, hour_kind=kind)
    return entry


@transaction.atomic
def remove_hours(*, entry: HourEntry, now: dt.datetime, actor: Person | None) -> None:
    write_line(
        act="remove_hours", now=now, actor=actor, commission=entry.commission, hours=entry.pk, hour_kind=entry.kind
    )
    entry.delete()


def hours_in_words(minutes: int) -> str:
    """2 h 05 min"""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
