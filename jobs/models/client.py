from __future__ import annotations

from django.db import models
from phonenumber_field.modelfields import PhoneNumberField

from jobs.models.calendar import DayRangeModel


class Client(models.Model):
    name = models.CharField("name", max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = PhoneNumberField("telephone", blank=True)
    address = models.TextField("address", blank=True)
    postcode = models.CharField("postcode", max_length=12, blank=True)
    may_be_asked_for_review = models.BooleanField("may be asked for a review and further work", default=False)
    notes = models.TextField("notes", blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class ClientAway(DayRangeModel):
    """Days on which the client is not at home. Never printed, mailed or shown on the wall."""

    client = models.ForeignKey(Client, on_delete=models.CASCADE, related_name="away")

    class Meta(DayRangeModel.Meta):
        pass
