from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import Max

from jobs.domain.daybook import write_line
from jobs.models import Client, Commission, Person, Step, StepLink, Template, Workshop
from jobs.refusal import Refusal


@dataclass(frozen=True)
class PastStep:
    """What is already behind a commission that is entered under way."""

    started_at: dt.datetime
    finished_at: dt.datetime | None = None
    actual_hours: float | None = None


@transaction.atomic
def open_commission(
    *,
    client: Client,
    nickname: str,
    what: str,
    maker: Person,
    template: Template,
    opened_on: dt.date,
    now: dt.datetime,
    actor: Person | None,
    site_address: str = "",
    latitude_deg: float | None = None,
    longitude_deg: float | None = None,
    past: Mapping[str, PastStep] | None = None,
) -> Commission:
    """A new commission with the template's steps; `past` gives, by step kind, what has been done already."""
    if not nickname.strip():
        raise Refusal("nickname", "Give a short name for the board, such as the street: no person's name.")
    if (latitude_deg is None) != (longitude_deg is None):
        raise Refusal("longitude_deg", "Give both latitude and longitude of the site, or neither.")
    commission = Commission.objects.create(
        number=(Commission.objects.aggregate(last=Max("number"))["last"] or 100) + 1,
        nickname=nickname.strip(),
        what=what.strip(),
        client=client,
        maker=maker,
        site_address=site_address,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        opened_on=opened_on,
    )
    _copy_template(template, commission, past or {}, now)
    write_line(act="open_commission", now=now, actor=actor, commission=commission, number=commission.number)
    return commission


def _copy_template(
    template: Template, commission: Commission, past: Mapping[str, PastStep], now: dt.datetime
) -> None:
    copies: dict[int, Step] = {}
    for model in template.steps.all():
        step = Step(commission=commission, **{name: getattr(model, name) for name in SHAPE_FIELDS})
        behind = past.get(model.kind)
        if behind is not None:
            check_times(started_at=behind.started_at, finished_at=behind.finished_at, now=now, step_name=step.name)
            step.started_at, step.finished_at = behind.started_at, behind.finished_at
            step.actual_hours = behind.actual_hours
        step.save()
        copies[model.pk] = step
    for model in template.steps.all():
        for link in model.links_out.all():
            StepLink.objects.create(
                before=copies[link.before_id],
                after=copies[link.after_id],
                least_wait_days=link.least_wait_days,
                greatest_wait_days=link.greatest_wait_days,
            )


SHAPE_FIELDS = (
    "kind", "name", "track", "position", "allowance_hours", "lead_days", "hands", "needs_helper", "needs_van",
    "needs_floor", "needs_client", "needs_access",
)  # fmt: skip


def check_times(
    *, started_at: dt.datetime, finished_at: dt.datetime | None, now: dt.datetime, step_name: str
) -> None:
    """Refuse a step that finished before it began, or that did either in the future."""
    if started_at > now:
        raise Refusal("started_at", f"“{step_name}” cannot have started in the future: give a time up to now.")
    if finished_at is not None and finished_at < started_at:
        raise Refusal(
            "finished_at",
            f"“{step_name}” would have finished before it began: give a later finish or an earlier start.",
        )
    if finished_at is not None and finished_at > now:
        raise Refusal("finished_at", f"“{step_name}” cannot have finished in the future: give a time up to now.")


@transaction.atomic
def put_on_hold(
    *, commission: Commission, reason: str, now: dt.datetime, today: dt.date, actor: Person | None
) -> None:
    """The commission waits; the plan leaves it out until it is taken off hold."""
    if not reason.strip():
        raise Refusal("hold_reason", "Say why it waits, so that the board can say it too.")
    done = Commission.objects.filter(pk=commission.pk, held_since__isnull=True, closed_on__isnull=True).update(
        held_since=today, hold_reason=reason.strip()
    )
    if not done:
        raise Refusal("", "This commission is on hold already or closed; nothing was changed.")
    commission.refresh_from_db(fields=["held_since", "hold_reason"])
    write_line(act="put_on_hold", now=now, actor=actor, commission=commission)


@transaction.atomic
def take_off_hold(*, commission: Commission, now: dt.datetime, actor: Person | None) -> None:
    done = Commission.objects.filter(pk=commission.pk, held_since__isnull=False).update(
        held_since=None, hold_reason=""
    )
    if not done:
        raise Refusal("", "This commission is not on hold; nothing was changed.")
    commission.refresh_from_db(fields=["held_since", "hold_reason"])
    write_line(act="take_off_hold", now=now, actor=actor, commission=commission)


@transaction.atomic
def edit_commission(*, commission: Commission, now: dt.datetime, actor: Person | None, **fields: object) -> None:
    """Change what a commission says of itself; `fields` are columns of Commission."""
    latitude, longitude = (fields.get(name, getattr(commission, name)) for name in ("latitude_deg", "longitude_deg"))
    if (latitude is None) != (longitude is None):
        raise Refusal("longitude_deg", "Give both latitude and longitude of the site, or neither.")
    _check_return_range(fields)
    for name, value in fields.items():
        setattr(commission, name, value)
    try:
        commission.save(update_fields=list(fields))
    except IntegrityError as fault:  # only the number is unique, and no form offers it
        raise Refusal("", "Another commission has this number; nothing was changed.") from fault
    write_line(act="edit_commission", now=now, actor=actor, commission=commission, fields=sorted(fields))


def _check_return_range(fields: Mapping[str, object]) -> None:
    first, last = fields.get("return_first_day"), fields.get("return_last_day")
    if (first is None) != (last is None):
        raise Refusal("return_last_day", "Give both ends of the return range in days, or neither.")
    if isinstance(first, int) and isinstance(last, int) and not 1 <= first <= last <= 365:
        raise Refusal(
            "return_last_day", "The return range runs from day 1 to day 365, the first day not after the last."
        )


@transaction.atomic
def close_commission(*, commission: Commission, today: dt.date, now: dt.datetime, actor: Person | None) -> None:
    """Everything is done, return visit included: it leaves the board and stays in the record."""
    Commission.objects.filter(pk=commission.pk).update(closed_on=today)
    commission.closed_on = today
    write_line(act="close_commission", now=now, actor=actor, commission=commission)


@transaction.atomic
def reopen_commission(*, commission: Commission, now: dt.datetime, actor: Person | None) -> None:
    Commission.objects.filter(pk=commission.pk).update(closed_on=None)
    commission.closed_on = None
    write_line(act="reopen_commission", now=now, actor=actor, commission=commission)


def set_up_workshop(*, now: dt.datetime, actor: Person | None = None, **fields: object) -> Workshop:
    """The one workshop: made when there is none, otherwise changed."""
    with transaction.atomic():
        workshop = Workshop.objects.order_by("pk").first() or Workshop()
        for name, value in fields.items():
            setattr(workshop, name, value)
        workshop.save()
        write_line(act="set_up_workshop", now=now, actor=actor, fields=sorted(fields))
    return workshop
