from __future__ import annotations

from django.db import models

from jobs.models.person import Person
from jobs.models.step import Step


class GateOverride(models.Model):
    """A step was begun although a gate held it: who decided, why, and what the gate had said."""

    step = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="gate_overrides")
    at = models.DateTimeField("when")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sentences = models.TextField("what held it")
    reason = models.CharField("why all the same", max_length=200)

    class Meta:
        ordering = ["at", "pk"]
