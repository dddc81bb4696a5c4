"""How people and screens get in: invitations by mail, and wall screens paired by a code typed once."""

from __future__ import annotations

from django.db import models

from jobs.models.person import Person


class Invitation(models.Model):
    """A one-time link by which a person sets a password. The token is made when the mail is written and kept as a
    hash only; a mail tried again carries a new one, and the one before stops working."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="invitations")
    token_hash = models.CharField(max_length=64, null=True, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    # A later invitation, or the person's leaving, takes this one back.
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Invitation {self.pk}"


class Device(models.Model):
    """A wall screen. It stands in for a person on a request: signed in, with the role "wall" and nothing else."""

    name = models.CharField("which screen", max_length=60)
    # The code typed on the screen, while it waits to be paired; then nothing.
    pairing_hash = models.CharField(max_length=64, blank=True)
    pairing_until = models.DateTimeField()
    token_hash = models.CharField(max_length=64, null=True, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    paired_at = models.DateTimeField(null=True, blank=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    # Measured with a steel rule laid on the screen; nothing until then, and sizes are guessed from the width.
    mm_per_px = models.FloatField(null=True, blank=True)
    viewing_distance_m = models.FloatField(default=3.0)
    has_shortcuts = models.BooleanField(default=True)
    refreshes = models.BooleanField(default=True)
    stays_awake = models.BooleanField(default=False)

    role = "wall"
    is_authenticated = True
    is_anonymous = False

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_active(self) -> bool:
        return self.revoked_at is None and self.token_hash is not None
