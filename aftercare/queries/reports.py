"""The report on return visits: due and done, by the quarter of the handover."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from aftercare.models import Handover
from aftercare.queries.booking_facts import range_of
from jobs.models import VisitState, Workshop
from jobs.reports import BarRow, Cell, Report

QUARTERS = 8


@dataclass
class Quarter:
    """Handovers of three months and what became of their return visits."""

    handovers: int = 0
    due: int = 0
    done: int = 0
    in_range: int = 0
    arranged: int = 0
    to_arrange: int = 0


def returns_report(workshop: Workshop, now: dt.datetime) -> Report:
    """Standing handovers of the last eight quarters in which there was one. One query."""
    quarters: dict[tuple[int, int], Quarter] = defaultdict(Quarter)
    standing = Handover.objects.filter(undone_at__isnull=True).select_related("return_visit", "commission")
    for handover in standing.order_by():
        day = workshop.local_day(handover.handed_over_at)
        _count(quarters[day.year, (day.month + 2) // 3], handover, day, workshop, workshop.local_day(now))
    shown = sorted(quarters)[-QUARTERS:]
    rows: list[tuple[Cell, ...]] = [(_words(key), *_row(quarters[key])) for key in shown]
    every = sum(quarters[key].handovers for key in shown)
    return Report(
        "returns",
        "Return visits due and done",
        every,
        f"{every} handover{'' if every == 1 else 's'}, by the quarter of the handover. Due is one whose range of "
        "days has begun.",
        ("Handed over in", "Handovers", "Due by now", "Done", "Done within the range", "Arranged", "To arrange"),
        tuple(rows),
        ("Due by now", "Done"),
        tuple(
            BarRow(_words(key), (one.due, one.done), f"{one.done} done of {one.due} due")
            for key in shown
            for one in [quarters[key]]
        ),
        "Nothing has been handed over yet.",
    )


def _count(quarter: Quarter, handover: Handover, day: dt.date, workshop: Workshop, today: dt.date) -> None:
    first, last = (day + dt.timedelta(days=days) for days in range_of(handover.commission, workshop))
    visit = handover.return_visit
    is_done = visit is not None and visit.state == VisitState.DONE
    quarter.handovers += 1
    quarter.due += first <= today or is_done
    quarter.done += is_done
    if visit is not None and is_done and visit.starts_at is not None:
        quarter.in_range += first <= workshop.local_day(visit.starts_at) <= last
    quarter.arranged += visit is not None and visit.state == VisitState.ARRANGED
    quarter.to_arrange += visit is None or visit.state in (VisitState.TO_ARRANGE, VisitState.CANCELLED)


def _row(one: Quarter) -> tuple[int, ...]:
    return one.handovers, one.due, one.done, one.in_range, one.arranged, one.to_arrange


def _words(key: tuple[int, int]) -> str:
    year, quarter = key
    months = ("January to March", "April to June", "July to September", "October to December")
    return f"{months[quarter - 1]} {year}"
