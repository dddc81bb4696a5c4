"""No cutting before the re-measure is signed off, or the survey is whole and fresh and the client has said that
nothing has changed. Sentences name what is missing; an empty list lets cutting begin."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.measuring.summary import summarise
from jobs.models import Commission, Declaration, Room, StepKind, Survey, SurveyPurpose, Workshop, WorkSince
from jobs.pure_errors import MeasureError
from jobs.queries.room_readings import room_readings
from jobs.words import joined, short_day

CUTTING = (StepKind.DOORS, StepKind.CARCASSES)
NAMED_AT_MOST = 6


@dataclass(frozen=True)
class RoomStanding:
    """One room: the survey that counts, its age, what is missing in it, and whether it is signed off."""

    room: Room
    survey: Survey | None
    age_days: int | None
    missing: tuple[str, ...]
    signed_off: bool


@dataclass(frozen=True)
class CuttingGate:
    """How cutting stands for a commission. `holds` is empty where it may begin."""

    rooms: tuple[RoomStanding, ...]
    works: tuple[WorkSince, ...]
    declaration: Declaration | None
    fresh_days: int
    still_to_cut: bool
    holds: tuple[str, ...]


def cutting_gate(commission: Commission, now: dt.datetime) -> CuttingGate:
    """A fixed number of queries, whatever the number of rooms."""
    workshop = Workshop.objects.order_by("pk").first() or Workshop()
    rooms = tuple(_standing(room, workshop.local_day(now)) for room in _rooms(commission))
    works = tuple(commission.works_since.all())
    declaration = commission.declarations.order_by("-declared_at", "-pk").first()
    fresh = workshop.survey_fresh_days
    still_to_cut = commission.steps.filter(kind__in=CUTTING, started_at__isnull=True).exists()
    holds = _holds(rooms, works, declaration, fresh, workshop)
    return CuttingGate(rooms, works, declaration, fresh, still_to_cut, tuple(holds))


def _rooms(commission: Commission) -> Iterable[Room]:
    return commission.rooms.prefetch_related("surveys__readings", "features")


def _standing(room: Room, today: dt.date) -> RoomStanding:
    """A signed-off re-measure counts from its day on; otherwise the newest survey."""
    done = [survey for survey in room.surveys.all() if survey.purpose != SurveyPurpose.ARRIVAL]
    signed = [survey for survey in done if survey.signed_off_at is not None]
    plain = [survey for survey in done if survey.purpose == SurveyPurpose.SURVEY]
    if not signed and not plain:
        return RoomStanding(room, None, None, (), False)
    counted = (signed or plain)[-1]
    return RoomStanding(
        room, counted, (today - counted.taken_on).days, _missing(counted, room), counted.signed_off_at is not None
    )


def _missing(survey: Survey, room: Room) -> tuple[str, ...]:
    try:
        return summarise(room_readings(survey.readings.all(), room.features.all())).missing
    except MeasureError as fault:
        return (f"a reading that can be used ({fault.sentence})",)


def _holds(
    rooms: tuple[RoomStanding, ...],
    works: tuple[WorkSince, ...],
    declaration: Declaration | None,
    fresh_days: int,
    workshop: Workshop,
) -> list[str]:
    if not rooms:
        return ["No room is noted yet, so nothing has been measured: add the room and its survey."]
    holds = [sentence for standing in rooms if (sentence := _readings_missing(standing))]
    unsigned = [standing for standing in rooms if standing.survey and not standing.signed_off]
    if not unsigned:
        return holds + _works_after_sign_off(rooms, works)
    for standing in unsigned:
        if standing.age_days is not None and standing.age_days > fresh_days:
            holds.append(
                f"The survey of {standing.room} is {standing.age_days} days old, fresh for {fresh_days}: re-measure "
                "and sign it off."
            )
    return holds + _client_word(unsigned, works, declaration, workshop)


def _readings_missing(standing: RoomStanding) -> str:
    if standing.survey is None:
        return f"{standing.room} has no survey yet: measure it."
    if not standing.missing or standing.signed_off:
        return ""  # who signs a re-measure off has said that what was measured is enough
    count = len(standing.missing)
    named = list(standing.missing[:NAMED_AT_MOST])
    if count > NAMED_AT_MOST:
        named.append(f"{count - NAMED_AT_MOST} more")
    readings = "1 reading is" if count == 1 else f"{count} readings are"
    return f"{standing.room}: {readings} missing ({'; '.join(named)})."


def _works_after_sign_off(rooms: tuple[RoomStanding, ...], works: tuple[WorkSince, ...]) -> list[str]:
    measured = min((standing.survey.taken_on for standing in rooms if standing.survey), default=None)
    later = [work for work in works if measured is not None and work.done_on > measured]
    return [f"Work was done after the re-measure ({_named(later)}): measure again and sign off."] if later else []


def _client_word(
    unsigned: list[RoomStanding], works: tuple[WorkSince, ...], declaration: Declaration | None, workshop: Workshop
) -> list[str]:
    measured = max(standing.survey.taken_on for standing in unsigned if standing.survey)
    later = [work for work in works if work.done_on > measured]
    if later:
        return [f"Work was done since the survey ({_named(later)}): re-measure and sign it off."]
    if declaration is None or workshop.local_day(declaration.declared_at) < measured:
        return ["The client has not yet declared that nothing has changed since the survey: ask, or re-measure."]
    if not declaration.nothing_changed:
        return ["The client says that something has changed since the survey: re-measure and sign it off."]
    return []


def _named(works: list[WorkSince]) -> str:
    return joined([f"{work.what}, {short_day(work.done_on)}" for work in works])
