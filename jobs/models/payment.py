from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.commission import Commission
from jobs.models.kinds import StepKind


class PaymentEvent(models.TextChoices):
    """What makes a stage payment fall due."""

    DEPOSIT = "deposit", "Deposit, with the order"
    DELIVERY = "delivery", "Before delivery"
    FITTED = "fitted", "When fitted"
    HANDOVER = "handover", "At handover"
    OTHER = "other", "On another event"


class Holds(models.TextChoices):
    """What must wait until the money has cleared."""

    NOTHING = "", "Nothing waits for it"
    ORDERING = "ordering", "Ordering of materials and bought-in parts"
    DELIVERY = "delivery", "Delivery"
    FITTING = "fitting", "Fitting"


HELD_KINDS: dict[str, tuple[str, ...]] = {
    Holds.NOTHING: (),
    Holds.ORDERING: (StepKind.MATERIALS, StepKind.BOUGHT_IN),
    Holds.DELIVERY: (StepKind.DELIVER,),
    Holds.FITTING: (StepKind.FIT,),
}
# The event that makes each payment due is the end of a step of this kind.
EVENT_STEPS: dict[str, str] = {
    PaymentEvent.DEPOSIT: StepKind.APPROVAL,
    PaymentEvent.DELIVERY: StepKind.LOAD,
    PaymentEvent.FITTED: StepKind.FIT,
    PaymentEvent.HANDOVER: StepKind.HANDOVER,
}


class StagePayment(models.Model):
    """A part of the price, tied to an event. Amounts in pence."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="stage_payments")
    event = models.CharField("falls due", max_length=12, choices=PaymentEvent.choices, default=PaymentEvent.DEPOSIT)
    words = models.CharField("in words", max_length=80, blank=True)
    amount_pence = models.PositiveBigIntegerField("amount")
    due_on = models.DateField("due on", null=True, blank=True)
    holds = models.CharField("what waits for it", max_length=12, choices=Holds.choices, blank=True, default="")

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [models.CheckConstraint(condition=Q(amount_pence__gt=0), name="stage_payment_is_of_something")]

    def __str__(self) -> str:
        return self.words or str(self.get_event_display())


class Receipt(models.Model):
    """Money that came in against a stage payment; it counts for a gate once it has cleared."""

    stage_payment = models.ForeignKey(StagePayment, on_delete=models.CASCADE, related_name="receipts")
    amount_pence = models.PositiveBigIntegerField("amount")
    received_on = models.DateField("received on")
    cleared_on = models.DateField("cleared on", null=True, blank=True)
    evidence = models.CharField("how it is seen", max_length=120, blank=True)

    class Meta:
        ordering = ["received_on", "pk"]
        constraints = [models.CheckConstraint(condition=Q(amount_pence__gt=0), name="receipt_is_of_something")]
