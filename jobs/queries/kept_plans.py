"""Plans of this process, kept by all that they were computed from: a page that is read again computes nothing.

Nothing can be stale: the key holds every value that the plan is computed from, and the half-day it is.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from jobs.queries.live import LiveRecord

T = TypeVar("T")
KEPT = 4
_kept: OrderedDict[Hashable, Any] = OrderedDict()


def kept(live: LiveRecord, first_slot: int, make: Callable[[], T]) -> T:
    """What `make` gives for this record, made once. The answer must not be changed by whoever gets it."""
    key = fingerprint(live, first_slot)
    found = _kept.get(key)
    if found is None:
        found = _kept[key] = make()
        while len(_kept) > KEPT:
            # Another thread may have been quicker.
            _kept.pop(next(iter(_kept)), None)
    return found


def fingerprint(live: LiveRecord, first_slot: int) -> Hashable:
    """Every value of the record that a plan depends on; 1,200 steps take some 3 ms."""
    now = live.now
    steps = tuple(tuple(map(_values, steps)) for steps in live.steps.values())
    others = {id(step.subcontractor): step.subcontractor for found in live.steps.values() for step in found}
    visits = tuple(
        (_values(one), one.ends_at is not None and one.ends_at <= now)
        for found in live.visits.values()
        for one in found
    )
    version = None if live.version is None else (live.version.pk, live.version.input_hash)
    return (
        (live.today, first_slot, version, repr(_values(live.workshop))),
        tuple(map(_values, live.commissions)),
        steps,
        live.links,
        visits,
        live.days,
        repr(live.makers),
        tuple(sorted(repr(_values(one)) for one in others.values() if one is not None)),
    )


def _values(row: Any) -> tuple[Any, ...]:
    """The columns of a row, without what Django or a property has hung on it."""
    return tuple(value for name, value in row.__dict__.items() if name[0] != "_" and name != "tz")
