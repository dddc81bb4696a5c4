from __future__ import annotations

from django.db import models
from django.urls import reverse

from jobs.models.client import Client
from jobs.models.person import Person


class Commission(models.Model):
    """One job, from survey to return visit. Its stage is computed from its steps, never stored."""

    number = models.PositiveIntegerField("number", unique=True)
    # The nickname is what a visitor may read on the wall: a street or a house, never a person's name.
    nickname = models.CharField("short name for the board", max_length=30)
    what = models.CharField("what it is", max_length=120)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="commissions")
    maker = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="commissions")
    site_address = models.TextField("address of the site, if not the client's", blank=True)
    latitude_deg = models.FloatField("latitude of the site", null=True, blank=True)
    longitude_deg = models.FloatField("longitude of the site", null=True, blank=True)
    opened_on = models.DateField("opened on")
    held_since = models.DateField("on hold since", null=True, blank=True)
    hold_reason = models.CharField("why it is on hold", max_length=200, blank=True)
    closed_on = models.DateField("closed on", null=True, blank=True)
    # A range of its own for the return visit; null takes the workshop's.
    return_first_day = models.PositiveSmallIntegerField("return visit from day", null=True, blank=True)
    return_last_day = models.PositiveSmallIntegerField("return visit to day", null=True, blank=True)

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["closed_on", "number"])]

    def __str__(self) -> str:
        return f"{self.number} {self.nickname}"

    def get_absolute_url(self) -> str:
        return reverse("commission", args=[self.number])

    @property
    def address(self) -> str:
        return self.site_address or self.client.address

    @property
    def has_place(self) -> bool:
        return self.latitude_deg is not None and self.longitude_deg is not None
