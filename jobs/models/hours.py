from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from jobs.models.commission import Commission
from jobs.models.kinds import StepKind
from jobs.models.person import Person


class HourKind(models.TextChoices):
    """What an hour went into: the steps, and the work that no step names and that is seldom priced."""

    QUOTE = "quote", "Quoting"
    SURVEY = "survey", "Survey"
    DRAWING = "drawing", "Drawing"
    ORDER = "order", "Ordering"
    DOORS = "doors", "Making doors"
    SPRAYER_OUT = "sprayer_out", "To and from the sprayer"
    INSPECT = "inspect", "Inspecting"
    CARCASSES = "carcasses", "Making carcasses"
    FINISH = "finish", "Finishing"
    DRY_FIT = "dry_fit", "Dry fit"
    WRAP = "wrap", "Wrapping"
    LOAD = "load", "Loading"
    DRIVE = "drive", "Driving"
    PARK = "park", "Parking"
    CARRY = "carry", "Carrying"
    PROTECT = "protect", "Protecting"
    FIT = "fit", "Fitting"
    SNAGS = "snags", "Snagging"
    TIDY = "tidy", "Tidying"
    HANDOVER = "handover", "Handing over"
    RETURN_VISIT = "return_visit", "Return visit"
    REDO = "redo", "Making good"
    OFFICE = "office", "Office"
    OTHER = "other", "Other"


# Kinds of hour that the allowance of a step of another name has to cover. A kind in neither list is its own step.
COVERED_BY: dict[str, str] = {
    HourKind.DRIVE: StepKind.DELIVER,
    HourKind.PARK: StepKind.DELIVER,
    HourKind.CARRY: StepKind.DELIVER,
    HourKind.PROTECT: StepKind.FIT,
    HourKind.TIDY: StepKind.FIT,
    HourKind.ORDER: StepKind.MATERIALS,
}
LONGEST_MINUTES = 16 * 60


class HourEntry(models.Model):
    """Time of one person on one commission: from a timer (with both instants), or told afterwards (a day and the
    minutes). A timer without an end is running; the database lets each person have one."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="hours", verbose_name="who")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="hours")
    kind = models.CharField("on what", max_length=16, choices=HourKind.choices)
    worked_on = models.DateField("day")
    started_at = models.DateTimeField("from", null=True, blank=True)
    ended_at = models.DateTimeField("to", null=True, blank=True)
    minutes = models.PositiveSmallIntegerField("minutes", null=True, blank=True)

    class Meta:
        ordering = ["-worked_on", "-pk"]
        indexes = [models.Index(fields=["commission", "kind"])]
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(started_at__isnull=False, ended_at__isnull=True),
                name="one_running_timer_a_person",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gt=F("started_at")),
                name="hours_end_after_they_start",
            ),
            models.CheckConstraint(
                condition=Q(started_at__isnull=False, ended_at__isnull=True, minutes__isnull=True)
                | Q(minutes__isnull=False, minutes__lte=LONGEST_MINUTES),
                name="hours_run_or_have_minutes",
            ),
        ]

    @property
    def is_running(self) -> bool:
        return self.started_at is not None and self.ended_at is None
