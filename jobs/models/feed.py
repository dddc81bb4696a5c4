from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.client import Client
from jobs.models.person import Person


class Feed(models.Model):
    """A calendar to subscribe to, of one person or one client. Its address is a secret, kept only as a hash."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, blank=True, related_name="feeds")
    client = models.ForeignKey(Client, on_delete=models.CASCADE, null=True, blank=True, related_name="feeds")
    token_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(person__isnull=False, client__isnull=True) | Q(person__isnull=True, client__isnull=False),
                name="feed_of_one_owner",
            )
        ]

    def __str__(self) -> str:
        return str(self.person or self.client)
