from __future__ import annotations

import datetime as dt

from django.db import transaction

from aftercare.models import TravelTime
from aftercare.models.travel_time import MINUTES_SENTENCE
from jobs.domain.daybook import write_line
from jobs.models import Person
from jobs.refusal import Refusal

LONGEST_MINUTES = 720


@transaction.atomic
def keep_journey(*, here: str, there: str, minutes: int, now: dt.datetime, actor: Person | None) -> TravelTime:
    """A journey between two towns as it was driven; typed again, the newer minutes count. Both ways are one."""
    first, second = sorted((" ".join(here.split()), " ".join(there.split())), key=str.lower)
    if first.lower() == second.lower():
        raise Refusal("there", "To: a journey leads to another town; within one town the distance is reckoned.")
    if not 0 <= minutes <= LONGEST_MINUTES:
        raise Refusal("minutes", f"Minutes: {MINUTES_SENTENCE}")
    known = TravelTime.objects.filter(here__iexact=first, there__iexact=second).first()
    journey = known or TravelTime(here=first, there=second)
    journey.minutes = minutes
    journey.save()
    write_line(act="keep_journey", now=now, actor=actor, journey=journey.pk, minutes=minutes)
    return journey


@transaction.atomic
def remove_journey(*, journey: TravelTime, now: dt.datetime, actor: Person | None) -> None:
    """From now on this journey is reckoned from the map again."""
    write_line(act="remove_journey", now=now, actor=actor, journey=journey.pk)
    journey.delete()
