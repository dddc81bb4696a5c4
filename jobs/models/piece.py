from __future__ import annotations

from django.db import models
from django.urls import reverse

from jobs.carrying.weights import BOARDS
from jobs.models.commission import Commission
from jobs.models.finish import FinishRecord
from jobs.models.kinds import Track
from jobs.models.room import Room
from jobs.models.step import Step

BOARD_CHOICES = [(board.key, board.name) for board in BOARDS.values()]


class PiecePlace(models.TextChoices):
    NOT_MADE = "not_made", "Not made yet"
    WORKSHOP = "workshop", "In the workshop"
    SPRAYER = "sprayer", "At the sprayer"
    VAN = "van", "In the van"
    ROOM = "room", "In the room"
    ELSEWHERE = "elsewhere", "Somewhere else"


class Piece(models.Model):
    """One thing that is made, wrapped, loaded and carried. Whole mm; blank figures are "not recorded"."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="pieces")
    number = models.PositiveSmallIntegerField("number")
    name = models.CharField("name", max_length=80)
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, null=True, blank=True, related_name="pieces")
    track = models.CharField("track", max_length=12, choices=Track.choices, default=Track.CARCASSES)
    width_mm = models.PositiveIntegerField("width, mm")
    height_mm = models.PositiveIntegerField("height, mm")
    depth_mm = models.PositiveIntegerField("depth, mm")
    board = models.CharField("board", max_length=20, choices=BOARD_CHOICES, blank=True)
    thickness_mm = models.DecimalField("thickness, mm", max_digits=5, decimal_places=1, null=True, blank=True)
    area_m2 = models.DecimalField("board in it, m²", max_digits=6, decimal_places=3, null=True, blank=True)
    fittings_kg = models.DecimalField("fittings, kg", max_digits=6, decimal_places=2, default=0)
    typed_kg = models.DecimalField("weight, kg", max_digits=7, decimal_places=2, null=True, blank=True)
    wrapped_width_mm = models.PositiveIntegerField("wrapped width, mm", null=True, blank=True)
    wrapped_height_mm = models.PositiveIntegerField("wrapped height, mm", null=True, blank=True)
    wrapped_depth_mm = models.PositiveIntegerField("wrapped depth, mm", null=True, blank=True)
    finish = models.ForeignKey(FinishRecord, on_delete=models.SET_NULL, null=True, blank=True, related_name="pieces")
    fragile = models.BooleanField("fragile", default=False)
    stands_up = models.BooleanField("is stood up in the room", default=True)
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="pieces")
    place = models.CharField("where it is", max_length=10, choices=PiecePlace.choices, default=PiecePlace.NOT_MADE)
    fitting_order = models.PositiveSmallIntegerField("fitting order, 1 is first", default=1)
    method_note = models.CharField("how it is lifted, by whom, with what", max_length=300, blank=True)
    wrapped_at = models.DateTimeField(null=True, blank=True)
    loaded_at = models.DateTimeField(null=True, blank=True)
    in_room_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["commission", "number"]
        constraints = [models.UniqueConstraint(fields=["commission", "number"], name="piece_number_once")]

    def __str__(self) -> str:
        return f"{self.label} {self.name}"

    def get_absolute_url(self) -> str:
        return reverse("piece", args=[self.pk])

    @property
    def label(self) -> str:
        """P07, as on its label."""
        return f"P{self.number:02d}"
