from __future__ import annotations

from django.db import models

from jobs.models.commission import Commission
from jobs.models.person import Person


class DrawingVersion(models.Model):
    """One version of the drawing of a commission, kept as it was uploaded. What the client approved is named by the
    hash of the file, so that the paper they saw and the paper on the bench can be told apart for good."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="drawings")
    title = models.CharField("title", max_length=80)
    version = models.PositiveSmallIntegerField("version")
    file = models.FileField(upload_to="drawings/", max_length=200)
    media_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)
    note = models.CharField("what has changed", max_length=200, blank=True)
    added_at = models.DateTimeField("added")
    added_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    approved_by_name = models.CharField("approved by", max_length=120, blank=True)
    approved_at = models.DateTimeField("approved", null=True, blank=True)
    approved_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["commission", "title", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["commission", "title", "version"], name="drawing_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.title}, version {self.version}"

    @property
    def file_name(self) -> str:
        ending = "pdf" if self.media_type == "application/pdf" else "png"
        return f"{self.commission.number}-drawing-version-{self.version}.{ending}"
