"""What was agreed, and what was changed afterwards with the client's yes."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from jobs.domain.daybook import write_line
from jobs.domain.steps import edit_step
from jobs.models import Commission, Contract, Person, Step, Variation
from jobs.money import LARGEST_PENCE
from jobs.refusal import Refusal

USUAL_DAY_HOURS = Decimal(8)


@transaction.atomic
def record_contract(*, contract: Contract, today: dt.date, now: dt.datetime, actor: Person | None) -> Contract:
    """The agreement, new or corrected. The hash of the drawing named is kept with it."""
    if contract.agreed_on > today:
        raise Refusal("agreed_on", "Agreed on: that lies in the future; give today or an earlier day.")
    if contract.notice_on is not None and contract.notice_on > today:
        raise Refusal("notice_on", "Notice given on: that lies in the future; give today or an earlier day.")
    if not 0 < contract.price_pence <= LARGEST_PENCE:
        raise Refusal("price", "Price agreed: give the amount, more than nothing.")
    if contract.drawing is not None and contract.drawing.commission_id != contract.commission_id:
        raise Refusal("drawing", "Drawing: that one belongs to another commission; choose one of this commission.")
    contract.drawing_sha256 = contract.drawing.sha256 if contract.drawing else ""
    contract.save()
    write_line(
        act="record_contract",
        now=now,
        actor=actor,
        commission=contract.commission,
        pence=contract.price_pence,
        drawing_sha256=contract.drawing_sha256,
    )
    return contract


@transaction.atomic
def ask_variation(
    *,
    commission: Commission,
    words: str,
    price_pence: int,
    days: int,
    now: dt.datetime,
    actor: Person | None,
) -> Variation:
    """A change is put to the client with its price and its days; it counts once they say yes."""
    if not words.strip():
        raise Refusal("words", "What changes: say it in the words you would use to the client.")
    if abs(price_pence) > LARGEST_PENCE:
        raise Refusal("price", "Price: that is more than this program keeps; check the figure.")
    if not -250 <= days <= 250:
        raise Refusal("days", "Working days: give a number from -250 to 250.")
    last = commission.variations.aggregate(last=Max("number"))["last"] or 0
    variation = Variation.objects.create(
        commission=commission, number=last + 1, words=words.strip(), price_pence=price_pence, days=days, asked_at=now
    )
    write_line(
        act="ask_variation",
        now=now,
        actor=actor,
        commission=commission,
        variation=variation.number,
        pence=price_pence,
        days=days,
    )
    return variation


@transaction.atomic
def answer_variation(
    *,
    variation: Variation,
    is_agreed: bool,
    name: str,
    how: str,
    now: dt.datetime,
    actor: Person | None,
    step: Step | None = None,
    day_hours: Decimal = USUAL_DAY_HOURS,
) -> None:
    """The client's yes or no, once. A change of mind is another variation. With a yes, `step` takes up the days: its
    lead time, or its allowance by `day_hours` of each pair of hands a day, and the plan moves with it."""
    if not name.strip():
        raise Refusal("name", "Answered by: write the name of the person who answered.")
    done = Variation.objects.filter(pk=variation.pk, is_agreed__isnull=True).update(
        is_agreed=is_agreed, answered_at=now, answered_by_name=name.strip()[:120], answered_how=how.strip()[:60]
    )
    if not done:
        raise Refusal("", f"{variation} has been answered already; put another one to the client instead.")
    variation.refresh_from_db()
    if step is not None and is_agreed and variation.days:
        _take_up(variation, step, day_hours, now, actor)
    write_line(
        act="answer_variation",
        now=now,
        actor=actor,
        commission=variation.commission,
        variation=variation.number,
        agreed=is_agreed,
    )


def _take_up(variation: Variation, step: Step, day_hours: Decimal, now: dt.datetime, actor: Person | None) -> None:
    """Refused: a step of another commission, one that is finished, and days off that are more than it has."""
    if step.commission_id != variation.commission_id:
        raise Refusal("step", "Days go into: that step belongs to another commission; choose one of this commission.")
    if step.finished_at is not None:
        raise Refusal("step", f"Days go into: “{step.name}” is finished; choose a step that is still to be done.")
    if step.lead_days:
        left = step.lead_days + variation.days
        if left < 1:
            raise Refusal("step", f"Days go into: “{step.name}” has {step.lead_days} working days, too few for that.")
        edit_step(step=step, now=now, actor=actor, lead_days=left)
    else:
        hours = step.allowance_hours + variation.days * day_hours * max(1, step.hands)
        if hours < 0:
            words = f"Days go into: “{step.name}” has {step.allowance_hours:g} hours, too few for that."
            raise Refusal("step", words)
        edit_step(step=step, now=now, actor=actor, allowance_hours=hours)
    Variation.objects.filter(pk=variation.pk).update(step=step)
    variation.step = step
