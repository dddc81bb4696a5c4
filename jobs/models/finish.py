from __future__ import annotations

from django.db import models

from jobs.models.commission import Commission


class SurfaceKind(models.TextChoices):
    PAINTED = "painted", "Painted"
    LACQUERED = "lacquered", "Clear lacquered"
    OILED = "oiled", "Oiled"
    VENEER = "veneer", "Veneer"
    GLASS = "glass", "Glass"
    METAL = "metal", "Metal"
    LEATHER = "leather", "Leather"


class FinishRecord(models.Model):
    """What is on a surface. Blanks print "not recorded" in the handover pack, never a default."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="finishes")
    surface = models.CharField("surface", max_length=80)
    kind = models.CharField("kind", max_length=12, choices=SurfaceKind.choices, default=SurfaceKind.PAINTED)
    product = models.CharField("product and code", max_length=120, blank=True)
    colour = models.CharField("colour and reference", max_length=120, blank=True)
    sheen_percent = models.PositiveSmallIntegerField("sheen, %", null=True, blank=True)
    batch = models.CharField("batch", max_length=60, blank=True)
    applied_on = models.DateField("date", null=True, blank=True)
    applied_by = models.CharField("applied by", max_length=120, blank=True)
    sample = models.CharField("approved sample", max_length=60, blank=True)
    touch_up = models.CharField("touch-up method", max_length=200, blank=True)
    tin_place = models.CharField("where the tin is", max_length=120, blank=True)
    full_cure_days = models.PositiveSmallIntegerField("full cure by the maker's sheet, days", null=True, blank=True)

    class Meta:
        ordering = ["commission", "pk"]

    def __str__(self) -> str:
        return self.surface
