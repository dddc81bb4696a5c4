from __future__ import annotations

from django.db import models

from aftercare.pack.shelves import SHELF_BOARDS
from jobs.carrying.weights import BOARDS
from jobs.models import Commission, Room

SHELF_BOARD_CHOICES = [(key, BOARDS[key].name) for key in SHELF_BOARDS]


class Shelf(models.Model):
    """A shelf, or several alike, whose load the handover pack states. Whole mm."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="shelves")
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, null=True, blank=True, related_name="shelves")
    place = models.CharField("which shelf, or shelves", max_length=80)
    span_mm = models.PositiveIntegerField("free span between supports, mm")
    depth_mm = models.PositiveIntegerField("depth, mm")
    thickness_mm = models.DecimalField("thickness, mm", max_digits=4, decimal_places=1)
    board = models.CharField("board", max_length=20, choices=SHELF_BOARD_CHOICES, blank=True)
    data_sheet_n_mm2 = models.PositiveIntegerField("E from the board's data sheet, N/mm²", null=True, blank=True)
    # What the maker has tested or vouches for; it is printed in place of the calculated figure.
    stated_kg = models.PositiveSmallIntegerField("load the maker states, kg", null=True, blank=True)

    class Meta:
        ordering = ["commission", "room", "pk"]

    def __str__(self) -> str:
        return self.place
