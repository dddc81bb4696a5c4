"""Surveys, what is on the walls, the run, and what has been said to have changed since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import (
    Commission,
    Declaration,
    FeatureKind,
    Person,
    Reading,
    Room,
    RoomFeature,
    RunPlan,
    Survey,
    SurveyPurpose,
    WorkSince,
)
from jobs.pure_errors import MeasureError
from jobs.queries.room_readings import proud_things, room_readings, run_of, window
from jobs.refusal import Refusal


@dataclass(frozen=True)
class Size:
    """A reading as typed: mm, and over what length where that belongs to it (plumb, level)."""

    value_mm: int
    over_mm: int | None = None


@transaction.atomic
def record_survey(
    *,
    survey: Survey,
    sizes: Mapping[tuple[str, str], Size],
    today: dt.date,
    now: dt.datetime,
    actor: Person | None,
) -> Survey:
    """Keep a survey with exactly these readings by (kind, place), new or changed.

    Refused: a day to come, no reading at all, a reading that cannot be, a signed-off re-measure.
    """
    if survey.taken_on > today:
        raise Refusal("taken_on", "Measured on: that day is still to come; give the day it was measured.")
    if survey.signed_off_at is not None:
        raise Refusal("", "This re-measure is signed off and stays as it is: take a new one.")
    if not sizes:
        raise Refusal("", "No reading was typed: type at least one in whole millimetres.")
    rows = [
        Reading(kind=kind, place=place, value_mm=size.value_mm, over_mm=size.over_mm)
        for (kind, place), size in sizes.items()
    ]
    try:
        room_readings(rows, survey.room.features.all())
    except MeasureError as fault:
        raise Refusal("", fault.sentence) from fault
    survey.save()
    survey.readings.all().delete()
    for row in rows:
        row.survey = survey
    Reading.objects.bulk_create(rows)
    write_line(
        act="record_survey", now=now, actor=actor, commission=survey.room.commission, survey=survey.pk,
        purpose=survey.purpose, readings=len(rows),
    )  # fmt: skip
    return survey


@transaction.atomic
def sign_off_remeasure(*, survey: Survey, now: dt.datetime, actor: Person | None) -> None:
    """The re-measure is what gets cut to. Readings it lacks are the signer's own answer for."""
    if survey.purpose != SurveyPurpose.REMEASURE:
        raise Refusal("", "Only a re-measure before cutting is signed off: take one first.")
    done = Survey.objects.filter(pk=survey.pk, signed_off_at__isnull=True).update(
        signed_off_at=now, signed_off_by=actor
    )
    if not done:
        raise Refusal("", "This re-measure is signed off already; nothing was changed.")
    survey.signed_off_at, survey.signed_off_by = now, actor
    write_line(act="sign_off_remeasure", now=now, actor=actor, commission=survey.room.commission, survey=survey.pk)


@transaction.atomic
def save_feature(*, feature: RoomFeature, now: dt.datetime, actor: Person | None) -> RoomFeature:
    """Something on a wall, new or changed."""
    if feature.end_mm <= feature.start_mm:
        raise Refusal("end_mm", "Ends at: it must lie beyond where it starts; measure both from the same corner.")
    if feature.top_mm <= feature.bottom_mm:
        raise Refusal("top_mm", "Top: it must lie above the bottom; measure both from the floor.")
    try:
        if feature.kind == FeatureKind.WINDOW:
            window(feature)
        proud_things([feature])
    except MeasureError as fault:
        raise Refusal("", fault.sentence) from fault
    feature.save()
    _tell_the_light(feature)
    write_line(act="save_feature", now=now, actor=actor, commission=feature.room.commission, feature=feature.pk)
    return feature


def _tell_the_light(feature: RoomFeature) -> None:
    """What the light note needs of a window is not asked twice: the first one measured fills what is blank."""
    if feature.kind != FeatureKind.WINDOW or feature.facing_deg is None:
        return
    Room.objects.filter(pk=feature.room_id, window_facing_deg__isnull=True).update(
        window_facing_deg=feature.facing_deg,
        window_width_mm=feature.end_mm - feature.start_mm,
        window_height_mm=feature.top_mm - feature.bottom_mm,
    )


@transaction.atomic
def remove_feature(*, feature: RoomFeature, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_feature", now=now, actor=actor, commission=feature.room.commission, feature=feature.pk)
    feature.delete()


@transaction.atomic
def keep_run(*, plan: RunPlan, now: dt.datetime, actor: Person | None) -> RunPlan:
    """The run as it is drawn for the room; arrival is measured against it."""
    try:
        run_of(plan)
    except MeasureError as fault:
        raise Refusal("", fault.sentence) from fault
    RunPlan.objects.filter(room=plan.room).exclude(pk=plan.pk).delete()
    plan.save()
    write_line(act="keep_run", now=now, actor=actor, commission=plan.room.commission, room=plan.room_id)
    return plan


@transaction.atomic
def declare_nothing_changed(
    *,
    commission: Commission,
    declared_at: dt.datetime,
    way: str,
    now: dt.datetime,
    actor: Person | None,
    nothing_changed: bool = True,
    what_changed: str = "",
) -> Declaration:
    """The client's dated word about the rooms since the survey. The client page calls this with way "link"."""
    if declared_at > now:
        raise Refusal("declared_at", "Declared at: that is still to come; give the time it was said.")
    if not nothing_changed and not what_changed.strip():
        raise Refusal("what_changed", "What has changed: say it in a few words, such as a new floor.")
    declaration = Declaration.objects.create(
        commission=commission,
        declared_at=declared_at,
        way=way,
        nothing_changed=nothing_changed,
        what_changed="" if nothing_changed else what_changed.strip(),
    )
    act = "declare_nothing_changed" if nothing_changed else "declare_changed"
    write_line(act=act, now=now, actor=actor, commission=commission, declaration=declaration.pk, way=way)
    return declaration


@transaction.atomic
def note_work_since(*, work: WorkSince, today: dt.date, now: dt.datetime, actor: Person | None) -> WorkSince:
    """Something was done in the house that may have changed the room."""
    if work.done_on > today:
        raise Refusal("done_on", "Done on: that day is still to come; note the work once it is done.")
    work.save()
    write_line(act="note_work_since", now=now, actor=actor, commission=work.commission, work=work.pk)
    return work


@transaction.atomic
def remove_work_since(*, work: WorkSince, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_work_since", now=now, actor=actor, commission=work.commission, work=work.pk)
    work.delete()
