from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.commission import Commission
from jobs.models.person import Person


class ClientKey(models.Model):
    """A client's keys in our care. The tag carries a code that says nothing of the house."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="client_keys")
    tag = models.CharField("code on the tag", max_length=12)
    count = models.PositiveSmallIntegerField("how many keys", default=1)
    received_at = models.DateTimeField("received")
    received_from = models.CharField("received from", max_length=120)
    holder = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="client_keys", verbose_name="who holds them"
    )
    returned_at = models.DateTimeField("given back", null=True, blank=True)
    returned_to = models.CharField("given back to", max_length=120, blank=True)

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [
            # A code may be used again once its keys have gone home.
            models.UniqueConstraint(
                fields=["tag"], condition=Q(returned_at__isnull=True), name="one_set_of_keys_a_tag"
            )
        ]

    def __str__(self) -> str:
        return self.tag


class KeyReceipt(models.Model):
    """The keys changed hands: in from the client, from one of us to another, out again."""

    key = models.ForeignKey(ClientKey, on_delete=models.CASCADE, related_name="receipts")
    at = models.DateTimeField("when")
    given_by = models.CharField("given by", max_length=120)
    taken_by = models.CharField("taken by", max_length=120)

    class Meta:
        ordering = ["at", "pk"]
