"""Gates: what holds a step back before it begins.

A gate is a function of (step, now) that answers with a sentence, or with None where nothing holds. To add one, write
the function and add it to GATES. A gate is passed by what it asks for, or openly, with a reason that is kept
(`GateOverride`); it never forbids for good.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.db.models import Q, Sum

from jobs.models import HELD_KINDS, GateOverride, Person, StagePayment, Step, StepKind, Workshop
from jobs.queries.cutting_gate import CUTTING, cutting_gate
from jobs.refusal import Refusal
from jobs.words import joined

Gate = Callable[[Step, dt.datetime], str | None]


def money_gate(step: Step, now: dt.datetime) -> str | None:
    """Stage payments that must have cleared first. Two queries, and only for a step that can be held."""
    holds = [name for name, kinds in HELD_KINDS.items() if step.kind in kinds]
    if not holds:
        return None
    workshop = Workshop.objects.order_by("pk").first()
    today = workshop.local_day(now) if workshop else now.date()
    held = StagePayment.objects.filter(commission=step.commission_id, holds__in=holds).annotate(
        cleared_pence=Sum("receipts__amount_pence", filter=Q(receipts__cleared_on__lte=today))
    )
    # No amounts: the wall screen says this too, and it shows nothing of money.
    short = [f"“{payment}”" for payment in held if (payment.cleared_pence or 0) < payment.amount_pence]
    if not short:
        return None
    return (
        f"“{step.name}” waits for money: {joined(short)} {'has' if len(short) == 1 else 'have'} not cleared in full."
    )


def deposit_gate(step: Step, now: dt.datetime) -> str | None:
    """No ordering before the deposit, also where the deposit was only ever a step and no amount was written down."""
    if step.kind not in HELD_KINDS["ordering"]:
        return None
    if StagePayment.objects.filter(commission=step.commission_id, holds="ordering").exists():
        return None  # money_gate speaks for it, with the amount
    waits = Step.objects.filter(commission=step.commission_id, kind=StepKind.DEPOSIT, finished_at__isnull=True)
    if not waits.exists():
        return None
    return f"“{step.name}” orders things, and the deposit is not recorded as received."


def measured_gate(step: Step, now: dt.datetime) -> str | None:
    """No cutting before the room is measured and vouched for (`jobs.queries.cutting_gate`)."""
    if step.kind not in CUTTING:
        return None
    holds = cutting_gate(step.commission, now).holds
    return f"“{step.name}” cuts to the room. {' '.join(holds)}" if holds else None


GATES: list[Gate] = [money_gate, deposit_gate, measured_gate]


def holding(step: Step, now: dt.datetime) -> list[str]:
    """The sentences of every gate that holds this step; none once it has begun."""
    if step.started_at is not None:
        return []
    return [sentence for gate in GATES if (sentence := gate(step, now)) is not None]


def pass_gates(*, step: Step, reason: str, now: dt.datetime, actor: Person | None) -> bool:
    """Refuse a held step without a reason; with one, keep it. True where a gate was overridden. Call inside the
    transaction that starts the step."""
    sentences = holding(step, now)
    if not sentences:
        return False
    if not reason.strip():
        raise Refusal("override_reason", f"{' '.join(sentences)} To begin all the same, say why; the reason is kept.")
    GateOverride.objects.create(
        step=step, at=now, person=actor, sentences="\n".join(sentences), reason=reason.strip()[:200]
    )
    return True
