from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models

from jobs.models.commission import Commission


class ParkingRule(models.Model):
    """What a council asks for a place in one zone. Councils differ and change: each rule carries the day it was
    last looked at."""

    council = models.CharField("council", max_length=80)
    zone = models.CharField("zone", max_length=40, blank=True)
    what = models.CharField("what is asked for", max_length=80, default="bay suspension")
    notice_working_days = models.PositiveSmallIntegerField(
        "notice, working days",
        validators=[MaxValueValidator(60, "Notice: give a number of working days from 0 to 60.")],
    )
    fee_pence = models.PositiveBigIntegerField("fee", default=0)
    checked_on = models.DateField("looked up on")

    class Meta:
        ordering = ["council", "zone", "what"]
        constraints = [models.UniqueConstraint(fields=["council", "zone", "what"], name="parking_rule_once")]

    def __str__(self) -> str:
        zone = f", zone {self.zone}" if self.zone else ""
        return f"{self.council}{zone}: {self.what}"


class ParkingPlan(models.Model):
    """A place to park for one day of a commission, and how far the asking for it has come."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="parking_plans")
    rule = models.ForeignKey(ParkingRule, on_delete=models.PROTECT, related_name="plans", verbose_name="which place")
    day = models.DateField("for the day")
    applied_on = models.DateField("applied on", null=True, blank=True)
    granted_on = models.DateField("granted on", null=True, blank=True)
    reference = models.CharField("their reference", max_length=60, blank=True)

    class Meta:
        ordering = ["day", "pk"]
        constraints = [models.UniqueConstraint(fields=["commission", "rule", "day"], name="parking_once_a_day")]
