from __future__ import annotations

from django.db import models

from jobs.models.commission import Commission
from jobs.models.person import Person
from jobs.models.photograph import Photograph, PhotographPurpose


class ActOutcome(models.TextChoices):
    DONE = "done", "Done"
    KNOWN = "known", "Known already"
    OVERTAKEN = "overtaken", "Kept beside a newer fact"
    REFUSED = "refused", "Not done"


class SiteAct(models.Model):
    """What somebody did on site, as their phone told it. Append-only: the first telling of a key decides."""

    key = models.UUIDField(unique=True, editable=False)
    # A random name that the browser gave itself; blank for a form without scripts.
    device = models.CharField(max_length=36, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="site_acts")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="site_acts")
    kind = models.CharField(max_length=20)
    # What the fact is about, such as piece:12; two facts of one subject may disagree.
    subject = models.CharField(max_length=40, blank=True)
    payload = models.JSONField(default=dict)
    happened_at = models.DateTimeField("happened, by the phone's clock")
    received_at = models.DateTimeField("received")
    outcome = models.CharField(max_length=9, choices=ActOutcome.choices)
    sentence = models.CharField(max_length=400, blank=True)
    seen_at = models.DateTimeField("seen to", null=True, blank=True)
    seen_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-happened_at", "-pk"]
        indexes = [models.Index(fields=["commission", "subject", "happened_at"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class SitePhotograph(models.Model):
    """A photograph on its way from a phone, in parts; then the photograph it became, or why it became none."""

    key = models.UUIDField(unique=True, editable=False)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="+")
    purpose = models.CharField(max_length=14, choices=PhotographPurpose.choices)
    size_bytes = models.PositiveIntegerField()
    received_bytes = models.PositiveIntegerField(default=0)
    # As the phone read it from the camera's file, which scaling strips of everything it says.
    taken_at = models.DateTimeField(null=True, blank=True)
    begun_at = models.DateTimeField()
    photograph = models.ForeignKey(Photograph, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    joined_at = models.DateTimeField(null=True, blank=True)
    refused = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["begun_at", "pk"]


class SitePhotographPart(models.Model):
    """Bytes from an offset on. In rows, so that a lost connection, a replay and a second web machine agree."""

    of = models.ForeignKey(SitePhotograph, on_delete=models.CASCADE, related_name="parts")
    offset_bytes = models.PositiveIntegerField()
    data = models.BinaryField()

    class Meta:
        ordering = ["of", "offset_bytes"]
        constraints = [models.UniqueConstraint(fields=["of", "offset_bytes"], name="part_once_an_offset")]
