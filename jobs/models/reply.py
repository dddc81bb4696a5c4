from __future__ import annotations

from django.db import models

from jobs.models.kinds import Attendance, ReplyState
from jobs.models.person import Person
from jobs.models.visit import Visit


class HeldReply(models.Model):
    """A mail that may answer an invitation, once: what was made of it, and its bytes while a person may need them.

    `digest` is unique, so a mail read twice is taken once. Nothing but the attendance of a visit ever comes of it.
    """

    digest = models.CharField(max_length=64, unique=True)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="replies")
    # Of the visit when the mail was read: after a move the answer is to another date.
    visit_sequence = models.PositiveIntegerField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=ReplyState.choices)
    sentence = models.CharField(max_length=300)
    words = models.TextField(blank=True)
    sender = models.CharField(max_length=254, blank=True)
    attendance = models.CharField(max_length=12, choices=Attendance.choices, blank=True)
    stamped_at = models.DateTimeField(null=True, blank=True)
    arrived_at = models.DateTimeField()
    size_bytes = models.PositiveIntegerField(default=0)
    raw = models.BinaryField(default=bytes)
    expires_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-arrived_at", "-pk"]
        indexes = [models.Index(fields=["state", "arrived_at"]), models.Index(fields=["expires_at"])]

    def __str__(self) -> str:
        return self.sentence
