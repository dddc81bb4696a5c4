from __future__ import annotations

import uuid

from django.db import models

from jobs.models.commission import Commission
from jobs.models.kinds import CodeKind
from jobs.models.person import Person
from jobs.secrets.field import SealedField


class AccessCode(models.Model):
    """A key-safe, alarm or gate code. Sealed with keys of its own; `jobs.domain.codes` alone opens it."""

    # Not a counting number: the identity inside the seal must be known before the row is written.
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="access_codes")
    opens = models.CharField("what it opens", max_length=12, choices=CodeKind.choices)
    code = SealedField()
    # Where the key safe or the panel is: as good as half the code, so sealed as well.
    place = SealedField(blank=True)
    kept_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["kept_at", "pk"]

    def __str__(self) -> str:
        return self.get_opens_display()

    def row(self, column: str) -> str:
        """What is bound inside the seal: moved to another row, column or commission, it does not open."""
        return f"access code {column} {self.pk} commission {self.commission_id}"


class RevealLog(models.Model):
    """One showing of a code: who, when, how they proved themselves. Outlives the code; holds nothing of it."""

    code_id = models.UUIDField("code")
    opens = models.CharField("what it opens", max_length=12, choices=CodeKind.choices)
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="reveals")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    second_factor_at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["commission", "at"])]

    def __str__(self) -> str:
        return self.get_opens_display()
