"""What has just changed, from the daybook, in words that a visitor may read: no names, no money, no free text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from jobs.models import DaybookLine, StepKind, Workshop
from jobs.queries.daybook import in_words
from jobs.queries.words import say_clock

MARKED_FOR = dt.timedelta(minutes=30)
TICKS_FROM = dt.timedelta(days=3)
LAST_SHOWN = 5
TICKS = ("start_step", "start_past_gate", "finish_step")
# Acts that may be told on the wall. What is not listed is not told: money, codes, links, messages, people.
TOLD = (
    *TICKS,
    "reopen_step",
    "open_commission",
    "put_on_hold",
    "take_off_hold",
    "edit_step",
    "add_step",
    "remove_step",
    "book_visit",
    "keep_to_arrange",
    "move_visit",
    "cancel_visit",
    "finish_visit",
    "send_consignment",
    "receive_consignment",
    "start_redo",
    "count_pieces",
    "record_survey",
    "hand_over",
    "undo_handover",
)
# A tick of one of these speaks of money or of what a client has not answered.
DESK_KINDS = (StepKind.APPROVAL, StepKind.DEPOSIT)


@dataclass(frozen=True)
class Change:
    """ "10:31 Finished: Doors made"."""

    clock: str
    words: str


@dataclass(frozen=True)
class Tick:
    """A start or a finish that still stands, and so can be taken back. `line_pk` is its line in the daybook."""

    line_pk: int
    commission_pk: int
    clock: str
    words: str


@dataclass(frozen=True)
class Changes:
    """`by_commission`: changes of the last half hour, newest first. `ticks`: the last ticks that stand."""

    by_commission: dict[int, tuple[Change, ...]]
    ticks: tuple[Tick, ...]

    def tick(self, line_pk: int | None) -> Tick | None:
        return next((one for one in self.ticks if one.line_pk == line_pk), None)


def recent_changes(workshop: Workshop, now: dt.datetime, commission_pks: Iterable[int]) -> Changes:
    """One query."""
    lines = DaybookLine.objects.filter(
        Q(at__gt=now - MARKED_FOR, act__in=TOLD) | Q(at__gt=now - TICKS_FROM, act__in=[*TICKS, "reopen_step"]),
        commission_id__in=list(commission_pks),
        at__lte=now,
    ).order_by("-at", "-pk")[:200]
    found = list(lines)
    by_commission: dict[int, list[Change]] = {}
    for line in found:
        if line.at > now - MARKED_FOR and line.commission_id is not None:
            change = Change(_clock(workshop, line), told_in_words(line))
            by_commission.setdefault(line.commission_id, []).append(change)
    return Changes({key: tuple(these) for key, these in by_commission.items()}, _standing(workshop, found))


def told_in_words(line: DaybookLine) -> str:
    kind = line.facts.get("kind")
    if line.act in (*TICKS, "reopen_step") and kind in DESK_KINDS:
        return in_words(DaybookLine(act=line.act, facts={})) + ": Go-ahead"
    return in_words(line)


def _standing(workshop: Workshop, newest_first: list[DaybookLine]) -> tuple[Tick, ...]:
    """The newest word on each step, where it is a start or a finish."""
    seen: set[int] = set()
    ticks = []
    for line in newest_first:
        step = line.facts.get("step")
        if line.act not in (*TICKS, "reopen_step") or step in seen or line.commission_id is None:
            continue
        seen.add(step)
        if line.act in TICKS and line.facts.get("kind") != StepKind.HANDOVER:
            ticks.append(Tick(line.pk, line.commission_id, _clock(workshop, line), told_in_words(line)))
    return tuple(ticks[:LAST_SHOWN])


def _clock(workshop: Workshop, line: DaybookLine) -> str:
    return say_clock(workshop.local(line.at).time())
