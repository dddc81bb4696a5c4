from __future__ import annotations

import secrets
import uuid

from django.db import models
from django.db.models import F, Q

from jobs.models.commission import Commission
from jobs.models.kinds import Attendance, VisitKind, VisitState
from jobs.models.person import Person
from jobs.models.step import Step


def organiser_token() -> str:
    """128 random bits in lower case: mail programs may fold the case of an address."""
    return secrets.token_hex(16)


class Visit(models.Model):
    """Any dated appearance at a client's home. Its `uid` is its calendar name for life (RFC 5545 3.8.4.7)."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="visits")
    kind = models.CharField("kind", max_length=12, choices=VisitKind.choices)
    step = models.ForeignKey(Step, on_delete=models.SET_NULL, null=True, blank=True, related_name="visits")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="visits")
    state = models.CharField("state", max_length=12, choices=VisitState.choices, default=VisitState.ARRANGED)
    starts_at = models.DateTimeField("starts", null=True, blank=True)
    ends_at = models.DateTimeField("ends", null=True, blank=True)
    # Why this slot, or why none: plain sentences, one a line.
    reasons = models.TextField("reasons", blank=True)
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField("invite version", default=0)
    organiser_token = models.CharField(max_length=40, default=organiser_token, unique=True, editable=False)
    attendance = models.CharField(
        "client's answer", max_length=12, choices=Attendance.choices, default=Attendance.NEEDS_ACTION
    )
    # Of the answer last taken: its stamp, and what breaks a tie of stamps (RFC 5546 2.1.5).
    last_reply_at = models.DateTimeField(null=True, blank=True)
    last_tie_at = models.DateTimeField(null=True, blank=True)
    # DTSTAMP of the last invitation, or when it was asked for: an unnumbered answer stamped earlier is doubtful.
    asked_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField("last changed")

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [models.Index(fields=["state", "starts_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__isnull=True, starts_at__isnull=True) | Q(ends_at__gt=F("starts_at")),
                name="visit_ends_after_it_starts",
            ),
            models.CheckConstraint(
                condition=~Q(state="arranged") | Q(starts_at__isnull=False), name="arranged_visit_has_a_time"
            ),
        ]

    def __str__(self) -> str:
        return self.get_kind_display()


class VisitSlot(models.Model):
    """A quarter of an hour of one person's day. The unique row, not a check beforehand, stops double booking."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="slots")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="visit_slots")
    starts_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "starts_at"], name="one_visit_a_quarter_hour")]
