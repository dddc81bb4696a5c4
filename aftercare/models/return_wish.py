from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from jobs.calendar_days import WEEKDAY_NAMES
from jobs.models import Commission


class ReturnWish(models.Model):
    """What the client last asked for: a weekday, a time of day, or both. A newer wish takes the place of an older."""

    commission = models.OneToOneField(Commission, on_delete=models.CASCADE, related_name="return_wish")
    weekday = models.PositiveSmallIntegerField(
        "day of the week", null=True, blank=True, choices=list(enumerate(WEEKDAY_NAMES)),
        validators=[MaxValueValidator(6)],
    )  # fmt: skip
    time = models.TimeField("time of day", null=True, blank=True)
    asked_at = models.DateTimeField()

    class Meta:
        ordering = ["commission"]
        constraints = [
            models.CheckConstraint(
                condition=Q(weekday__isnull=False) | Q(time__isnull=False), name="return_wish_says_something"
            )
        ]
