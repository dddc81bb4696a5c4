"""What the readings of a room come to, the run moved along the wall, and arrival against survey."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jobs.carrying.picture import Picture
from jobs.measuring.arrival import Arrival, compare_arrival
from jobs.measuring.picture import wall_plan
from jobs.measuring.readings import ProudThing
from jobs.measuring.run import PlaceInfill, Placing, Run, infills_at_places, place_run, slide_run
from jobs.measuring.summary import RoomSummary, summarise
from jobs.models import Commission, FeatureWall, Reading, Room, RoomFeature, RunPlan, Survey, SurveyPurpose
from jobs.pure_errors import MeasureError
from jobs.queries.cutting_gate import CuttingGate, cutting_gate
from jobs.queries.room_readings import proud_things, room_readings, run_of

NUDGES_MM = (-50, -10, -1, 1, 10, 50)
CLEAR_STEP_MM = 5


@dataclass(frozen=True)
class Comparison:
    """Arrival against survey, or the sentence that says why there is none."""

    arrival: Arrival | None
    sentence: str


@dataclass(frozen=True)
class RunView:
    """The run at one position: infills, doors, picture; `fault` where it cannot be placed."""

    placing: Placing | None
    infills: tuple[PlaceInfill, ...]
    picture: Picture | None
    fault: str
    clear_words: str = ""


def survey_page(survey: Survey) -> dict[str, Any]:
    """One survey read back, with its photographs wall by wall. Six queries."""
    readings, features = list(survey.readings.all()), list(survey.room.features.all())
    summary, fault = summary_or_fault(readings, features)
    page: dict[str, Any] = {"survey": survey, "room": survey.room, "readings": readings, "features": features}
    page |= {"summary": summary, "fault": fault, "is_remeasure": survey.purpose == SurveyPurpose.REMEASURE}
    photographs = list(survey.photographs.all())
    walls = [*FeatureWall.choices, ("", "No wall in particular")]
    page["walls"] = [(wall, words, [one for one in photographs if one.wall == wall]) for wall, words in walls]
    if survey.purpose != SurveyPurpose.SURVEY:
        page["comparison"] = compare_with_survey(survey, readings, features)
    return page


def summary_or_fault(readings: Sequence[Reading], features: Sequence[RoomFeature]) -> tuple[RoomSummary | None, str]:
    try:
        return summarise(room_readings(readings, features)), ""
    except MeasureError as fault:
        return None, fault.sentence


def basis_survey(room: Room, before: Survey | None = None) -> Survey | None:
    """The survey that counts: the newest signed-off re-measure, else the newest survey; `before` leaves that out."""
    done = [survey for survey in room.surveys.all() if survey != before]
    signed = [survey for survey in done if survey.signed_off_at is not None]
    plain = [survey for survey in done if survey.purpose == SurveyPurpose.SURVEY]
    chosen = signed or plain
    return chosen[-1] if chosen else None


def compare_with_survey(survey: Survey, readings: Sequence[Reading], features: Sequence[RoomFeature]) -> Comparison:
    basis = basis_survey(survey.room, before=survey)
    if basis is None:
        return Comparison(None, "There is no earlier survey of this room to compare with.")
    plan = RunPlan.objects.filter(room=survey.room).first()
    try:
        arrival = compare_arrival(
            room_readings(basis.readings.all()),
            room_readings(readings),
            run=run_of(plan) if plan else None,
            position_mm=plan.position_mm if plan else None,
            proud=proud_things(features),
        )
    except MeasureError as fault:
        return Comparison(None, fault.sentence)
    words = f"Against {str(basis).lower()}."
    if plan is None:
        words += " No run is placed in this room, so infills are not compared."
    return Comparison(arrival, words)


def run_view(room: Room, run: Run, position_mm: int | None) -> RunView:
    """The run at `position_mm` from the left wall (None: in the middle) on the smallest width that counts."""
    basis = basis_survey(room)
    if basis is None:
        return RunView(None, (), None, "There is no survey of this room yet: measure it, then place the run.")
    features = list(room.features.all())
    try:
        readings = room_readings(basis.readings.all(), features)
        widths = readings.values_mm("width")
        if not widths:
            return RunView(None, (), None, "Width: none is measured yet. Measure it, then place the run.")
        placing = place_run(min(widths), run, position_mm, readings.proud)
        infills = infills_at_places(readings, run, placing.position_mm)
        picture = wall_plan(readings, run, placing, readings.proud) if placing.fits else None
    except MeasureError as fault:
        return RunView(None, (), None, fault.sentence)
    return RunView(placing, infills, picture, "", _clear_words(min(widths), run, readings.proud, placing))


def _clear_words(opening_mm: int, run: Run, proud: Sequence[ProudThing], placing: Placing) -> str:
    """Where the run would have to stand for every door to clear; "" where it does already or does not go in."""
    if placing.doors_clear or not run.doors or run.width_mm > opening_mm:
        return ""
    clear = [one.left_mm for one in slide_run(opening_mm, run, proud, step_mm=CLEAR_STEP_MM) if one.doors_clear]
    if not clear:
        return "There is no place along the wall where every door clears: change a hinge side or a width."
    if len(clear) == 1:
        return f"Every door clears with an infill of {clear[0]} mm left."
    return (
        f"Every door clears somewhere between {clear[0]} and {clear[-1]} mm infill left, in steps of {CLEAR_STEP_MM}."
    )


def room_page(room: Room) -> dict[str, Any]:
    """A room with its surveys, what is on its walls, its run and its pieces."""
    surveys = list(room.surveys.select_related("taken_by"))
    basis = basis_survey(room)
    features = list(room.features.all())
    summary, fault = summary_or_fault(list(basis.readings.all()), features) if basis else (None, "")
    plan = RunPlan.objects.filter(room=room).first()
    view = None
    if plan is not None:
        try:
            view = run_view(room, run_of(plan), plan.position_mm)
        except MeasureError as problem:
            view = RunView(None, (), None, problem.sentence)
    return {
        "room": room,
        "surveys": surveys,
        "basis": basis,
        "features": features,
        "summary": summary,
        "fault": fault,
        "plan": plan,
        "view": view,
    }


def survey_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """For the commission page: each room's standing, and what holds cutting."""
    gate: CuttingGate = cutting_gate(commission, now)
    return {"gate": gate, "declarations": list(commission.declarations.all())}
