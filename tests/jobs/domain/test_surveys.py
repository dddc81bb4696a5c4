from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.erasing_site import forget_site
from jobs.domain.gates import holding
from jobs.domain.steps import start_step
from jobs.domain.surveys import (
    Size,
    declare_nothing_changed,
    keep_run,
    note_work_since,
    record_survey,
    save_feature,
    sign_off_remeasure,
)
from jobs.models import (
    DaybookLine,
    Declaration,
    GateOverride,
    RoomFeature,
    RoutePlace,
    RunPlan,
    StepKind,
    Survey,
    SurveyPurpose,
    WorkSince,
)
from jobs.queries.cutting_gate import cutting_gate
from jobs.queries.room_readings import make_run, run_of
from jobs.queries.survey_page import compare_with_survey, run_view, survey_page
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_maker, make_workshop, up_to
from tests.jobs.site_cast import make_room, make_route, make_survey

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def maker():
    make_workshop()
    return make_maker()


@pytest.fixture
def commission(maker):
    return make_commission(maker=maker, done=up_to(StepKind.DOORS))


@pytest.fixture
def room(commission):
    return make_room(commission)


def doors(commission):
    return commission.steps.get(kind=StepKind.DOORS)


def held(commission):
    return " ".join(holding(doors(commission), NOW))


def declare(commission, maker, **fields):
    words = {"declared_at": NOW - DAY, "way": Declaration.Way.TOLD}
    return declare_nothing_changed(commission=commission, now=NOW, actor=maker, **words | fields)


def test_without_a_room_or_a_survey_cutting_waits_for_it_by_name(commission):
    assert "No room is noted yet" in held(commission)
    make_room(commission)
    assert "Dressing room has no survey yet: measure it." in held(commission)


def test_missing_readings_hold_cutting_and_are_named(commission, room, maker):
    make_survey(room, without=(("width", "back top"), ("cornice", "height")))
    declare(commission, maker)
    assert "Dressing room: 2 readings are missing (width, back top; cornice)." in held(commission)


def test_a_whole_fresh_survey_waits_only_for_the_client(commission, room, maker):
    make_survey(room)
    assert "has not yet declared that nothing has changed" in held(commission)
    declare(commission, maker)
    assert held(commission) == ""
    start_step(step=doors(commission), at=NOW, now=NOW, actor=maker)
    assert not GateOverride.objects.exists()


def test_a_word_given_before_the_survey_does_not_count(commission, room, maker):
    make_survey(room, taken_on=TODAY)
    declare(commission, maker, declared_at=NOW - 3 * DAY)
    assert "has not yet declared" in held(commission)


def test_an_old_survey_is_measured_again(commission, room, maker):
    make_survey(room, taken_on=TODAY - 61 * DAY)
    declare(commission, maker)
    assert "The survey of Dressing room is 61 days old, fresh for 60" in held(commission)


def test_work_since_asks_for_a_remeasure_and_a_signed_one_opens(commission, room, maker):
    make_survey(room)
    declare(commission, maker)
    work = WorkSince(commission=commission, done_on=TODAY - 2 * DAY, what="A second layer of board")
    note_work_since(work=work, today=TODAY, now=NOW, actor=maker)
    assert "Work was done since the survey (A second layer of board, Mon 8 Mar)" in held(commission)
    again = make_survey(room, purpose=SurveyPurpose.REMEASURE, taken_on=TODAY)
    assert held(commission) != ""
    sign_off_remeasure(survey=again, now=NOW, actor=maker)
    assert held(commission) == ""


def test_a_client_who_says_that_something_changed_is_heard(commission, room, maker):
    make_survey(room)
    declare(commission, maker, nothing_changed=False, what_changed="New skirting")
    assert "The client says that something has changed" in held(commission)


def test_other_steps_are_not_held_by_the_room(commission, maker):
    assert holding(commission.steps.get(kind=StepKind.FIT), NOW) == []


