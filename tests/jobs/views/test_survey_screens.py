from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import Declaration, RoomFeature, RunPlan, StepKind, Survey, SurveyPurpose, WorkSince
from tests.factories import NOW, TODAY, make_commission, make_maker, make_workshop, up_to
from tests.jobs.site_cast import make_room, make_survey

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(time_machine, client):
    time_machine.move_to(NOW, tick=False)
    make_workshop()
    maker = make_maker()
    client.force_login(maker)
    return make_commission(maker=maker, done=up_to(StepKind.DOORS))


@pytest.fixture
def room(commission):
    return make_room(commission)


def words(answer):
    return " ".join(answer.content.decode().split())


def test_a_room_is_measured_on_one_page_and_read_back(client, room):
    url = reverse("add_survey", args=[room.pk, "survey"])
    assert 'name="width_back_top"' in words(client.get(url))
    typed = {
        "taken_on": "2027-03-09",
        "wall_type": "lath and plaster",
        "width_back_top": "2412",
        "width_back_middle": "2409 mm",
        "plumb_left": "−4",
        "plumb_left_over": "2300",
        "skirting_height": "0",
        "skirting_stands_out": "0",
    }
    answer = client.post(url, typed, follow=True)
    survey = Survey.objects.get()
    assert answer.redirect_chain == [(reverse("survey", args=[survey.pk]), 302)]
    page = words(answer)
    assert "Smallest width 2409 mm of 2 of 6 readings" in page
    assert "Left wall leans 4 mm away from the opening" in page
    assert "Cutting waits for them." in page
    assert survey.readings.count() == 5


def test_metres_are_asked_about_and_what_was_typed_stays(client, room):
    typed = {"taken_on": "2027-03-09", "width_back_top": "2.4", "notes": "over the mantel"}
    answer = client.post(reverse("add_survey", args=[room.pk, "survey"]), typed)
    assert answer.status_code == 422
    page = words(answer)
    assert "Is it 2400 mm (2.4 m) or 2.4 mm?" in page
    assert 'value="2.4"' in page and "over the mantel" in page
    assert not Survey.objects.exists()


def test_half_a_pair_is_asked_for_its_other_half(client, room):
    typed = {"taken_on": "2027-03-09", "level_floor": "6"}
    answer = client.post(reverse("add_survey", args=[room.pk, "survey"]), typed)
    assert answer.status_code == 422
    assert "Type both or neither." in words(answer)


def test_an_unknown_purpose_is_not_found(client, room):
    assert client.get(reverse("add_survey", args=[room.pk, "guess"])).status_code == 404


def test_readings_are_changed_in_place(client, room):
    survey = make_survey(room)
    url = reverse("edit_survey", args=[survey.pk])
    assert 'value="2412"' in words(client.get(url))
    client.post(url, {"taken_on": "2027-03-09", "width_back_top": "2400"})
    assert [(one.kind, one.value_mm) for one in survey.readings.all()] == [("width", 2400)]


def test_a_remeasure_is_signed_off_by_a_button_and_not_by_looking(client, room):
    survey = make_survey(room, purpose=SurveyPurpose.REMEASURE)
    url = reverse("sign_off_survey", args=[survey.pk])
    assert client.get(url).status_code == 404
    assert "Signed off Wed 10 Mar 2027, 10:42 by Robin Thorn." in words(client.post(url, follow=True))


def test_what_is_on_a_wall_is_added_changed_and_taken_out(client, room):
    typed = {
        "kind": "window", "name": "Sash window", "wall": "right", "start_mm": "700", "end_mm": "1600",
        "bottom_mm": "800", "top_mm": "2100", "stands_out_mm": "60", "reveal_mm": "140", "facing_deg": "265",
    }  # fmt: skip
    client.post(reverse("add_feature", args=[room.pk]), typed)
    feature = RoomFeature.objects.get()
    assert (feature.name, feature.reveal_mm, feature.facing_deg) == ("Sash window", 140, 265)
    answer = client.post(reverse("edit_feature", args=[feature.pk]), typed | {"end_mm": "600"})
    assert answer.status_code == 422
    assert "it must lie beyond where it starts" in words(answer)
    page = words(client.get(reverse("room", args=[room.pk])))
    assert "Sash window" in page and "reveal 140, faces 265°" in page
    assert client.get(reverse("remove_feature", args=[feature.pk])).status_code == 404
    client.post(reverse("remove_feature", args=[feature.pk]))
    assert not RoomFeature.objects.exists()


