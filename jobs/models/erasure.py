from __future__ import annotations

from django.db import models


class Erasure(models.Model):
    """A client was forgotten. No more is kept of it than a restore needs to do it again: no name, no address."""

    client_id = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    reason = models.CharField(max_length=12)
    parts = models.JSONField(default=list)  # the names of the erasers that ran

    class Meta:
        ordering = ["-at", "-pk"]