def test_a_maker_may_begin_all_the_same_and_the_reason_is_kept(commission, maker):
    with pytest.raises(Refusal, match="No room is noted yet"):
        start_step(step=doors(commission), at=NOW, now=NOW, actor=maker)
    start_step(step=doors(commission), at=NOW, now=NOW, actor=maker, override_reason="Frames only, no sizes")
    kept = GateOverride.objects.get()
    assert kept.reason == "Frames only, no sizes"
    assert DaybookLine.objects.filter(act="start_past_gate", commission=commission).count() == 1


def test_a_survey_keeps_exactly_the_readings_typed(room, maker):
    survey = Survey(room=room, taken_on=TODAY)
    sizes = {("width", "back top"): Size(2410), ("plumb", "left"): Size(-3, 2300)}
    record_survey(survey=survey, sizes=sizes, today=TODAY, now=NOW, actor=maker)
    record_survey(survey=survey, sizes={("width", "back top"): Size(2412)}, today=TODAY, now=NOW, actor=maker)
    assert [(one.kind, one.place, one.value_mm) for one in survey.readings.all()] == [("width", "back top", 2412)]
    assert DaybookLine.objects.filter(act="record_survey").count() == 2


@pytest.mark.parametrize(
    ("fields", "sizes", "sentence"),
    [
        ({"taken_on": TODAY + DAY}, {("width", "back top"): Size(2410)}, "still to come"),
        ({}, {}, "No reading was typed"),
        ({}, {("width", "back top"): Size(3)}, r"Is it 3000 mm \(3 m\)"),
        ({"signed_off_at": NOW}, {("width", "back top"): Size(2410)}, "signed off and stays"),
    ],
)
def test_a_survey_that_cannot_be_is_refused_whole(room, maker, fields, sizes, sentence):
    survey = Survey(**{"room": room, "taken_on": TODAY} | fields)
    with pytest.raises(Refusal, match=sentence):
        record_survey(survey=survey, sizes=sizes, today=TODAY, now=NOW, actor=maker)
    assert not Survey.objects.exists()


def test_only_a_remeasure_is_signed_off_and_only_once(room, maker):
    plain, again = make_survey(room), make_survey(room, purpose=SurveyPurpose.REMEASURE)
    with pytest.raises(Refusal, match="Only a re-measure"):
        sign_off_remeasure(survey=plain, now=NOW, actor=maker)
    sign_off_remeasure(survey=again, now=NOW, actor=maker)
    with pytest.raises(Refusal, match="signed off already"):
        sign_off_remeasure(survey=again, now=NOW, actor=maker)


def test_the_page_reads_the_survey_back(room, django_assert_num_queries):
    survey = Survey.objects.select_related("room__commission").get(pk=make_survey(room).pk)
    with django_assert_num_queries(3):  # readings, features, photographs
        page = survey_page(survey)
    words = " ".join(page["summary"].sentences)
    assert "Smallest width 2406 mm of 6 of 6 readings, largest 2415; scribe allowance 14 mm" in words
    assert "Floor falls 6 mm from left to right over 2400 mm, 2.5 mm per m" in words
    assert page["summary"].missing == ()


def test_arrival_says_what_it_does_to_the_infills(room, maker):
    """The published case: a layer of board put up on both sides after the survey takes 25 mm off the width."""
    make_survey(room)
    plan = RunPlan(room=room, widths_mm=[800, 800, 700], doors=[], depth_mm=600, position_mm=53)
    keep_run(plan=plan, now=NOW, actor=maker)
    arrival = Survey.objects.create(room=room, purpose=SurveyPurpose.ARRIVAL, taken_on=TODAY)
    arrival.readings.create(kind="width", place="front middle", value_mm=2381)
    found = compare_with_survey(arrival, list(arrival.readings.all()), [])
    assert found.arrival.verdict == "changed"
    assert (found.arrival.before.right_mm, found.arrival.after.right_mm) == (53, 28)


