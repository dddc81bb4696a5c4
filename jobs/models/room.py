from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from jobs.models.commission import Commission

BEARING = [MinValueValidator(0), MaxValueValidator(359)]


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
    window_width_mm = models.PositiveIntegerField("window width, mm", null=True, blank=True)
    window_height_mm = models.PositiveIntegerField("window height, mm", null=True, blank=True)
    obstruction_deg = models.PositiveSmallIntegerField(
        "height of what stands opposite, degrees", default=0, validators=[MaxValueValidator(89)]
    )

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [models.UniqueConstraint(fields=["commission", "name"], name="room_name_once")]

    def __str__(self) -> str:
        return self.name
