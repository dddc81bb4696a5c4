from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models import Commission


class PhotographUse(models.TextChoices):
    """What a photograph of a client's home may be used for. Each is asked for, given and taken back by itself."""

    RECORD = "record", "Our own record only"
    PORTFOLIO = "portfolio", "Our portfolio, shown to people who come to see us"
    WEB = "web", "Our own website"
    SOCIAL = "social", "Social media"
    PRESS = "press", "Newspapers, magazines and books"


class PermissionWay(models.TextChoices):
    LINK = "link", "On the client page"
    TOLD = "told", "Told us"
    WRITTEN = "written", "In writing"


class Permission(models.Model):
    """One use of photographs that a client allowed: the words they were shown, who, when and how; and until when.

    Taking back keeps the row: the history stays visible (what was allowed when, and that it no longer is).
    """

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="permissions")
    use = models.CharField("for what", max_length=10, choices=PhotographUse.choices)
    wording = models.CharField("the words they read", max_length=300)
    given_by = models.CharField("who", max_length=120)
    given_at = models.DateTimeField("given")
    way = models.CharField("how", max_length=8, choices=PermissionWay.choices)
    withdrawn_at = models.DateTimeField("taken back", null=True, blank=True)
    withdrawn_way = models.CharField("taken back how", max_length=8, choices=PermissionWay.choices, blank=True)

    class Meta:
        ordering = ["commission", "given_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["commission", "use"],
                condition=Q(withdrawn_at__isnull=True),
                name="one_standing_permission_a_use",
            )
        ]

    def __str__(self) -> str:
        return str(self.get_use_display())
