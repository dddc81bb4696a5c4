from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.commission import Commission
from jobs.models.drawing import DrawingVersion
from jobs.models.step import Step

CANCELLATION_CAUTION = (
    "A contract agreed at the client’s home or at a distance carries duties to inform, and may carry a right to "
    "cancel; made to measure alone does not settle it. "
    "This is a record, not advice: take advice, and let your adviser set the wording."
)


class WhereAgreed(models.TextChoices):
    WORKSHOP = "workshop", "At the workshop"
    HOME = "home", "At the client’s home"
    DISTANCE = "distance", "At a distance: post, mail or telephone"
    OTHER = "other", "Elsewhere"


class Contract(models.Model):
    """What was agreed: which quote and drawing, where and how, and when notice of cancellation rights was given."""

    commission = models.OneToOneField(Commission, on_delete=models.CASCADE, related_name="contract")
    quote_reference = models.CharField("quote", max_length=60)
    quote_version = models.CharField("its version", max_length=20, blank=True)
    price_pence = models.PositiveBigIntegerField("price agreed")
    drawing = models.ForeignKey(
        DrawingVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="contracts",
        verbose_name="drawing accepted",
    )  # fmt: skip
    drawing_sha256 = models.CharField(max_length=64, blank=True)  # frozen when the drawing was named
    agreed_on = models.DateField("agreed on")
    agreed_by_name = models.CharField("agreed by", max_length=120)
    where_agreed = models.CharField("where it was agreed", max_length=10, choices=WhereAgreed.choices)
    how_agreed = models.CharField("how: signed, by mail …", max_length=120, blank=True)
    notice_on = models.DateField("notice of cancellation rights given on", null=True, blank=True)
    notice_how = models.CharField("how the notice was given", max_length=120, blank=True)
    exclusions = models.TextField("what is not included", blank=True)

    def __str__(self) -> str:
        return self.quote_reference

    @property
    def lacks_notice(self) -> bool:
        return self.notice_on is None and self.where_agreed in (WhereAgreed.HOME, WhereAgreed.DISTANCE)


class Variation(models.Model):
    """A change to what was agreed, with its price and its days, and the client's answer."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="variations")
    number = models.PositiveSmallIntegerField("number")
    words = models.TextField("what changes")
    price_pence = models.BigIntegerField("price, more or less")
    days = models.SmallIntegerField("working days, more or less", default=0)
    asked_at = models.DateTimeField("put to the client")
    is_agreed = models.BooleanField("the client said yes", null=True, blank=True)
    answered_at = models.DateTimeField("answered", null=True, blank=True)
    answered_by_name = models.CharField("answered by", max_length=120, blank=True)
    answered_how = models.CharField("how", max_length=60, blank=True)
    # The step that took up the days when the client said yes, so that the plan knows them.
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="variations")

    class Meta:
        ordering = ["commission", "number"]
        constraints = [
            models.UniqueConstraint(fields=["commission", "number"], name="variation_number_once"),
            models.CheckConstraint(
                condition=Q(is_agreed__isnull=True, answered_at__isnull=True)
                | Q(is_agreed__isnull=False, answered_at__isnull=False),
                name="variation_answer_has_its_time",
            ),
        ]

    def __str__(self) -> str:
        return f"Variation {self.number}"
