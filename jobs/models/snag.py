from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.commission import Commission
from jobs.models.person import Person
from jobs.models.photograph import Photograph
from jobs.models.room import Room
from jobs.models.subcontractor import Subcontractor

# As the finishes standard for new homes in the United Kingdom has it (seen in a secondary source). It sets no figure
# for gaps, covers new homes, and binds a private commission only where it is agreed before the work starts.
VIEWING_RULE = "Snags are looked for in daylight, from half a metre (0.5 m) away, without a lamp held to the surface."


class SnagCause(models.TextChoices):
    MEASURE = "measure", "Measuring"
    DRAWING = "drawing", "Drawing"
    MAKING = "making", "Making"
    COATING = "coating", "Coating"
    TRANSPORT = "transport", "Transport and carrying"
    FITTING = "fitting", "Fitting"
    PARTS = "parts", "Bought-in parts"
    MOVEMENT = "movement", "Movement of wood or building"
    OTHERS = "others", "Other trades"
    USE = "use", "Use"
    UNKNOWN = "unknown", "Not known yet"


class Snag(models.Model):
    """Something not as it should be, from first seen to agreed by the client."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="snags")
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, null=True, blank=True, related_name="snags")
    place = models.CharField("place: which piece or door", max_length=80)
    words = models.CharField("what is wrong", max_length=200)
    cause = models.CharField("cause", max_length=10, choices=SnagCause.choices, default=SnagCause.UNKNOWN)
    photograph = models.ForeignKey(Photograph, on_delete=models.SET_NULL, null=True, blank=True, related_name="snags")
    done_photograph = models.ForeignKey(
        Photograph, on_delete=models.SET_NULL, null=True, blank=True, related_name="snags_done"
    )
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="snags", verbose_name="who sees to it"
    )
    subcontractor = models.ForeignKey(
        Subcontractor, on_delete=models.PROTECT, null=True, blank=True, related_name="snags",
        verbose_name="or which subcontractor",
    )  # fmt: skip
    seen_on = models.DateField("first seen on")
    due_on = models.DateField("due on", null=True, blank=True)
    done_at = models.DateTimeField("done", null=True, blank=True)
    agreed_at = models.DateTimeField("agreed by the client", null=True, blank=True)
    agreed_by = models.CharField("agreed by", max_length=120, blank=True)

    class Meta:
        ordering = ["commission", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(agreed_at__isnull=True) | Q(done_at__isnull=False), name="snag_agreed_once_done"
            )
        ]

    def __str__(self) -> str:
        return f"{self.place}: {self.words}"
