from __future__ import annotations

from django.db import models

from jobs.models.visit import Visit


class CalendarCopy(models.Model):
    """What the workshop's own calendar server holds of a visit; `digest` is of the bytes last put there."""

    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, related_name="calendar_copy")
    digest = models.CharField(max_length=64)
    put_at = models.DateTimeField()
