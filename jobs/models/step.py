from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from jobs.models.commission import Commission
from jobs.models.kinds import StepKind, Track
from jobs.models.subcontractor import Subcontractor


class StepShape(models.Model):
    """What a step of a template and a step of a commission have in common."""

    kind = models.CharField("kind", max_length=16, choices=StepKind.choices, default=StepKind.OTHER)
    name = models.CharField("name", max_length=80)
    track = models.CharField("track", max_length=12, choices=Track.choices, default=Track.WHOLE)
    position = models.PositiveSmallIntegerField("place in the list", default=0)
    allowance_hours = models.DecimalField(
        "allowance, hours", max_digits=6, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    # Lead time in the subcontractor's or supplier's own working days; such a step takes none of our hours.
    lead_days = models.PositiveSmallIntegerField("lead time, working days", default=0)
    hands = models.PositiveSmallIntegerField("pairs of hands", default=1)
    needs_helper = models.BooleanField("needs a helper", default=False)
    needs_van = models.BooleanField("needs the van", default=False)
    needs_floor = models.BooleanField("takes floor space", default=False)
    needs_client = models.BooleanField("client at home", default=False)
    needs_access = models.BooleanField("needs access", default=False)

    class Meta:
        abstract = True


class Template(models.Model):
    """A network of steps to start a commission from."""

    name = models.CharField("name", max_length=80, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class TemplateStep(StepShape):
    template = models.ForeignKey(Template, on_delete=models.CASCADE, related_name="steps")

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class TemplateLink(models.Model):
    before = models.ForeignKey(TemplateStep, on_delete=models.CASCADE, related_name="links_out")
    after = models.ForeignKey(TemplateStep, on_delete=models.CASCADE, related_name="links_in")
    least_wait_days = models.PositiveSmallIntegerField("least wait, working days", default=0)
    greatest_wait_days = models.PositiveSmallIntegerField("greatest wait, working days", null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["before", "after"], name="template_link_once")]


class Step(StepShape):
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="steps")
    # Who does it, where it is not us; their closures then count in the plan.
    subcontractor = models.ForeignKey(
        Subcontractor, on_delete=models.SET_NULL, null=True, blank=True, related_name="steps", verbose_name="done by"
    )
    earliest_on = models.DateField("not before", null=True, blank=True)
    latest_on = models.DateField("not after", null=True, blank=True)
    promised_on = models.DateField("promised to the client for", null=True, blank=True)
    started_at = models.DateTimeField("started", null=True, blank=True)
    finished_at = models.DateTimeField("finished", null=True, blank=True)
    actual_hours = models.DecimalField(
        "actual, hours",
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True)
                | Q(started_at__isnull=True)
                | Q(finished_at__gte=F("started_at")),
                name="step_finished_after_it_began",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_running(self) -> bool:
        return self.started_at is not None and self.finished_at is None


class StepLink(models.Model):
    """`after` may not start before `before` has finished, plus the waits, in working days."""

    before = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="links_out")
    after = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="links_in")
    least_wait_days = models.PositiveSmallIntegerField("least wait, working days", default=0)
    greatest_wait_days = models.PositiveSmallIntegerField("greatest wait, working days", null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["before", "after"], name="step_link_once")]
