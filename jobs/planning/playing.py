"""One plan played through in many samples at once: numpy arrays along the samples, one pass over the steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from jobs.planning.arcs import Arc
from jobs.planning.calendars import open_run
from jobs.planning.compiled import Compiled
from jobs.planning.network import Placed, Plan

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

BEYOND = 4
"""Tables reach that many times the length of the axis; past its end every slot counts as open."""
ALMOST = 1e-3
"""Guards a whole number of half-days against the rounding of 32-bit fractions."""


def play(
    compiled: Compiled, plan: Plan, positions: Sequence[int], ratios: Mapping[int, Samples]
) -> dict[int, Samples]:
    """Ends of each step in each sample, in slots and fractions of slots.

    Everything goes in the plan's order on every resource. Carcasses and whatever a client was told do not start
    before their place in the plan, even where the day before went well.
    """
    import numpy as np

    places = {i: plan.places[compiled.steps[i].id] for i in positions}
    before = resource_order(compiled, places)
    tables = _Tables(compiled)
    held = {span.first for spans in compiled.spans.values() for span in spans}
    rank = {i: n for n, i in enumerate(compiled.order)}
    samples = len(next(iter(ratios.values()))) if ratios else 0
    ends: dict[int, Samples] = {}
    for i in sorted(positions, key=lambda i: (places[i].start, places[i].end, rank[i])):
        planned = i in held or compiled.steps[i].told_client
        lower = places[i].start if planned else compiled.lower[i]
        ready = np.full(samples, lower, dtype=np.float32)
        for arc in compiled.preds[i]:
            np.maximum(ready, tables.waited(arc, ends[arc.before]), out=ready)
        for j in before.get(i, ()):
            np.maximum(ready, ends[j], out=ready)
        ends[i] = tables.end(i, tables.start(i, ready), ratios[i])
    return ends


def resource_order(compiled: Compiled, places: Mapping[int, Placed]) -> dict[int, list[int]]:
    """For each step those it gets its hands, van or helper from.

    Each unit of a resource is handed on from the step that gave it back last before.
    """
    before: dict[int, set[int]] = {}
    for resource, capacity in enumerate(compiled.capacity):
        amounts = {i: dict(compiled.demands[i]).get(resource, 0) for i in places}
        users = sorted((i for i, n in amounts.items() if n), key=lambda i: (places[i].start, places[i].end, i))
        units: list[int | None] = [None] * max(capacity, default=0)
        given_back = [0] * len(units)
        for i in users:
            ready = [k for k in range(len(units)) if given_back[k] <= places[i].start]
            ready.sort(key=lambda k: (-given_back[k], k))
            for k in ready[: amounts[i]]:
                giver = units[k]
                if giver is not None:
                    before.setdefault(i, set()).add(giver)
                units[k], given_back[k] = i, places[i].end
    return {i: sorted(found) for i, found in before.items()}


class _Tables:
    """Next allowed starts, day waits and leads as arrays over the slots."""

    def __init__(self, compiled: Compiled) -> None:
        self.compiled = compiled
        self.count = compiled.instance.slot_count
        self._next: dict[int, Samples] = {}
        self._there: dict[tuple[int, int, int], int] = {}
        self._waits: dict[int, Samples] = {}
        self._leads: dict[str, tuple[Samples, Samples]] = {}
        self._others = {other.id: other for other in compiled.instance.subcontractors}

    def start(self, i: int, ready: Samples) -> Samples:
        """Start when ready: at once, or, where a calendar forbids it, in the next slot that it allows."""
        import numpy as np

        compiled, length = self.compiled, self.compiled.durations[i]
        all_open = compiled.instance.axis.all_open
        mask = compiled.open_starts[i] & all_open
        for resource, amount in compiled.demands[i]:
            mask &= self._enough(resource, amount, length)
        if mask == all_open >> max(0, length - 1) or mask == 0:
            return ready
        if mask not in self._next:
            self._next[mask] = self._next_open(mask)
        table = self._next[mask]
        # A step that is ready within an allowed half-day begins there, not at the next whole one.
        slot = np.minimum(ready + np.float32(ALMOST), len(table) - 1).astype(np.int32)
        start: Samples = np.maximum(ready, table[slot])
        return start

    def _enough(self, resource: int, amount: int, length: int) -> int:
        key = (resource, amount, length)
        if key not in self._there:
            capacity = self.compiled.capacity[resource]
            bits = "".join("1" if have >= amount else "0" for have in reversed(capacity))
            self._there[key] = open_run(int(bits, 2), length)
        return self._there[key]

    def _next_open(self, mask: int) -> Samples:
        import numpy as np

        packed = np.frombuffer(mask.to_bytes(self.count // 8 + 1, "little"), dtype=np.uint8)
        bits = np.unpackbits(packed, bitorder="little")[: self.count]
        table = np.arange(BEYOND * self.count + 1, dtype=np.float32)
        inside = np.where(bits == 1, table[: self.count], np.float32(self.count))
        table[: self.count] = np.minimum.accumulate(inside[::-1])[::-1]
        return table

    def end(self, i: int, start: Samples, ratio: Samples) -> Samples:
        """A lead runs in the subcontractor's working days, our own work in half-days."""
        import numpy as np

        step = self.compiled.steps[i]
        if step.lead_days is None:
            return start + self.compiled.durations[i] * ratio
        through, ready_by_days = self._lead(step.subcontractor_id or "")
        inside = np.minimum(start, self.count - 1).astype(np.int32)
        days = through[inside] + np.ceil(step.lead_days * ratio - np.float32(ALMOST))
        ready = ready_by_days[np.minimum(days, len(ready_by_days) - 1).astype(np.int32)]
        latest: Samples = np.maximum(ready, start + 1)
        return latest

    def _lead(self, subcontractor_id: str) -> tuple[Samples, Samples]:
        """Days done through each slot, and the first slot by which so many days are done."""
        import numpy as np

        if subcontractor_id not in self._leads:
            other = self._others[subcontractor_id]
            done = np.asarray(other.days_done_before)
            most = int(other.days_done_through[-1])
            ready = np.searchsorted(done, np.arange(most + 2)).astype(np.float32)
            through = np.asarray(other.days_done_through, dtype=np.float32)
            self._leads[subcontractor_id] = (through, ready)
        return self._leads[subcontractor_id]

    def waited(self, arc: Arc, ends: Samples) -> Samples:
        import numpy as np

        if arc.day_of_slot is None:
            return ends + np.float32(arc.least) if arc.least else ends
        if arc.least not in self._waits:
            bounds = [arc.earliest_start(end) for end in range(self.count + 1)]
            self._waits[arc.least] = np.asarray(bounds, dtype=np.float32)
        table = self._waits[arc.least]
        slot = np.minimum(np.ceil(ends - np.float32(ALMOST)), self.count).astype(np.int32)
        waited: Samples = np.maximum(ends, table[slot])
        return waited