def test_the_run_is_moved_by_looking_and_kept_by_posting(client, room):
    make_survey(room)
    url = reverse("room_run", args=[room.pk])
    asked = {"widths": "800, 800, 700", "doors": "LR, L, R", "depth_mm": "600", "door_bottom_mm": "100",
             "door_top_mm": "2200"}  # fmt: skip
    page = words(client.get(url, asked))
    assert "Infill 53 mm left, 53 mm right." in page
    assert "10 mm right" in page and 'value="63"' in page
    assert not RunPlan.objects.exists()
    page = words(client.get(url, asked | {"position_mm": "20"}))
    assert "Infill 20 mm left, 86 mm right." in page
    client.post(url, asked | {"position_mm": "60"})
    plan = RunPlan.objects.get()
    assert (plan.widths_mm, plan.doors, plan.position_mm) == ([800, 800, 700], ["LR", "L", "R"], 60)
    assert "<svg" in words(client.get(reverse("room", args=[room.pk])))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"widths": "800, 0.8"}, "can be read in two ways"),
        ({"widths": ""}, "type at least one"),
        ({"doors": "LR, X"}, "“X” is no mark"),
        ({"doors": "L, L, L, L"}, "4 marks for 3 units"),
        ({"depth_mm": "-1"}, "has a sign"),
    ],
)
def test_a_run_that_cannot_be_read_gets_a_sentence(client, room, change, sentence):
    make_survey(room)
    asked = {"widths": "800, 800, 700", "depth_mm": "600", "door_bottom_mm": "100", "door_top_mm": "2200"}
    answer = client.get(reverse("room_run", args=[room.pk]), asked | change)
    assert answer.status_code == 422
    assert sentence in words(answer)


def test_a_run_wider_than_the_room_is_answered_in_words(client, room):
    make_survey(room)
    asked = {"widths": "2600", "depth_mm": "600", "door_bottom_mm": "100", "door_top_mm": "2200"}
    assert "The run of 2600 mm is 194 mm wider than 2406 mm." in words(
        client.get(reverse("room_run", args=[room.pk]), asked)
    )


def test_changes_since_survey_are_noted_and_say_what_cutting_waits_for(client, commission, room):
    make_survey(room)
    url = reverse("changes", args=[commission.number])
    assert "has not yet declared that nothing has changed" in words(client.get(url))
    client.post(
        reverse("add_declaration", args=[commission.number]),
        {"declared_at": "2027-03-10T09:00", "way": "told", "nothing_changed": "yes"},
    )
    assert "Nothing holds cutting" in words(client.get(url))
    client.post(reverse("add_work_since", args=[commission.number]), {"done_on": "2027-03-09", "what": "New floor"})
    assert "Work was done since the survey (New floor, Tue 9 Mar)" in words(client.get(url))
    work = WorkSince.objects.get()
    assert client.get(reverse("remove_work_since", args=[work.pk])).status_code == 404
    client.post(reverse("remove_work_since", args=[work.pk]))
    assert not WorkSince.objects.exists()


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("add_declaration", {"declared_at": "2027-03-10T09:00", "way": "told"}, "choose one of the two"),
        (
            "add_declaration",
            {"declared_at": "2027-03-10T09:00", "way": "told", "nothing_changed": "no"},
            "say it in a few words",
        ),
        ("add_work_since", {"done_on": "2027-04-09", "what": "New floor"}, "still to come"),
        ("add_work_since", {"done_on": "9 of March", "what": "New floor"}, "no day of the calendar"),
    ],
)
def test_what_cannot_be_noted_comes_back_with_a_sentence(client, commission, name, typed, sentence):
    answer = client.post(reverse(name, args=[commission.number]), typed)
    assert answer.status_code == 422
    assert sentence in words(answer)
    assert not Declaration.objects.exists() and not WorkSince.objects.exists()


def test_the_start_of_a_held_step_names_what_is_missing(client, commission):
    step = commission.steps.get(kind=StepKind.DOORS)
    page = words(client.get(reverse("start_step", args=[step.pk])))
    assert "“Doors made” cuts to the room. No room is noted yet" in page
    typed = {"started_at": "2027-03-10T09:00"}
    assert client.post(reverse("start_step", args=[step.pk]), typed).status_code == 422
    client.post(reverse("start_step", args=[step.pk]), typed | {"override_reason": "Frames only"})
    step.refresh_from_db()
    assert step.started_at is not None


def test_names_of_rooms_are_printed_and_not_run(client, commission):
    room = make_room(commission, name="<script>x</script>")
    make_survey(room, without=(("width", "back top"),))
    for url in (reverse("changes", args=[commission.number]), commission.get_absolute_url()):
        page = client.get(url).content.decode()
        assert "<script>x" not in page and "&lt;script&gt;x" in page


@pytest.mark.parametrize("name", ["room", "survey", "room_run", "changes"])
def test_signed_out_leads_to_the_sign_in(client, commission, room, name):
    client.logout()
    answer = client.get(reverse(name, args=[commission.number if name == "changes" else room.pk]))
    assert answer.status_code == 302 and reverse("account_login") in answer["Location"]


def test_today_is_offered_as_the_day_measured(client, room):
    assert f'value="{TODAY:%Y-%m-%d}"' in words(client.get(reverse("add_survey", args=[room.pk, "survey"])))
