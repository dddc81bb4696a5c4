"""Until when a client is kept."""

from __future__ import annotations

import datetime as dt

from jobs.models import Client, Workshop
from jobs.queries.codes import job_ended_on

AWAY_DAYS = 30


def ends_of(client: Client, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """The day the last of a client's commissions ended; None while one of them runs, or where there is none."""
    days = [job_ended_on(commission, workshop, now) for commission in client.commissions.all()]
    return None if not days or None in days else max(day for day in days if day is not None)


def years_after(day: dt.date, years: int) -> dt.date:
    """The same day of a later year; 29 February becomes 1 March."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return dt.date(day.year + years, 3, 1)


def record_goes_on(client: Client, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """The day on which all that is left of a client goes by itself; None where no day is known yet."""
    if not client.commissions.exists():
        return workshop.local_day(client.created_at) + dt.timedelta(days=workshop.keep_enquiries_days)
    ended = ends_of(client, workshop, now)
    return None if ended is None else years_after(ended, workshop.keep_record_years)
