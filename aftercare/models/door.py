from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from jobs.models import Commission, Piece, Room
from jobs.models.piece import BOARD_CHOICES


class Hung(models.TextChoices):
    LEFT = "left", "Hinges on the left"
    RIGHT = "right", "Hinges on the right"
    TOP = "top", "Hinges at the top"
    SLIDES = "slides", "Slides"
    FIXED = "fixed", "Fixed: does not open"


class Door(models.Model):
    """A door as fitted: what the hinge check looks at and the labelled elevation shows. Whole mm."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="doors")
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, null=True, blank=True, related_name="doors")
    piece = models.ForeignKey(Piece, on_delete=models.SET_NULL, null=True, blank=True, related_name="doors")
    label = models.CharField("label", max_length=8)
    position = models.PositiveSmallIntegerField("place, from the left", default=1)
    width_mm = models.PositiveIntegerField("width, mm")
    height_mm = models.PositiveIntegerField("height, mm")
    thickness_mm = models.DecimalField("thickness, mm", max_digits=4, decimal_places=1, null=True, blank=True)
    board = models.CharField("board", max_length=20, choices=BOARD_CHOICES, blank=True)
    # A typed weight wins over the one worked out from size and board; without either it is "not recorded".
    typed_kg = models.DecimalField(
        "weight, kg",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[
            MinValueValidator(0.1, "Weight: give kilograms from 0.1 to 200, or leave it blank."),
            MaxValueValidator(200, "Weight: give kilograms from 0.1 to 200, or leave it blank."),
        ],
    )
    hung = models.CharField("how it hangs", max_length=6, choices=Hung.choices, default=Hung.LEFT)
    hinges_fitted = models.PositiveSmallIntegerField(
        "hinges fitted",
        null=True,
        blank=True,
        validators=[MaxValueValidator(12, "Hinges fitted: give a number from 0 to 12.")],
    )
    # Where it stands in the elevation; blank stands to the right of the door before it, on the line of its foot.
    left_mm = models.PositiveIntegerField("from the left end, mm", null=True, blank=True)
    bottom_mm = models.PositiveIntegerField("foot above the floor, mm", null=True, blank=True)

    class Meta:
        ordering = ["commission", "room", "position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["commission", "label"],
                name="door_label_once",
                violation_error_code="label",
                violation_error_message="This commission has a door with this label already: give another one.",
            )
        ]

    def __str__(self) -> str:
        return self.label
