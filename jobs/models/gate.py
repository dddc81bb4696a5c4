from __future__ import annotations

from django.db import models

from jobs.models.person import Person
from jobs.models.step import Step


class GateOverride(models.Model):
    """A step begun although something it should wait for was missing: what, why all the same, and who said so."""

    step = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="overrides")
    at = models.DateTimeField()
    actor = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    missing = models.TextField("what was missing")
    reason = models.CharField("why all the same", max_length=200)

    class Meta:
        ordering = ["at", "pk"]
