from __future__ import annotations

from django.db import models

from jobs.models import Commission, Person


class MayWrite(models.TextChoices):
    """Whether the client may be written to about further work of ours (UK PECR regulation 22, the "soft opt-in")."""

    NOT_ASKED = "not_asked", "Not asked: do not write"
    YES = "yes", "Yes, they may be written to"
    CALL = "call", "Ring, do not write"
    NO = "no", "No"


class FutureWork(models.Model):
    """Something the client spoke of having made one day, with a day to come back to it."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="future_work")
    what = models.CharField("what they spoke of", max_length=200)
    room = models.CharField("room", max_length=80, blank=True)
    timing = models.CharField("when they think of having it", max_length=120, blank=True)
    next_contact_on = models.DateField("come back to it on", null=True, blank=True)
    may_write = models.CharField(
        "may we write to them about it", max_length=10, choices=MayWrite.choices, default=MayWrite.NOT_ASKED
    )
    noted_on = models.DateField()
    noted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    settled_on = models.DateField("settled on", null=True, blank=True)

    class Meta:
        ordering = ["next_contact_on", "pk"]

    def __str__(self) -> str:
        return self.what
