"""Clients, rooms, access, finishes, visits, calendar days, people, messages: the plain screens."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from jobs.models import (
    Absence,
    AccessArrangement,
    Client,
    ClientAway,
    Closure,
    FinishRecord,
    HelperDay,
    Message,
    MessageState,
    Person,
    Room,
    VanDay,
    Visit,
    VisitState,
    Workshop,
)  # fmt: skip
from tests.factories import NOW, make_client, make_helper
from tests.jobs.views.cast import cast, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def refused(answer, sentence):
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_add_and_edit_a_client():
    browser = signed_in()
    data = {"name": "Ada Quill", "email": "ada@example.org", "phone": "0117 496 0001", "address": "1 Loft Row"}
    browser.post(reverse("new_client"), data)
    client = Client.objects.get()
    assert (client.name, str(client.phone)) == ("Ada Quill", "+441174960001")
    browser.post(reverse("edit_client", args=[client.pk]), data | {"notes": "likes brass"})
    assert "likes brass" in browser.get(reverse("client", args=[client.pk])).content.decode()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [("name", "", "Name: this is needed"), ("email", "ada", "valid email"), ("phone", "12", "valid phone number")],
)
def test_a_bad_client_is_refused_and_kept(field, value, sentence):
    answer = signed_in().post(reverse("new_client"), {"name": "Ada", "address": "1 Loft Row", field: value})
    refused(answer, sentence)
    assert "1 Loft Row" in answer.content.decode()
    assert Client.objects.count() == 0


def test_the_client_list_takes_the_same_queries_for_one_and_three(django_assert_num_queries):
    browser = signed_in()
    for _ in range(2):
        make_client()
        with django_assert_num_queries(4):  # session, person, workshop, clients
            browser.get(reverse("clients"))
        make_client()


def test_days_away_are_noted_and_taken_out():
    client, browser = make_client(), signed_in()
    url = reverse("add_client_away", args=[client.pk])
    refused(
        browser.post(url, {"first_day": "2027-04-02", "last_day": "2027-04-01"}), "The last day lies before the first"
    )
    browser.post(url, {"first_day": "2027-04-01", "last_day": "2027-04-02"})
    browser.post(reverse("remove_client_away", args=[ClientAway.objects.get().pk]))
    assert ClientAway.objects.count() == 0


ACCESS = {
    "opener_name": "Wilf",
    "slot_starts": "08:30",
    "slot_ends": "09:15",
    "mode": "let_in",
    "parking": "in the yard",
}


def test_the_access_arrangement_is_one_and_can_be_changed():
    _, _, commission, browser = cast()
    url = reverse("arrange_access", args=[commission.number])
    browser.post(url, ACCESS)
    browser.post(url, ACCESS | {"slot_ends": "10:00"})
    assert AccessArrangement.objects.get().slot_ends == dt.time(10)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"slot_ends": "08:00"}, "The access slot would end before it starts"),
        ({"slot_ends": "08:30"}, "The access slot would end before it starts"),
        ({"slot_starts": "half eight"}, "Slot starts: this is no time of day"),
        ({"opener_name": ""}, "Who opens: this is needed"),
    ],
)
def test_a_bad_access_slot_is_refused_and_kept(fields, sentence):
    _, _, commission, browser = cast()
    answer = browser.post(reverse("arrange_access", args=[commission.number]), ACCESS | fields)
    refused(answer, sentence)
    assert "in the yard" in answer.content.decode()
    assert AccessArrangement.objects.count() == 0


ROOM = {"name": "study", "storey": "1", "window_facing_deg": "180", "obstruction_deg": "0"}


def test_add_and_edit_a_room():
    _, _, commission, browser = cast()
    browser.post(reverse("add_room", args=[commission.number]), ROOM)
    room = Room.objects.get()
    browser.post(reverse("edit_room", args=[room.pk]), ROOM | {"window_facing_deg": "90"})
    room.refresh_from_db()
    assert room.window_facing_deg == 90


@pytest.mark.parametrize("facing", ["400", "-1"])
def test_a_window_facing_that_is_no_bearing_is_refused(facing):
    _, _, commission, browser = cast()
    answer = browser.post(reverse("add_room", args=[commission.number]), ROOM | {"window_facing_deg": facing})
    refused(answer, "A compass bearing runs from 0 to 359 degrees")
    assert f'value="{facing}"' in answer.content.decode()
    assert Room.objects.count() == 0


def test_the_same_room_twice_is_refused():
    _, _, commission, browser = cast()
    browser.post(reverse("add_room", args=[commission.number]), ROOM)
    refused(browser.post(reverse("add_room", args=[commission.number]), ROOM | {"name": "Study"}), "already")


def test_finishes_are_added_changed_and_taken_out():
    _, _, commission, browser = cast()
    data = {"surface": "Doors", "kind": "painted", "colour": "Heron grey", "sheen_percent": "20"}
    browser.post(reverse("add_finish", args=[commission.number]), data)
    finish = FinishRecord.objects.get()
    refused(browser.post(reverse("edit_finish", args=[finish.pk]), data | {"sheen_percent": "140"}), "percentage")
    browser.post(reverse("remove_finish", args=[finish.pk]))
    assert FinishRecord.objects.count() == 0


def visit_data(maker, **fields):
    return {
        "kind": "fitting", "person": maker.pk, "starts_at": "2027-03-18T09:00", "ends_at": "2027-03-18T11:00",
    } | fields  # fmt: skip


def test_book_move_and_cancel_a_visit():
    _, maker, commission, browser = cast()
    browser.post(reverse("book_visit", args=[commission.number]), visit_data(maker))
    visit = Visit.objects.get()
    browser.post(
        reverse("move_visit", args=[visit.pk]),
        {"person": maker.pk, "starts_at": "2027-03-30T09:00", "ends_at": "2027-03-30T10:00"},
    )
    visit.refresh_from_db()
    # 30 March is after the clocks went forward: nine in the workshop is eight in UTC.
    assert visit.starts_at == dt.datetime(2027, 3, 30, 8, tzinfo=dt.UTC)
    browser.post(reverse("cancel_visit", args=[visit.pk]))
    visit.refresh_from_db()
    assert visit.state == VisitState.CANCELLED


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"ends_at": "2027-03-18T08:00"}, "The visit would end before it starts"),
        ({"starts_at": "2027-03-18T09:07"}, "by the quarter hour"),
        ({"starts_at": "2027-02-31T09:00"}, "Starts: this is no day and time"),
        ({"ends_at": "2027-03-19T09:00"}, "at most 14 hours"),
    ],
)
def test_a_visit_that_cannot_be_is_refused_and_kept(fields, sentence):
    _, maker, commission, browser = cast()
    refused(browser.post(reverse("book_visit", args=[commission.number]), visit_data(maker, **fields)), sentence)
    assert Visit.objects.count() == 0


def test_a_taken_time_is_refused_beside_its_field():
    _, maker, commission, browser = cast()
    url = reverse("book_visit", args=[commission.number])
    browser.post(url, visit_data(maker))
    refused(browser.post(url, visit_data(maker)), "is booked already at part of that time on Thursday 18 March")
    assert Visit.objects.count() == 1


def test_calendar_days_are_added_and_taken_out():
    browser, helper = signed_in(), make_helper()
    days = {"first_day": "2027-08-02", "last_day": "2027-08-06", "reason": "summer"}
    browser.post(reverse("add_day", args=["closure"]), days)
    browser.post(reverse("add_day", args=["absence"]), days | {"person": helper.pk})
    browser.post(reverse("add_day", args=["helperday"]), {"person": helper.pk, "day": "2027-03-12"})
    browser.post(reverse("add_day", args=["vanday"]), {"day": "2027-03-12", "available": "no"})
    counts = [model.objects.count() for model in (Closure, Absence, HelperDay, VanDay)]
    assert counts == [1, 1, 1, 1]
    refused(
        browser.post(reverse("add_day", args=["helperday"]), {"person": helper.pk, "day": "2027-03-12"}), "already"
    )
    page = browser.get(reverse("calendar_days")).content.decode()
    assert "summer" in page and "Good Friday" in page
    browser.post(reverse("remove_day", args=["closure", Closure.objects.get().pk]))
    assert Closure.objects.count() == 0


def test_a_kind_of_day_that_is_none_is_404():
    browser = signed_in()
    assert browser.get(reverse("add_day", args=["feast"])).status_code == 404
    assert browser.post(reverse("remove_day", args=["feast", 1])).status_code == 404


def test_the_workshop_settings_are_kept():
    browser = signed_in()
    form = browser.get(reverse("workshop")).context["form"]
    data = {name: value for name, value in form.initial.items() if value not in (None, "")}
    data |= {"phone": "", "weekdays": ["0", "1", "2", "3"], "town": "Fieldgate Cross"}
    assert browser.post(reverse("workshop"), data).status_code == 302
    workshop = Workshop.objects.get()
    assert (workshop.weekdays, workshop.town) == ([0, 1, 2, 3], "Fieldgate Cross")


def test_people_are_added_without_a_login():
    browser = signed_in()
    typed = {"name": "Jo Brask", "role": "helper", "is_active": "on", "skills": ["bench", "finishing"]}
    browser.post(reverse("new_person"), typed)
    assert Person.objects.get(name="Jo Brask").skills == ["bench", "finishing"]
    person = Person.objects.get(name="Jo Brask")
    assert (person.email, person.has_usable_password()) == (None, False)


def test_the_message_screen_shows_and_retries_what_failed():
    _, maker, commission, browser = cast()
    browser.post(reverse("book_visit", args=[commission.number]), visit_data(maker))
    Message.objects.update(state=MessageState.FAILED, error="The mail server said 550.")
    page = browser.get(reverse("messages")).content.decode()
    assert "The mail server said 550." in page and "Invite to a visit" in page
    browser.post(reverse("retry_message", args=[Message.objects.get().pk]))
    assert Message.objects.get().state == MessageState.WAITING


def test_nothing_is_shown_to_somebody_who_is_not_signed_in(client):
    commission = cast()[2]
    for url in (reverse("commissions"), commission.get_absolute_url(), reverse("messages"), reverse("workshop")):
        assert client.get(url).url.startswith("/account/login/")


def test_an_email_that_somebody_has_is_refused_whatever_its_capitals():
    _, maker, _, browser = cast()
    answer = browser.post(
        reverse("new_person"), {"name": "Jo", "role": "office", "email": maker.email.upper(), "is_active": "on"}
    )
    refused(answer, "Somebody else of the workshop has this e-mail address")
    assert Person.objects.count() == 1
