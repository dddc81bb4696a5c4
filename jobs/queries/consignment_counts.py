from __future__ import annotations

from dataclasses import dataclass

from jobs.models import Condition, Consignment, ConsignmentItem


@dataclass(frozen=True)
class ItemCount:
    """Where the pieces of one line are: `good` and `faulty` have come back, `missing` have not."""

    item: ConsignmentItem
    good: int
    faulty: int

    @property
    def missing(self) -> int:
        return self.item.count - self.good - self.faulty

    @property
    def to_redo(self) -> int:
        return self.missing + self.faulty


def count_items(consignment: Consignment) -> list[ItemCount]:
    """Two queries."""
    counts = []
    for item in consignment.items.prefetch_related("returns"):
        back = list(item.returns.all())
        good = sum(one.count for one in back if one.condition == Condition.GOOD)
        counts.append(ItemCount(item, good, sum(one.count for one in back) - good))
    return counts
