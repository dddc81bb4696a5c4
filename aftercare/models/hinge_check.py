from __future__ import annotations

from django.db import models

from aftercare.models.door import Door
from jobs.models import Person, Snag, Step, Visit


class Looked(models.TextChoices):
    NOT_YET = "", "Not looked at"
    GOOD = "good", "In order"
    BAD = "bad", "Not in order"


class Parts(models.TextChoices):
    NOT_YET = "", "Not looked at"
    NONE = "none", "There are none"
    GOOD = "good", "In order"
    BAD = "bad", "Not in order"


class Verdict(models.TextChoices):
    AS_FITTED = "as_fitted", "As fitted: nothing done"
    ADJUSTED = "adjusted", "Adjusted, in order now"
    WATCH = "watch", "In order, look again"
    SNAG = "snag", "Snag: to be put right"


class HingeCheck(models.Model):
    """What was found at a return visit, in the room and door by door."""

    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, related_name="hinge_check")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="hinge_checks")
    begun_at = models.DateTimeField("begun")
    finished_at = models.DateTimeField("finished", null=True, blank=True)
    room_c = models.DecimalField("room temperature, °C", max_digits=4, decimal_places=1, null=True, blank=True)
    humidity_percent = models.PositiveSmallIntegerField("relative humidity, %", null=True, blank=True)
    fixings = models.CharField("wall fixings", max_length=4, choices=Looked.choices, blank=True, default="")
    scribes = models.CharField("scribes and caulk", max_length=4, choices=Looked.choices, blank=True, default="")
    notes = models.TextField("notes", blank=True)

    class Meta:
        ordering = ["begun_at", "pk"]


class DoorCheck(models.Model):
    """One door at one check. Gaps and bow in tenths of a millimetre, before and after adjusting."""

    check_of = models.ForeignKey(HingeCheck, on_delete=models.CASCADE, related_name="doors")
    door = models.ForeignKey(Door, on_delete=models.CASCADE, related_name="checks")
    before_top_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    before_bottom_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    before_left_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    before_right_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    after_top_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    after_bottom_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    after_left_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    after_right_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    bow_tenths_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    rubs = models.BooleanField("rubs", default=False)
    screws = models.CharField("screws tight", max_length=4, choices=Looked.choices, blank=True, default="")
    dampers = models.CharField("dampers", max_length=4, choices=Parts.choices, blank=True, default="")
    verdict = models.CharField("verdict", max_length=10, choices=Verdict.choices)
    words = models.CharField("what is wrong, or what was done", max_length=200, blank=True)
    # The line on the snag list and the step that puts it right, made when the check is finished.
    snag = models.ForeignKey(Snag, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["check_of", "door"]
        constraints = [models.UniqueConstraint(fields=["check_of", "door"], name="door_once_a_check")]
