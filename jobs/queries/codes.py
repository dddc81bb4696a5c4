"""When a job is over, who goes there, and which codes are kept; nothing here opens a seal."""

from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import AccessCode, Commission, HelperDay, Person, RevealLog, Visit, VisitState, Workshop
from jobs.roles import May, may

KEPT_AFTER_THE_END = dt.timedelta(days=7)


def job_ended_on(commission: Commission, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """The day the job ended, or None while anything is still to come. Two queries.

    Closed: the day of closing. Otherwise, once every step is finished and no visit is ahead or to arrange: the day
    of the last step or visit, the return visit among them. The handover is not the end: the return visit needs to
    get in as well.
    """
    if commission.closed_on is not None:
        return commission.closed_on
    finished = list(commission.steps.values_list("finished_at", flat=True))
    if not finished or None in finished:
        return None
    last = [at for at in finished if at is not None]
    for state, ends_at in commission.visits.exclude(state=VisitState.CANCELLED).values_list("state", "ends_at"):
        if state == VisitState.TO_ARRANGE or ends_at is None or (state == VisitState.ARRANGED and ends_at > now):
            return None
        last.append(ends_at)
    return workshop.local_day(max(last))


def codes_go_on(commission: Commission, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """The day from which the codes of this commission are deleted; None while the job runs."""
    ended = job_ended_on(commission, workshop, now)
    return ended + KEPT_AFTER_THE_END if ended else None


def goes_there(person: Person, commission: Commission, workshop: Workshop) -> bool:
    """Whether a helper has a visit of this commission, or is booked on the day of one. Two queries."""
    visits = Visit.objects.filter(commission=commission, starts_at__isnull=False).exclude(state=VisitState.CANCELLED)
    days = set()
    for person_id, starts_at in visits.values_list("person_id", "starts_at"):
        if person_id == person.pk:
            return True
        if starts_at is not None:
            days.add(workshop.local_day(starts_at))
    return HelperDay.objects.filter(person=person, day__in=days).exists()


def may_see_codes_of(person: Any, commission: Commission, workshop: Workshop) -> bool:
    """Makers, and whoever has been given codes; of those, a helper only where they go themselves."""
    return may(person, May.CODES) and (may(person, May.DESK) or goes_there(person, commission, workshop))


def codes_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """What the commission page says of codes: how many of what, never what they are. Three or four queries."""
    workshop = Workshop.objects.order_by("pk")[0]
    codes = list(AccessCode.objects.filter(commission=commission).defer("code", "place"))
    return {"codes": codes, "go_on": codes_go_on(commission, workshop, now) if codes else None}


def codes_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """The codes of one commission and who has seen them. Five queries at most."""
    section = codes_section(commission, now)
    reveals = RevealLog.objects.filter(commission=commission).select_related("person")[:50]
    return {"commission": commission, "reveals": list(reveals), **section}


def commissions_whose_codes_go(workshop: Workshop, now: dt.datetime) -> list[Commission]:
    """Commissions that hold codes and ended seven days ago or earlier."""
    today = workshop.local_day(now)
    holding = Commission.objects.filter(access_codes__isnull=False).distinct()
    return [
        commission
        for commission in holding
        if (day := codes_go_on(commission, workshop, now)) is not None and day <= today
    ]
