"""What was measured in a room, when, and what has been said of it since."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from jobs.models.commission import Commission
from jobs.models.person import Person
from jobs.models.room import BEARING, Room


class SurveyPurpose(models.TextChoices):
    SURVEY = "survey", "Survey"
    REMEASURE = "remeasure", "Re-measure before cutting"
    ARRIVAL = "arrival", "Measured on arrival"


class ReadingKind(models.TextChoices):
    WIDTH = "width", "Width"
    HEIGHT = "height", "Height"
    DEPTH = "depth", "Depth"
    PLUMB = "plumb", "Plumb"
    LEVEL = "level", "Level"
    DIAGONAL = "diagonal", "Diagonal"
    SKIRTING = "skirting", "Skirting"
    CORNICE = "cornice", "Cornice"


class Survey(models.Model):
    """One time a room was measured. A re-measure counts for cutting once it is signed off."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="surveys")
    purpose = models.CharField("why", max_length=10, choices=SurveyPurpose.choices, default=SurveyPurpose.SURVEY)
    taken_on = models.DateField("measured on")
    taken_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    wall_type = models.CharField("what the walls are", max_length=120, blank=True)
    floor_build_up = models.CharField("how the floor is built up", max_length=120, blank=True)
    notes = models.TextField("notes", blank=True)
    signed_off_at = models.DateTimeField("signed off", null=True, blank=True)
    signed_off_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["room", "taken_on", "pk"]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()}, {self.taken_on:%d.%m.%Y}"

    def get_absolute_url(self) -> str:
        return reverse("survey", args=[self.pk])


class Reading(models.Model):
    """One size at one place, whole mm. Plumb and level may be negative and say over what length they were taken."""

    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="readings")
    kind = models.CharField("kind", max_length=10, choices=ReadingKind.choices)
    place = models.CharField("place", max_length=40)
    value_mm = models.IntegerField("mm")
    over_mm = models.PositiveIntegerField("over, mm", null=True, blank=True)

    class Meta:
        ordering = ["survey", "pk"]
        constraints = [models.UniqueConstraint(fields=["survey", "kind", "place"], name="reading_once_a_place")]


class FeatureKind(models.TextChoices):
    WINDOW = "window", "Window"
    SILL = "sill", "Window sill"
    BLIND = "blind", "Blind or curtain rail"
    RADIATOR = "radiator", "Radiator"
    PIPE = "pipe", "Pipe"
    SOCKET = "socket", "Socket or switch"
    OTHER = "other", "Something else"


class FeatureWall(models.TextChoices):
    LEFT = "left", "Left wall"
    BACK = "back", "Back wall"
    RIGHT = "right", "Right wall"
    FRONT = "front", "Wall opposite"


class RoomFeature(models.Model):
    """Something on a wall: where it sits and how far it stands proud; windows with reveal and facing."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="features")
    kind = models.CharField("what", max_length=10, choices=FeatureKind.choices)
    name = models.CharField("name", max_length=60)
    wall = models.CharField("wall", max_length=6, choices=FeatureWall.choices)
    start_mm = models.PositiveIntegerField("starts at, mm")
    end_mm = models.PositiveIntegerField("ends at, mm")
    bottom_mm = models.PositiveIntegerField("bottom above the floor, mm")
    top_mm = models.PositiveIntegerField("top above the floor, mm")
    stands_out_mm = models.PositiveIntegerField("stands proud by, mm", default=0)
    reveal_mm = models.PositiveIntegerField("reveal, mm", null=True, blank=True)
    facing_deg = models.PositiveSmallIntegerField("faces, compass degrees", null=True, blank=True, validators=BEARING)

    class Meta:
        ordering = ["room", "pk"]

    def __str__(self) -> str:
        return self.name


class RunPlan(models.Model):
    """The run of units drawn for a room: widths from left to right, where it stands, and its doors.

    `doors` has a mark for each unit: "L" or "R" for one door hinged there, "LR" for a pair, "" for none.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="run_plan")
    widths_mm = models.JSONField(default=list)
    doors = models.JSONField(default=list)
    depth_mm = models.PositiveIntegerField("depth with doors, mm")
    position_mm = models.IntegerField("infill left, mm")
    door_bottom_mm = models.PositiveIntegerField("bottom of the doors, mm", default=100)
    door_top_mm = models.PositiveIntegerField("top of the doors, mm", default=2200)


class Declaration(models.Model):
    """The client's word, with its date, that nothing in the rooms has changed since the survey, or that it has."""

    class Way(models.TextChoices):
        LINK = "link", "By the client page"
        TOLD = "told", "Told us"
        WRITTEN = "written", "In writing"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="declarations")
    declared_at = models.DateTimeField("declared at")
    way = models.CharField("how", max_length=8, choices=Way.choices)
    nothing_changed = models.BooleanField("nothing has changed")
    what_changed = models.TextField("what has changed", blank=True)

    class Meta:
        ordering = ["commission", "declared_at", "pk"]


class WorkSince(models.Model):
    """Work done in the house since the survey that may have changed the room: plaster, floor, skirting, wiring."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="works_since")
    done_on = models.DateField("done on")
    what = models.CharField("what was done", max_length=200)

    class Meta:
        ordering = ["commission", "done_on", "pk"]

    def __str__(self) -> str:
        return self.what
