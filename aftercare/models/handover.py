from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models import Commission, Person, Visit


class Handover(models.Model):
    """The client takes the furniture over. A handover made by mistake is undone, not deleted."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="handovers")
    handed_over_at = models.DateTimeField("handed over")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="handovers")
    return_visit = models.ForeignKey(Visit, on_delete=models.SET_NULL, null=True, related_name="handovers")
    know_first = models.CharField("first thing to know", max_length=160, blank=True)
    know_second = models.CharField("second thing to know", max_length=160, blank=True)
    know_third = models.CharField("third thing to know", max_length=160, blank=True)
    agreed = models.TextField("what was agreed", blank=True)
    existing_marks = models.TextField("marks that were there before", blank=True)
    undone_at = models.DateTimeField("undone", null=True, blank=True)

    class Meta:
        ordering = ["commission", "handed_over_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["commission"], condition=Q(undone_at__isnull=True), name="handed_over_once"
            )
        ]

    @property
    def things_to_know(self) -> list[str]:
        return [thing for thing in (self.know_first, self.know_second, self.know_third) if thing]
