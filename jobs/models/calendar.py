"""Days on which somebody or something is not there, or is. Ranges are inclusive at both ends."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from jobs.models.person import Person


class DayRangeModel(models.Model):
    first_day = models.DateField("first day")
    last_day = models.DateField("last day")

    class Meta:
        abstract = True
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="%(class)s_ends_after_it_starts")
        ]


class Closure(DayRangeModel):
    """The workshop is shut: holidays, a machine being moved."""

    reason = models.CharField("reason", max_length=120, blank=True)


class Absence(DayRangeModel):
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="absences")
    reason = models.CharField("reason", max_length=120, blank=True)


class HelperDay(models.Model):
    """A day on which a helper is booked."""

    day = models.DateField("day")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="helper_days")

    class Meta:
        ordering = ["day", "pk"]
        constraints = [models.UniqueConstraint(fields=["day", "person"], name="helper_once_a_day")]


class VanDay(models.Model):
    """A day with a hired van, for a workshop without its own; or a day when the own van is away."""

    day = models.DateField("day", unique=True)
    available = models.BooleanField("van is there", default=True)

    class Meta:
        ordering = ["day"]
