from __future__ import annotations

from django.db import models

from jobs.models import Person, Room


class LightNoteSource(models.TextChoices):
    TYPED = "typed", "Noted on the day"
    PHOTOGRAPH = "photograph", "From a photograph"


class LightNote(models.Model):
    """The hour at which the room looked best, noted on the day."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="light_notes")
    noted_at = models.DateTimeField("when the light was good")
    source = models.CharField(max_length=12, choices=LightNoteSource.choices, default=LightNoteSource.TYPED)
    words = models.CharField("what was good about it", max_length=200, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="light_notes")

    class Meta:
        ordering = ["room", "noted_at"]
        constraints = [models.UniqueConstraint(fields=["room", "noted_at"], name="light_note_once")]
