"""The way in, the vans, and what the carry is reckoned with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.db import transaction
from django.db.models import Max

from jobs.domain.daybook import write_line
from jobs.domain.hours import tell_hours
from jobs.models import CarryPlan, CarryRecord, Commission, HourKind, Person, PointKind, RoutePlace, Van
from jobs.pure_errors import MeasureError
from jobs.queries.carry_values import pure_log, pure_van
from jobs.queries.route_values import MEASURES, protection_of, route_point
from jobs.refusal import Refusal

MOST_STEPS_IN_ORDER = 999


@transaction.atomic
def save_route_place(*, place: RoutePlace, now: dt.datetime, actor: Person | None) -> RoutePlace:
    """A place on the way in, new (at the end of the order) or changed. Sizes that its kind lacks are blanked."""
    if place.kind not in PointKind.values:
        raise Refusal("kind", f"There is no place of the kind “{place.kind}”: choose door, corridor, turn and so on.")
    kept = {measure.field for measure in MEASURES[place.kind]}
    for field in {measure.field for measures in MEASURES.values() for measure in measures} - kept:
        setattr(place, field, None)
    _check_stairs(place)
    try:
        route_point(place)
        protection_of([place])
    except MeasureError as fault:
        raise Refusal(_field_at_fault(place, fault), fault.sentence) from fault
    if place.pk is None:
        last = RoutePlace.objects.filter(commission=place.commission).aggregate(last=Max("position"))["last"] or 0
        place.position = min(last + 1, MOST_STEPS_IN_ORDER)
    place.save()
    write_line(act="save_route_place", now=now, actor=actor, commission=place.commission, place=place.pk)
    return place


def _check_stairs(place: RoutePlace) -> None:
    given = [bool(place.treads), bool(place.rise_mm), bool(place.going_mm)]
    if any(given) and not all(given):
        raise Refusal("treads", "Stairs: give treads, rise and going together, or none of them.")


def _field_at_fault(place: RoutePlace, fault: MeasureError) -> str:
    """The form's field behind "Front door, width": the pure package names sizes in its own words."""
    words = fault.field.removeprefix(f"{place.name}, ")
    names = {
        "width": "width_mm", "height": "height_mm", "headroom": "height_mm", "width in": "width_mm",
        "width out": "width_out_mm", "depth": "depth_mm", "door width": "door_width_mm",
        "door height": "door_height_mm", "car width": "width_mm", "car depth": "depth_mm", "car height": "height_mm",
        "Treads": "treads", "Rise": "rise_mm", "Going": "going_mm", "Floor run": "cover_mm", "Landing": "cover_mm",
        "Corners": "corners",
    }  # fmt: skip
    return names.get(words, "")


@transaction.atomic
def move_route_place(*, place: RoutePlace, earlier: bool, now: dt.datetime, actor: Person | None) -> None:
    """One place earlier or later on the way; at either end nothing changes."""
    places = list(RoutePlace.objects.filter(commission=place.commission))
    index = next(i for i, one in enumerate(places) if one.pk == place.pk)
    other = index - 1 if earlier else index + 1
    if not 0 <= other < len(places):
        return
    places[index], places[other] = places[other], places[index]
    for position, one in enumerate(places, start=1):
        one.position = position
    RoutePlace.objects.bulk_update(places, ["position"])
    write_line(act="move_route_place", now=now, actor=actor, commission=place.commission, place=place.pk)


@transaction.atomic
def remove_route_place(*, place: RoutePlace, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_route_place", now=now, actor=actor, commission=place.commission, place=place.pk)
    place.delete()


@transaction.atomic
def save_van(*, van: Van, now: dt.datetime, actor: Person | None) -> Van:
    try:
        pure_van(van)
    except MeasureError as fault:
        field = next((f"{name}_mm" for name in ("length", "width", "height") if name in fault.field), "payload_kg")
        raise Refusal(field, fault.sentence) from fault
    van.save()
    write_line(act="save_van", now=now, actor=actor, van=van.pk)
    return van


@transaction.atomic
def plan_carry(*, plan: CarryPlan, now: dt.datetime, actor: Person | None) -> CarryPlan:
    """What the carry is reckoned with: people, filter, drive, parking, van."""
    if not 1 <= plan.people <= 12:
        raise Refusal("people", "People planned: give a number from 1 to 12.")
    if plan.van is not None and plan.people_and_kit_kg >= plan.van.payload_kg:
        raise Refusal(
            "people_and_kit_kg",
            f"People and kit: {plan.people_and_kit_kg} kg use up the {plan.van.payload_kg} kg payload of "
            f"{plan.van}. Take less kit or a larger van.",
        )
    plan.save()
    write_line(act="plan_carry", now=now, actor=actor, commission=plan.commission)
    return plan


@transaction.atomic
def record_carry(
    *,
    commission: Commission,
    record: CarryRecord,
    today: dt.date,
    now: dt.datetime,
    actor: Person | None,
    carriers: Iterable[Person] = (),
) -> CarryRecord:
    """How long a carry took; the minutes of later ones come from these. Each of `carriers` gets the same minutes
    among their hours, so that they are typed once."""
    if record.done_on > today:
        raise Refusal("done_on", "Done on: that day is still to come; give the day of the carry.")
    try:
        pure_log(record)
    except MeasureError as fault:
        raise Refusal("minutes", fault.sentence) from fault
    record.commission = commission
    record.save()
    for person in carriers:
        tell_hours(
            person=person,
            commission=commission,
            kind=HourKind.CARRY,
            worked_on=record.done_on,
            minutes=record.minutes,
            today=today,
            now=now,
            actor=actor,
        )
    write_line(act="record_carry", now=now, actor=actor, commission=commission, record=record.pk)
    return record
