from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models.calendar import DayRangeModel
from jobs.models.workshop import monday_to_friday


class Subcontractor(models.Model):
    """Somebody we send work to: the sprayer, a metal worker. Their working days are theirs, not ours."""

    name = models.CharField("name", max_length=120, unique=True)
    trade = models.CharField("what they do", max_length=80, default="sprayer")
    email = models.EmailField("e-mail", blank=True)
    phone = PhoneNumberField("telephone", blank=True)
    address = models.TextField("address", blank=True)
    weekdays = models.JSONField("days they work", default=monday_to_friday)  # Monday is 0
    turnaround_days = models.PositiveSmallIntegerField(
        "turnaround they state, their working days",
        default=10,
        validators=[MaxValueValidator(200, "Turnaround: give a number of working days from 0 to 200.")],
    )
    notes = models.TextField("notes", blank=True)
    is_active = models.BooleanField("we work with them", default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class SubcontractorClosure(DayRangeModel):
    """Days on which they are shut, both ends included."""

    subcontractor = models.ForeignKey(Subcontractor, on_delete=models.CASCADE, related_name="closures")
    reason = models.CharField("reason", max_length=120, blank=True)
