from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models.commission import Commission
from jobs.models.kinds import AccessMode
from jobs.models.visit import Visit


class AccessArrangement(models.Model):
    """Who lets us in, when and how. One for the commission, or one for a single visit, which then wins."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="access_arrangements")
    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="access")
    opener_name = models.CharField("who opens", max_length=120)
    opener_phone = PhoneNumberField("their telephone", blank=True)
    opener_email = models.EmailField("their e-mail", blank=True)
    slot_starts = models.TimeField("slot starts")
    slot_ends = models.TimeField("slot ends")
    mode = models.CharField("mode", max_length=12, choices=AccessMode.choices, default=AccessMode.LET_IN)
    fallback_name = models.CharField("if nobody opens, ask", max_length=120, blank=True)
    fallback_phone = PhoneNumberField("their telephone", blank=True)
    parking = models.TextField("parking", blank=True)
    notes = models.TextField("notes", blank=True)

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(slot_ends__gt=F("slot_starts")),
                name="access_slot_ends_later",
                violation_error_code="slot_ends",
                violation_error_message="The access slot would end before it starts: give a later end.",
            ),
            models.UniqueConstraint(
                fields=["commission"], condition=Q(visit__isnull=True), name="one_access_for_the_commission"
            ),
        ]
