"""A compact VTIMEZONE: one rule for each of the year's two clock changes, derived from the zone database.

RDATE lists, as calendar libraries write them, are misread by at least one common parser, which takes only the
first date of each list; two yearly rules are read alike by all that we tried. RFC 5545 3.6.5.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard, vRecur

from jobs.invites.facts import as_offset, check_zone

FIRST_YEAR = 1970
LAST_YEAR = 2037  # the last year that most compiled zone files spell out; their closing rule goes on after it
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


@dataclass(frozen=True, slots=True)
class Change:
    """One clock change. `onset` is naive local time counted with the offset before (RFC 5545 3.6.5)."""

    onset: datetime
    offset_before: timedelta
    offset_after: timedelta
    name: str


@dataclass(frozen=True, slots=True)
class YearlyRule:
    """A change that comes back each year on the same weekday of the same month, from `first` on.

    `nth` counts the weekday in the month: 1 to 4 from its start, -1 for the last.
    """

    first: Change
    nth: int

    @property
    def forward(self) -> bool:
        return self.first.offset_after > self.first.offset_before


@dataclass(frozen=True, slots=True)
class ZoneRules:
    """A zone's rules from `valid_from` (UTC) on; `fixed` is its only offset where clocks never change."""

    zone: str
    valid_from: datetime
    rules: tuple[YearlyRule, ...]
    fixed: Change | None


UNIVERSAL_RULES = ZoneRules(
    "UTC",
    datetime(FIRST_YEAR, 1, 1, tzinfo=UTC),
    (),
    Change(datetime(FIRST_YEAR, 1, 1, tzinfo=UTC).replace(tzinfo=None), timedelta(0), timedelta(0), "UTC"),
)


@lru_cache(maxsize=64)
def zone_rules(zone: str) -> ZoneRules | None:
    """The zone's yearly rules, or None where it has none that last (then times are written in UTC).

    Raises FactFault for an unknown zone. UTC itself gives None: its times need no VTIMEZONE.
    """
    tz = check_zone(zone)
    if zone.rpartition("/")[2].upper() in {"UTC", "UCT", "ZULU", "UNIVERSAL", "GMT", "GREENWICH", "GMT0"}:
        return None
    changes = list(_changes(tz))
    if not changes or changes[-1].onset.year < LAST_YEAR - 10:
        return _fixed_rules(zone, tz, changes)
    by_direction: dict[bool, dict[int, list[Change]]] = {True: defaultdict(list), False: defaultdict(list)}
    for change in changes:
        by_direction[change.offset_after > change.offset_before][change.onset.year].append(change)
    rules = [_longest_rule(years) for years in by_direction.values()]
    found = [rule for rule in rules if rule is not None]
    if len(found) != len(rules):
        return None
    # Before its own first onset a rule says nothing, so both hold only from the later one on.
    valid_from = max(rule.first.onset - rule.first.offset_before for rule in found).replace(tzinfo=UTC)
    return ZoneRules(zone, valid_from, tuple(sorted(found, key=lambda rule: rule.first.onset)), None)


def build_vtimezone(rules: ZoneRules) -> Timezone:
    """The VTIMEZONE component under the zone's IANA name (programs look it up by that name)."""
    timezone = Timezone()
    timezone.add("tzid", rules.zone)
    for rule in rules.rules:
        observance = _observance(rule.first, daylight=rule.forward)
        day = f"{rule.nth}{WEEKDAYS[rule.first.onset.weekday()]}"
        observance.add("rrule", vRecur({"FREQ": "YEARLY", "BYMONTH": rule.first.onset.month, "BYDAY": day}))
        timezone.add_component(observance)
    if rules.fixed is not None:
        timezone.add_component(_observance(rules.fixed, daylight=False))
    return timezone


def _observance(change: Change, *, daylight: bool) -> TimezoneDaylight | TimezoneStandard:
    part = TimezoneDaylight() if daylight else TimezoneStandard()
    part.add("dtstart", change.onset)
    part.add("tzoffsetfrom", change.offset_before)
    part.add("tzoffsetto", change.offset_after)
    part.add("tzname", change.name)
    return part


def _changes(tz: ZoneInfo) -> Iterator[Change]:
    """Every change of offset from FIRST_YEAR to LAST_YEAR, oldest first."""
    start = datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)
    days = (datetime(LAST_YEAR + 1, 1, 1, tzinfo=UTC) - start).days
    moments = (start + timedelta(days=number) for number in range(days + 1))
    for before, after in pairwise(moments):
        if before.astimezone(tz).utcoffset() != after.astimezone(tz).utcoffset():
            yield change_between(tz, before, after)


def change_between(tz: ZoneInfo, before: datetime, after: datetime) -> Change:
    """The change of offset between two instants that lie on either side of it."""
    offset_before = as_offset(before.astimezone(tz).utcoffset())
    while after - before > timedelta(seconds=1):
        middle = (before + (after - before) / 2).replace(microsecond=0)
        if middle.astimezone(tz).utcoffset() == offset_before:
            before = middle
        else:
            after = middle
    local = after.astimezone(tz)
    onset = (after + offset_before).replace(tzinfo=None)
    return Change(onset, offset_before, as_offset(local.utcoffset()), local.tzname() or "")


def _longest_rule(years: dict[int, list[Change]]) -> YearlyRule | None:
    """The rule that holds in LAST_YEAR, followed back as far as each year keeps it; None if there is none."""
    best: YearlyRule | None = None
    last = years.get(LAST_YEAR, [])
    if len(last) != 1:
        return None
    for nth in _positions(last[0].onset.date()):
        rule = _followed_back(years, last[0], nth)
        if best is None or rule.first.onset < best.first.onset:
            best = rule
    # A rule seen to hold in a few closing years only is a coincidence (such as a date that follows the moon).
    return best if best is not None and best.first.onset.year <= LAST_YEAR - 10 else None


def _followed_back(years: dict[int, list[Change]], last: Change, nth: int) -> YearlyRule:
    first = last
    for year in range(LAST_YEAR - 1, FIRST_YEAR - 1, -1):
        found = years.get(year, [])
        if len(found) != 1 or not _same_rule(found[0], last, nth):
            break
        first = found[0]
    return YearlyRule(first, nth)


def _same_rule(change: Change, other: Change, nth: int) -> bool:
    return (
        nth in _positions(change.onset.date())
        and change.onset.month == other.onset.month
        and change.onset.weekday() == other.onset.weekday()
        and change.onset.time() == other.onset.time()
        and (change.offset_before, change.offset_after, change.name)
        == (other.offset_before, other.offset_after, other.name)
    )


def _positions(day: date) -> tuple[int, ...]:
    """Where the day's weekday stands in its month: (2,), or (4, -1), or (-1,) for a fifth."""
    position = (day.day - 1) // 7 + 1
    is_last = (day + timedelta(days=7)).month != day.month
    counted = (position,) if position <= 4 else ()
    return (*counted, -1) if is_last else counted


def _fixed_rules(zone: str, tz: ZoneInfo, changes: list[Change]) -> ZoneRules:
    """Rules of a zone whose clocks no longer change: one observance, from the last change on."""
    if changes:
        last = changes[-1]
        return ZoneRules(zone, (last.onset - last.offset_before).replace(tzinfo=UTC), (), last)
    start = datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)
    local = start.astimezone(tz)
    offset = as_offset(local.utcoffset())
    only = Change(start.replace(tzinfo=None), offset, offset, local.tzname() or "")
    return ZoneRules(zone, start, (), only)
