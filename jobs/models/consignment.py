from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from jobs.models.commission import Commission
from jobs.models.step import Step
from jobs.models.subcontractor import Subcontractor


class Consignment(models.Model):
    """What goes to the sprayer together and comes back: a note out, a count in. A re-do is a consignment of its own,
    with its own date, for what came back short or damaged."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="consignments")
    subcontractor = models.ForeignKey(
        Subcontractor, on_delete=models.PROTECT, related_name="consignments", verbose_name="goes to"
    )
    number = models.PositiveSmallIntegerField("number within the commission")
    redo_of = models.ForeignKey("self", on_delete=models.CASCADE, null=True, blank=True, related_name="redos")
    # The step that waits for it: the sprayer's, or the make good of a re-do.
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="consignments")
    product = models.CharField("coating and code", max_length=120, blank=True)
    colour = models.CharField("colour and reference", max_length=120, blank=True)
    sheen_percent = models.PositiveSmallIntegerField("sheen, %", null=True, blank=True)
    sample = models.CharField("approved sample", max_length=60, blank=True)
    batch = models.CharField("batch", max_length=60, blank=True)
    promised_on = models.DateField("promised back on", null=True, blank=True)
    sent_at = models.DateTimeField("sent", null=True, blank=True)
    back_at = models.DateTimeField("all back", null=True, blank=True)
    notes = models.TextField("words for the note", blank=True)

    class Meta:
        ordering = ["commission", "number"]
        constraints = [
            models.UniqueConstraint(fields=["commission", "number"], name="consignment_number_once"),
            models.CheckConstraint(
                condition=Q(back_at__isnull=True) | Q(sent_at__isnull=False, back_at__gte=F("sent_at")),
                name="consignment_back_after_it_went",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.commission.number}/{self.number}"


class ConsignmentItem(models.Model):
    """One line of the note: so many of one size."""

    consignment = models.ForeignKey(Consignment, on_delete=models.CASCADE, related_name="items")
    words = models.CharField("what", max_length=80)
    count = models.PositiveSmallIntegerField("how many")
    height_mm = models.PositiveIntegerField("height, mm", null=True, blank=True)
    width_mm = models.PositiveIntegerField("width, mm", null=True, blank=True)
    thickness_mm = models.PositiveSmallIntegerField("thickness, mm", null=True, blank=True)
    faces = models.PositiveSmallIntegerField("faces to coat, of each", default=2)
    masked_cups = models.PositiveSmallIntegerField("hinge cups to mask, of each", default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=Q(count__gt=0), name="consignment_item_is_of_something")]

    def __str__(self) -> str:
        return self.words


class Condition(models.TextChoices):
    GOOD = "good", "Good"
    DAMAGED = "damaged", "Damaged"
    WRONG = "wrong", "Wrong colour, sheen or face"


class ItemReturn(models.Model):
    """Some of a line came back, in one condition, on one occasion."""

    item = models.ForeignKey(ConsignmentItem, on_delete=models.CASCADE, related_name="returns")
    count = models.PositiveSmallIntegerField("how many")
    condition = models.CharField("condition", max_length=8, choices=Condition.choices, default=Condition.GOOD)
    at = models.DateTimeField("came back")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [models.CheckConstraint(condition=Q(count__gt=0), name="item_return_is_of_something")]
