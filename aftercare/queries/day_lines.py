"""What aftercare puts on the page of a day: the photo windows of return visits, and the road to each site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from aftercare.light.words import light_sentence
from aftercare.queries.booking_facts import WINDING, place_on_map, workshop_place
from aftercare.queries.journeys import known_journeys
from aftercare.queries.light import light_of_days
from jobs.models import Commission, VisitKind, Workshop
from jobs.registries import DayAsked, DayLine
from jobs.travel import travel_minutes


def photo_window_lines(asked: DayAsked) -> list[DayLine]:
    """The hours of the good light on the day of each return visit. At most two queries."""
    commissions = list(
        {one.commission_id: one.commission for one in asked.visits if one.kind == VisitKind.RETURN}.values()
    )
    if not commissions:
        return []
    lights = light_of_days(commissions, {one.pk: [asked.day] for one in commissions}, asked.workshop.tz)
    found = []
    for commission in commissions:
        window = lights[commission.pk].windows.get(asked.day)
        if window is not None:
            found.append(
                DayLine(
                    "clock",
                    "Photo window at",
                    number=commission.number,
                    nickname=commission.nickname,
                    at=window.starts_at,
                    until=window.ends_at,
                    details=(light_sentence(window),),
                    link=("commission", commission.number),
                )
            )
    return found


def drives(workshop: Workshop, commissions: Sequence[Commission]) -> Mapping[int, int]:
    """Minutes from the workshop by commission: a journey typed in, else the straight line lengthened; without
    coordinates the site is left out. One query."""
    journeys, start = known_journeys(), workshop_place(workshop)
    found = {}
    for commission in commissions:
        typed, site = journeys.from_workshop(workshop, commission), place_on_map(commission)
        if typed is not None:
            found[commission.pk] = typed
        elif start is not None and site is not None:
            found[commission.pk] = travel_minutes(
                start, site, speed_kmh=workshop.travel_speed_kmh, winding=WINDING, unknown_minutes=0
            )
    return found
