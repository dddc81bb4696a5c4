from __future__ import annotations

from django.db import models
from django.urls import reverse

from jobs.models.commission import Commission
from jobs.models.person import Person
from jobs.models.room import Room
from jobs.models.survey import FeatureWall, Survey


class PhotographPurpose(models.TextChoices):
    SURVEY = "survey", "Survey"
    ROUTE_BEFORE = "route_before", "Route before the carry"
    ROUTE_AFTER = "route_after", "Route after the carry"
    ROOM_BEFORE = "room_before", "Room before the work"
    ROOM_AFTER = "room_after", "Room after the work"
    HIDDEN = "hidden", "Pipes, cables and fixings before they are covered"
    WORK = "work", "Work in hand"
    SNAG = "snag", "Snag"
    FINISHED = "finished", "Finished furniture"


class Photograph(models.Model):
    """A picture as this program keeps it: a JPEG of its own making, upright, without the place it was taken at."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="photographs")
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, null=True, blank=True, related_name="photographs")
    survey = models.ForeignKey(
        Survey, on_delete=models.SET_NULL, null=True, blank=True, related_name="photographs", verbose_name="survey"
    )
    wall = models.CharField("which wall", max_length=6, choices=FeatureWall.choices, blank=True)
    purpose = models.CharField(
        "what for", max_length=14, choices=PhotographPurpose.choices, default=PhotographPurpose.WORK
    )
    words = models.CharField("what it shows", max_length=200, blank=True)
    is_shown_to_client = models.BooleanField("show it on the client's page", default=False)
    file = models.FileField(upload_to="photographs/", max_length=200)
    small = models.FileField(upload_to="photographs/", max_length=200)
    sha256 = models.CharField(max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    # From the camera's own record, where it kept one that can be believed.
    taken_at = models.DateTimeField("taken", null=True, blank=True)
    added_at = models.DateTimeField("added")
    added_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["commission", "taken_at", "pk"]

    def __str__(self) -> str:
        return self.words or str(self.get_purpose_display())

    def get_absolute_url(self) -> str:
        return reverse("photograph_file", args=[self.pk])
