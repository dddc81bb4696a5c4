from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.models.commission import Commission
from jobs.models.person import Person


class KitKind(models.TextChoices):
    TOOL = "tool", "Tool"
    FIXING = "fixing", "Fixing"
    PROTECTION = "protection", "Protection"
    LIFTING = "lifting", "Lifting aid"
    PART = "part", "Loose part"
    SPARE = "spare", "Spare"


class KitList(models.Model):
    """A list the workshop keeps, such as fitting tools or stair protection."""

    name = models.CharField("name", max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class KitListItem(models.Model):
    kit_list = models.ForeignKey(KitList, on_delete=models.CASCADE, related_name="items")
    words = models.CharField("what", max_length=80)
    kind = models.CharField("kind", max_length=10, choices=KitKind.choices, default=KitKind.TOOL)
    count = models.PositiveSmallIntegerField("how many", default=1)

    class Meta:
        ordering = ["kit_list", "kind", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["kit_list", "words"], name="kit_list_item_once"),
            models.CheckConstraint(condition=Q(count__gt=0), name="kit_list_item_is_of_something"),
        ]

    def __str__(self) -> str:
        return self.words


class LoadItem(models.Model):
    """Something that has to be in the van besides the pieces: from a list, or a loose part or spare of this job."""

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="load_items")
    from_item = models.ForeignKey(KitListItem, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    words = models.CharField("what", max_length=80)
    kind = models.CharField("kind", max_length=10, choices=KitKind.choices, default=KitKind.PART)
    needed = models.PositiveSmallIntegerField("how many are needed", default=1)
    in_hand = models.PositiveSmallIntegerField("how many are here", default=0)
    loaded_at = models.DateTimeField("loaded", null=True, blank=True)
    loaded_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["commission", "kind", "pk"]
        constraints = [models.UniqueConstraint(fields=["commission", "words"], name="load_item_once")]

    def __str__(self) -> str:
        return self.words

    @property
    def short(self) -> int:
        return max(0, self.needed - self.in_hand)
