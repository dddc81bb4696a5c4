"""What there is of everything the plan shares out: hands, skills, van, floor, and everybody's days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from functools import lru_cache

from jobs.calendar_days import bank_holidays, days_between
from jobs.models import Skill, Subcontractor
from jobs.planning import network
from jobs.planning.calendars import (
    Calendar,
    HalfDayAxis,
    calendar_of_open_days,
    calendar_without_days,
    subcontractor_with_days,
)
from jobs.planning.calendars import Subcontractor as Outside
from jobs.queries.live import LOOK_BACK, LiveRecord, MakerRow

OUTSIDE = "outside"


def skill_id(skill: str) -> str:
    return f"skill:{skill}"


def subcontractor_id(pk: int) -> str:
    return f"subcontractor:{pk}"


def kept_skills(makers: Sequence[MakerRow]) -> frozenset[str]:
    """Skills that somebody who makes does not have and somebody else has."""
    named = [set(one.skills) for one in makers if one.skills]
    missing = {skill for skill in Skill.values for have in named if skill not in have}
    return frozenset(skill for skill in missing if any(not one.skills or skill in one.skills for one in makers))


def resources(live: LiveRecord, axis: HalfDayAxis) -> tuple[network.Resource, ...]:
    """Pools by slot. A helper booked is one more pair of hands; a maker who is away is one less."""
    shop, slots = live.workshop, axis.slot_count
    extra = [0] * slots
    for span in live.spans("helper"):
        _add(extra, axis, span.first, span.last)
    away = _away(live, axis, live.makers)
    # Where more people make than there are benches for, the first of them to be away is not missed.
    spare = max(0, len(live.makers) - shop.hands)
    hands = tuple(max(0, shop.hands - max(0, gone - spare)) + more for gone, more in zip(away, extra, strict=True))
    found = [
        network.Resource("hands", "pairs of hands", hands, "another pair of hands"),
        network.Resource("van", "the van", (1,) * slots, "a second van"),
        network.Resource("floor", "floor places", (shop.floor_places,) * slots, "another floor place"),
    ]
    for skill in sorted(kept_skills(live.makers)):
        can = [one for one in live.makers if not one.skills or skill in one.skills]
        gone_too = _away(live, axis, can)
        words = f"somebody for {Skill(skill).label.lower()}"
        there = tuple(len(can) - gone for gone in gone_too)
        found.append(
            network.Resource(skill_id(skill), words, there, f"one more person for {Skill(skill).label.lower()}")
        )
    return tuple(found)


def _away(live: LiveRecord, axis: HalfDayAxis, makers: Sequence[MakerRow]) -> list[int]:
    """How many of them are away, by slot."""
    counts, pks = [0] * axis.slot_count, {one.pk for one in makers}
    for pk in pks:
        for day in _days(live, "absence", pk):
            _add(counts, axis, day, day)
    return counts


def _add(counts: list[int], axis: HalfDayAxis, first: dt.date, last: dt.date) -> None:
    for slot in range(axis.slot_on_or_after(first), axis.slot_after(last)):
        counts[slot] += 1


def calendars(live: LiveRecord, axis: HalfDayAxis) -> Iterable[Calendar]:
    names = {one.pk: f"{one.name}’s days" for one in live.makers}
    makers = {one.maker_id for one in live.commissions}
    clients = {one.client_id for one in live.commissions}
    for maker in sorted(makers):
        words = names.get(maker, "the maker’s days")
        yield _days_but(f"person:{maker}", words, axis, _days(live, "absence", maker), "the maker there every day")
    for client in sorted(clients):
        words = "the client’s days"
        away = _days(live, "client_away", client)
        yield _days_but(f"client:{client}", words, axis, away, "the client at home on any working day")
    yield _booked_days("helper", "the helper’s days", axis, _days(live, "helper"), "a helper on every day")
    if live.workshop.has_van:
        yield _days_but("van", "the van’s days", axis, _days(live, "van_gone"), "the van there every day")
    else:
        yield _booked_days("van", "the hired van’s days", axis, _days(live, "van"), "a van on every day")
    for pk, other in sorted(_others(live).items()):
        shut = _days(live, "sub_closed", pk) | _holidays(live, axis)
        id, words = subcontractor_id(pk), f"the days of {other.name}"
        yield calendar_without_days(id, words, axis, shut, weekdays=tuple(other.weekdays))


def subcontractors(live: LiveRecord, axis: HalfDayAxis) -> tuple[Outside, ...]:
    """Everybody to whom a step of a live commission goes, and those who are on no list."""
    nobody = frozenset[dt.date]()
    found = [_outside(OUTSIDE, "whoever it comes from", axis, live.workshop.nation, (0, 1, 2, 3, 4), nobody)]
    for pk, other in sorted(_others(live).items()):
        shut = frozenset(_days(live, "sub_closed", pk))
        nation, weekdays = live.workshop.nation, tuple(other.weekdays)
        found.append(_outside(subcontractor_id(pk), other.name, axis, nation, weekdays, shut))
    return tuple(found)


def _others(live: LiveRecord) -> dict[int, Subcontractor]:
    steps = (step for found in live.steps.values() for step in found)
    return {step.subcontractor.pk: step.subcontractor for step in steps if step.subcontractor is not None}


@lru_cache(maxsize=32)
def _outside(
    id: str, words: str, axis: HalfDayAxis, nation: str, weekdays: tuple[int, ...], closed: frozenset[dt.date]
) -> Outside:
    """Kept, as it is the same all day long."""
    holidays = set(bank_holidays(nation, axis.days[0], axis.days[-1]))
    return subcontractor_with_days(id, words, axis, weekdays=weekdays, closed_days=closed | holidays)


def _holidays(live: LiveRecord, axis: HalfDayAxis) -> set[dt.date]:
    return set(bank_holidays(live.workshop.nation, live.today - LOOK_BACK, axis.days[-1]))


def _days_but(id: str, words: str, axis: HalfDayAxis, gone: set[dt.date], any_day: str) -> Calendar:
    """Most of them are never gone, and then the mask need not be built day by day."""
    mask = calendar_without_days(id, words, axis, gone).open_mask if gone else axis.all_open
    return Calendar(id, words, mask, any_day)


def _booked_days(id: str, words: str, axis: HalfDayAxis, booked: set[dt.date], any_day: str) -> Calendar:
    """Open on the days booked and on every day after the last of them."""
    if not booked:
        return Calendar(id, words, axis.all_open, any_day)
    last = max(booked)
    open_days = {day for day in axis.days if day in booked or day > last}
    return Calendar(id, words, calendar_of_open_days(id, words, axis, open_days).open_mask, any_day)


def _days(live: LiveRecord, what: str, owner_id: int | None = None) -> set[dt.date]:
    return {day for span in live.spans(what, owner_id) for day in days_between(span.first, span.last)}
