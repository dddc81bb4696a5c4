from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

MINUTES_SENTENCE = "A journey takes at most 720 minutes: check what was typed."


class TravelTime(models.Model):
    """A journey somebody has driven and knows, between two towns; it counts both ways and beats the reckoned one."""

    here = models.CharField("from", max_length=80)
    there = models.CharField("to", max_length=80)
    minutes = models.PositiveSmallIntegerField("minutes", validators=[MaxValueValidator(720, MINUTES_SENTENCE)])

    class Meta:
        ordering = ["here", "there"]
        constraints = [
            # Kept in the order of the alphabet, so that one row serves both directions.
            models.UniqueConstraint(Lower("here"), Lower("there"), name="journey_once"),
            models.CheckConstraint(condition=~Q(here=F("there")), name="journey_leads_elsewhere"),
        ]

    def __str__(self) -> str:
        return f"{self.here} to {self.there}"