def test_a_radiator_that_stops_a_door_is_named(room, maker):
    make_survey(room)
    feature = RoomFeature(
        room=room, kind="radiator", name="Radiator", wall="left", start_mm=620, end_mm=1400, bottom_mm=100,
        top_mm=700, stands_out_mm=110,
    )  # fmt: skip
    save_feature(feature=feature, now=NOW, actor=maker)
    plan = RunPlan(room=room, widths_mm=[600], doors=["L"], depth_mm=600, position_mm=40)
    keep_run(plan=plan, now=NOW, actor=maker)

    view = run_view(room, run_of(plan), 40)
    assert "stopped by Radiator" in view.placing.sentence
    assert run_view(room, run_of(plan), 300).placing.doors_clear


@pytest.mark.parametrize(
    ("fields", "field"), [({"end_mm": 600}, "end_mm"), ({"top_mm": 50}, "top_mm"), ({"end_mm": 50_000}, "")]
)
def test_a_thing_on_a_wall_that_cannot_be_is_refused(room, maker, fields, field):
    sizes = {"start_mm": 620, "end_mm": 1400, "bottom_mm": 100, "top_mm": 700, "stands_out_mm": 110}
    feature = RoomFeature(room=room, kind="radiator", name="Radiator", wall="left", **sizes | fields)
    with pytest.raises(Refusal) as refused:
        save_feature(feature=feature, now=NOW, actor=maker)
    assert refused.value.field == field


def test_a_word_from_tomorrow_and_a_change_without_words_are_refused(commission, maker):
    with pytest.raises(Refusal, match="still to come"):
        declare(commission, maker, declared_at=NOW + DAY)
    with pytest.raises(Refusal, match="say it in a few words"):
        declare(commission, maker, nothing_changed=False)


def test_the_gate_takes_as_many_queries_for_three_rooms_as_for_one(commission, django_assert_num_queries):

    for number in range(3):
        make_survey(make_room(commission, name=f"Room {number}"))
    with django_assert_num_queries(8):
        cutting_gate(commission, NOW)


def test_the_first_window_measured_tells_the_light_what_it_faces(room, maker):
    for facing_deg in (265, 90):
        feature = RoomFeature(
            room=room, kind="window", name="Sash", wall="right", start_mm=700, end_mm=1600, bottom_mm=800,
            top_mm=2100, facing_deg=facing_deg,
        )  # fmt: skip
        save_feature(feature=feature, now=NOW, actor=maker)
    room.refresh_from_db()
    assert (room.window_facing_deg, room.window_width_mm, room.window_height_mm) == (265, 900, 1300)


def test_a_forgotten_client_leaves_no_way_into_the_house(commission, room, maker):
    survey = make_survey(room, notes="Spare room is locked")
    make_route(commission)
    declare(commission, maker, nothing_changed=False, what_changed="My sister moved in")
    forget_site(commission.client_id, NOW)
    survey.refresh_from_db()
    assert survey.notes == "" and survey.readings.exists()
    assert not RoutePlace.objects.exists() and not Declaration.objects.exists()


def test_the_run_says_where_every_door_would_clear(room):
    make_survey(room)
    # A single door at the left wall: 90 degrees need the leaf's own thickness beside the wall, none in plan; the
    # window sill of 70 mm at its height stops it until the infill is 75 (70 and the 5 mm of the hinge's shift).
    RoomFeature.objects.create(
        room=room, kind="sill", name="Sill", wall="left", start_mm=700, end_mm=1500, bottom_mm=800, top_mm=900,
        stands_out_mm=70,
    )  # fmt: skip
    view = run_view(room, make_run([600], ["L"], 600, 100, 2200), 20)
    assert "Every door clears somewhere between 75 and" in view.clear_words
    assert run_view(room, make_run([600], ["L"], 600, 100, 2200), 75).placing.doors_clear
