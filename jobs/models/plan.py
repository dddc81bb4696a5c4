from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.person import Person


class PlanState(models.TextChoices):
    CURRENT = "current", "In force"
    PAST = "past", "Was in force"
    OFFERED = "offered", "Offered"
    DECLINED = "declined", "Declined"
    LAPSED = "lapsed", "Overtaken before it was decided"


class PlanVersion(models.Model):
    """One plan of all commissions, as it was made.

    What it says of work to begin is never changed; only its state is, and, while it still holds for a changed record,
    what is computed anew: `input_hash`, where work under way stands in `places`, `forecast`, `remedies`.

    JSON columns: `terms` {name: cost}; `places` {step key: [first day, half, last day, half]} of the steps that were
    not finished; `moved` [[step key, day, half, new day, half, told]]; `refused` [[commission key, sentence]];
    `forecast` {"words", "enough", "steps": {step key: [P50 day, P80 day, chance or null]}};
    `remedies` {step key: [[words, half-days late then, half-days gained]]}.
    """

    made_at = models.DateTimeField("made")
    method = models.CharField("how", max_length=40)
    seed = models.PositiveIntegerField("seed", null=True, blank=True)
    solver_version = models.CharField("solver", max_length=40, blank=True)
    hit_time_limit = models.BooleanField("cut short by the clock", default=False)
    input_hash = models.CharField("hash of its input", max_length=64)
    terms = models.JSONField("terms of its cost", default=dict)
    places = models.JSONField("places", default=dict)
    moved = models.JSONField("moved since the one before", default=list)
    refused = models.JSONField("set aside", default=list)
    forecast = models.JSONField("forecast", default=dict)
    remedies = models.JSONField("what would help", default=dict)
    state = models.CharField("state", max_length=10, choices=PlanState.choices)
    improvement_tried = models.BooleanField("a better one was looked for", default=False)
    decided_at = models.DateTimeField("decided", null=True, blank=True)
    decided_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", verbose_name="decided by"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["state"], condition=Q(state="current"), name="one_plan_in_force"),
            models.UniqueConstraint(fields=["state"], condition=Q(state="offered"), name="one_plan_offered"),
        ]

    def __str__(self) -> str:
        return f"plan {self.pk}"

    @property
    def cost(self) -> int:
        return sum(self.terms.values())
