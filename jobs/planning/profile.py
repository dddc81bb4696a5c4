"""What is left of each resource, slot by slot, as bit masks: one mask per amount that is still free."""

from __future__ import annotations

from jobs.planning.calendars import open_run, span_mask
from jobs.planning.compiled import Compiled, floor_from
from jobs.planning.network import Placed


class Profile:
    """`levels[r][k - 1]` has the bit of every slot in which at least k of resource r are free."""

    def __init__(self, levels: list[list[int]]) -> None:
        self.levels = levels

    @classmethod
    def empty(cls, compiled: Compiled) -> Profile:
        return cls([_levels(capacity) for capacity in compiled.capacity])

    def copy(self) -> Profile:
        return Profile([list(masks) for masks in self.levels])

    def free(self, resource: int, amount: int) -> int:
        """Slots with that amount free."""
        if amount <= 0:
            return -1
        masks = self.levels[resource]
        return masks[amount - 1] if amount <= len(masks) else 0

    def take(self, resource: int, amount: int, slots: int) -> None:
        masks = self.levels[resource]
        for k, mask in enumerate(masks):
            rest = masks[k + amount] if k + amount < len(masks) else 0
            masks[k] = (mask & ~slots) | (rest & slots)

    def give_back(self, resource: int, amount: int, slots: int) -> None:
        """Undo a `take` of slots that were taken before."""
        masks = self.levels[resource]
        for k in range(len(masks) - 1, -1, -1):
            more = masks[k - amount] if k >= amount else slots
            masks[k] = (masks[k] & ~slots) | (more & slots)

    def room(self, compiled: Compiled, i: int) -> int:
        """Starts of step i for which all it demands is free for its whole length."""
        mask = -1
        for resource, amount in compiled.demands[i]:
            mask &= open_run(self.free(resource, amount), compiled.durations[i])
        return mask

    def take_step(self, compiled: Compiled, i: int, place: Placed) -> None:
        for resource, amount in compiled.demands[i]:
            self.take(resource, amount, span_mask(place.start, place.end))

    def give_back_step(self, compiled: Compiled, i: int, place: Placed) -> None:
        for resource, amount in compiled.demands[i]:
            self.give_back(resource, amount, span_mask(place.start, place.end))

    def take_commission(self, compiled: Compiled, commission_id: str, places: dict[int, Placed]) -> None:
        for i in compiled.by_commission[commission_id]:
            self.take_step(compiled, i, places[i])
        for span in compiled.spans.get(commission_id, ()):
            start = floor_from(compiled, span, places)
            self.take(span.resource, span.amount, span_mask(start, places[span.last].end))

    def give_back_commission(self, compiled: Compiled, commission_id: str, places: dict[int, Placed]) -> None:
        for i in compiled.by_commission[commission_id]:
            self.give_back_step(compiled, i, places[i])
        for span in compiled.spans.get(commission_id, ()):
            start = floor_from(compiled, span, places)
            self.give_back(span.resource, span.amount, span_mask(start, places[span.last].end))

    def amounts(self, resource: int, from_slot: int, to_slot: int) -> list[int]:
        """Free amount in each slot of from_slot .. to_slot - 1."""
        masks = self.levels[resource]
        return [sum(mask >> slot & 1 for mask in masks) for slot in range(from_slot, to_slot)]


def _levels(capacity: list[int]) -> list[int]:
    most = max(capacity, default=0)
    levels = []
    for k in range(1, most + 1):
        # Built from text: one pass in C instead of a shift per slot.
        bits = "".join("1" if there >= k else "0" for there in reversed(capacity))
        levels.append(int(bits, 2))
    return levels
