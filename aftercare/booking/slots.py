"""Choose the time of a return visit: the best, spare ones on other days, and what had to give way.

Where the range agreed has no time at all, rules of our own give way one step at a time, each named in words.
Three things never give way: the client's away dates and access (nobody would open the door), bank holidays
and closures, and other visits with their journeys. Where even that is not enough the choice has no best and
one sentence says why; handover is not refused for it, the visit waits "to arrange".
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time
from itertools import chain

from aftercare.booking.candidates import Candidate, DayRefusal, candidates, rank, refusals
from aftercare.booking.facts import BookingFacts, Busy, LightWindow, Preference, TimeWindow
from aftercare.booking.soft import outside_points
from aftercare.booking.wallclock import window_utc
from aftercare.booking.window import LONGEST, SHORTEST, day_number
from jobs.calendar_days import MONTH_NAMES, DayRange
from jobs.travel import Place

__all__ = [
    "BookingFacts",
    "Busy",
    "Candidate",
    "Choice",
    "DayRange",
    "DayRefusal",
    "LightWindow",
    "Place",
    "Preference",
    "TimeWindow",
    "candidates",
    "choose",
    "rank",
    "refusals",
]

NEAR_DAYS = 2
FAR_DAYS = 7
LATE_DAYS = 14


@dataclass(frozen=True)
class Choice:
    """The outcome of a search.

    `best` is None when nothing fits; `alternatives` lie on other days, each on a day of its own, best first;
    `yielded` names the rules that gave way; `refused` the days of the range searched that have no time;
    `sentence` says in one sentence what was found, or why nothing was.
    """

    best: Candidate | None
    alternatives: tuple[Candidate, ...]
    yielded: tuple[str, ...]
    refused: tuple[DayRefusal, ...]
    sentence: str


@dataclass(frozen=True)
class _Step:
    """One search: the facts as widened, and the words for the days and the hours that gave way in it."""

    facts: BookingFacts
    days_words: str = ""
    hours_words: str = ""


def choose(facts: BookingFacts, spares: int = 2) -> Choice:
    """The best time, up to `spares` others on other days, and what gave way for it."""
    steps = _steps(facts)
    for number, step in enumerate(steps):
        ranked = _ranked(facts, step)
        if ranked:
            wider = (option for later in steps[number + 1 :] for option in _ranked(facts, later))
            spare = _other_days(ranked[0], chain(ranked, wider), spares)
            return _chosen(facts, step, ranked[0], spare)
    refused = refusals(steps[-1].facts)
    tried = tuple(dict.fromkeys(words for step in steps for words in _words(step) if words))
    return Choice(None, (), tried, refused, _none_sentence(refused))


def _steps(facts: BookingFacts) -> list[_Step]:
    """The searches to try, narrowest first."""
    near, far = _wider(facts, NEAR_DAYS), _wider(facts, FAR_DAYS)
    agreed = f"days {facts.first_day} to {facts.last_day} after handover"
    near_words = f"{agreed}, taken as {near.first_day} to {near.last_day}"
    far_words = f"{agreed}, taken as {far.first_day} to {far.last_day}"
    hours_words = "the maker's own hours, an hour longer at each end"
    steps = [
        _Step(facts),
        _Step(near, near_words),
        _Step(_longer_day(near), near_words, hours_words),
        _Step(far, far_words),
        _Step(_longer_day(far), far_words, hours_words),
    ]
    late = _late(facts, far)
    if late is not None:
        steps.append(_Step(late, f"{agreed}, nearly or quite past, taken up to day {late.last_day}"))
    return steps


def _words(step: _Step) -> tuple[str, str]:
    return step.days_words, step.hours_words


def _wider(facts: BookingFacts, days: int) -> BookingFacts:
    return replace(
        facts,
        first_day=max(SHORTEST, facts.first_day - days),
        last_day=min(LONGEST, facts.last_day + days),
    )


def _longer_day(facts: BookingFacts) -> BookingFacts:
    return replace(
        facts,
        earliest=time(max(facts.earliest.hour - 1, 0), facts.earliest.minute),
        latest=time(min(facts.latest.hour + 1, 23), facts.latest.minute),
    )


def _late(facts: BookingFacts, far: BookingFacts) -> BookingFacts | None:
    """For a handover entered long after it happened: the two weeks from now, where they reach further."""
    if facts.not_before is None:
        return None
    today = (facts.not_before.astimezone(facts.tz).date() - facts.handed_over_on).days
    last_day = min(LONGEST, today + LATE_DAYS)
    return replace(far, last_day=last_day) if last_day > far.last_day else None


def _ranked(facts: BookingFacts, step: _Step) -> list[Candidate]:
    """The candidates of a step, best first; days outside the range first agreed are marked down for it."""
    told = []
    for option in candidates(step.facts):
        number = (option.day - facts.handed_over_on).days
        points, reason = outside_points(facts.first_day, facts.last_day, number)
        extra = (reason,) if reason else ()
        told.append(replace(option, score=option.score + points, reasons=option.reasons + extra))
    return rank(told)


def _other_days(best: Candidate, options: Iterable[Candidate], spares: int) -> tuple[Candidate, ...]:
    """The first option of each day but the best one's; stops as soon as there are enough."""
    others: dict[date, Candidate] = {}
    for option in options if spares > 0 else ():
        if option.day != best.day:
            others.setdefault(option.day, option)
        if len(others) == spares:
            break
    return tuple(others.values())


def _chosen(facts: BookingFacts, step: _Step, best: Candidate, alternatives: tuple[Candidate, ...]) -> Choice:
    """The choice, naming only those rules that this time really breaks."""
    yielded = []
    if not facts.first_day <= day_number(facts.handed_over_on, best.day) <= facts.last_day:
        yielded.append(step.days_words)
    opens, closes = window_utc(best.day, facts.earliest, facts.latest, facts.tz)
    if best.starts_at < opens or best.ends_at > closes:
        yielded.append(step.hours_words)
    if step.facts.photo_windows and not best.in_photo_window:
        yielded.append("the photo window: no time in the best light was as good as this one")
    sentence = "; ".join(best.reasons) or "the nearest there is to the usual hour"
    return Choice(best, alternatives, tuple(yielded), refusals(step.facts), f"Chosen: {sentence}.")


def _none_sentence(refused: tuple[DayRefusal, ...]) -> str:
    """One sentence that counts the reasons, most frequent first."""
    counted = Counter(refusal.reason for refusal in refused)
    listed = "; ".join(f"{reason} ({count} of {len(refused)} days)" for reason, count in counted.most_common())
    first, last = refused[0].day, refused[-1].day
    return (
        f"No time could be found between {first.day} {MONTH_NAMES[first.month - 1]} {first.year} and "
        f"{last.day} {MONTH_NAMES[last.month - 1]} {last.year}: {listed}."
    )
