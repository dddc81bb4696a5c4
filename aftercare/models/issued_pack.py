from __future__ import annotations

from django.db import models

from aftercare.models.handover import Handover
from aftercare.models.hinge_check import HingeCheck


class IssuedPack(models.Model):
    """A handover pack as it left the workshop, kept byte for byte. It is not made again: other fonts or another
    version of a library would change its bytes."""

    handover = models.ForeignKey(Handover, on_delete=models.CASCADE, related_name="packs")
    revision = models.PositiveSmallIntegerField(default=1)
    issued_at = models.DateTimeField()
    reason = models.CharField(max_length=120, blank=True)
    # The hinge check whose settings it carries; made once for each check, however often that is asked for.
    hinge_check = models.OneToOneField(
        HingeCheck, on_delete=models.SET_NULL, null=True, blank=True, related_name="pack"
    )
    # Empty once the client has been forgotten: the hash and the facts stay.
    file = models.FileField(upload_to="packs/%Y/", blank=True)
    sha256 = models.CharField(max_length=64)
    page_count = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["handover", "revision"]
        constraints = [models.UniqueConstraint(fields=["handover", "revision"], name="pack_revision_once")]
