from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from jobs.models.commission import Commission

BEARING_SENTENCE = "A compass bearing runs from 0 to 359 degrees: north is 0, east 90, south 180, west 270."
BEARING = [MinValueValidator(0, BEARING_SENTENCE), MaxValueValidator(359, BEARING_SENTENCE)]
OBSTRUCTION = [MaxValueValidator(89, "What stands opposite reaches from 0 degrees (open view) to 89.")]
LENGTH_SENTENCE = "A window measures from 1 to 20000 mm: leave it blank if it was not measured."
SILL_SENTENCE = "A sill lies from 0 to 20000 mm above the floor: leave it blank if it was not measured."
SILL = [MaxValueValidator(20_000, SILL_SENTENCE)]
LENGTH = [MinValueValidator(1, LENGTH_SENTENCE), MaxValueValidator(20_000, LENGTH_SENTENCE)]


class Room(models.Model):
    """A room of a commission, as far as light and access need to know it."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="rooms")
    name = models.CharField("room", max_length=80)
    storey = models.SmallIntegerField("floor, ground is 0", default=0)
    window_facing_deg = models.PositiveSmallIntegerField(
        "window faces, compass degrees", null=True, blank=True, validators=BEARING
    )
    furniture_facing_deg = models.PositiveSmallIntegerField(
        "doors face, compass degrees", null=True, blank=True, validators=BEARING
    )
    window_width_mm = models.PositiveIntegerField("window width, mm", null=True, blank=True, validators=LENGTH)
    window_height_mm = models.PositiveIntegerField("window height, mm", null=True, blank=True, validators=LENGTH)
    window_sill_mm = models.PositiveIntegerField(
        "window sill above the floor, mm", null=True, blank=True, validators=SILL
    )
    obstruction_deg = models.PositiveSmallIntegerField(
        "height of what stands opposite, degrees", default=0, validators=OBSTRUCTION
    )

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [models.UniqueConstraint(fields=["commission", "name"], name="room_name_once")]

    def __str__(self) -> str:
        return self.name
