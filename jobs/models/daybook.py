from __future__ import annotations

from typing import Any, NoReturn

from django.db import models

from jobs.models.commission import Commission
from jobs.models.person import Person


class AppendOnlyQuerySet(models.QuerySet["DaybookLine"]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("The daybook is append-only.")

    def delete(self) -> NoReturn:
        raise TypeError("The daybook is append-only.")


class DaybookLine(models.Model):
    """What happened: when, by whom, which act, which ids and facts. No free personal text, so that keeping it for
    ever and forgetting a client agree."""

    at = models.DateTimeField()
    actor = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    commission = models.ForeignKey(
        Commission,
        on_delete=models.DO_NOTHING,
        null=True,
        blank=True,
        related_name="daybook",
        db_constraint=False,
    )
    act = models.CharField(max_length=40)
    facts = models.JSONField(default=dict)

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["commission", "at"])]

    def __str__(self) -> str:
        return self.act

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("The daybook is append-only.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("The daybook is append-only.")
