from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from aftercare.models import Handover, ReturnWish, TravelTime
from aftercare.queries.rounds import rounds_plan
from jobs.models import Attendance, Visit, VisitState, Workshop
from tests.aftercare.domain.test_other_time import at, handed_over
from tests.factories import NOW, make_client, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def handover():
    return handed_over(make_workshop(), make_maker())


@pytest.fixture
def browser(handover):
    return signed_in(handover.commission.maker)


def another(handover, **fields):
    return handed_over(Workshop.objects.get(), handover.commission.maker, **fields)


def read(browser, name, *args):
    return browser.get(reverse(name, args=args)).content.decode()


def test_return_visits_stand_under_what_they_ask_for(browser, handover):
    states = {
        "To arrange": {"state": VisitState.TO_ARRANGE, "starts_at": None, "ends_at": None, "reasons": "Client away."},
        "Declined by the client": {"attendance": Attendance.DECLINED},
        "did it take place?": {"starts_at": at(3, 9), "ends_at": at(3, 9, 10)},
        "Due within two weeks": {"starts_at": at(3, 16), "ends_at": at(3, 16, 10)},
        "Done in the last two months": {"state": VisitState.DONE, "starts_at": at(3, 1), "ends_at": at(3, 1, 10)},
    }
    for words, fields in states.items():
        one = another(handover, nickname=words[:20])
        Visit.objects.filter(pk=one.return_visit_id).update(**fields)
    page = read(browser, "return_visits")
    for words in states:
        section = page.split(words, 1)[1].split("</section>")[0]
        assert words[:20] in section
    assert str(handover.commission) in page.split('id="booked"')[1]


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_one_visit_and_three(browser, handover, count, django_assert_num_queries):
    for _ in range(count - 1):
        another(handover)
    with django_assert_num_queries(5):  # session, person, workshop, visits, handovers
        browser.get(reverse("return_visits"))


def test_another_time_is_chosen_with_one_tap(browser, handover):
    page = read(browser, "other_times", handover.pk)
    assert "Thursday 22 April 2027, 10:00 to 11:30" in page
    assert page.count("also offered on the client’s own page") == 2
    assert "the handover pack is not sent a second time" in page
    answer = browser.post(reverse("other_times", args=[handover.pk]), {"starts_at": at(4, 22).isoformat()})
    assert answer.url == handover.commission.get_absolute_url()
    handover.return_visit.refresh_from_db()
    assert handover.return_visit.starts_at == at(4, 22)
    assert "Moved to Thursday 22 April, 10:00. A new invite goes by mail." in browser.get(answer.url).content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("soon", "This is no time"),
        ("2027-04-22T10:00", "This time has no zone"),
        ("2027-04-24T09:00:00+00:00", "Saturday 24 April, 10:00 cannot be"),
        ("", "This field is required."),
    ],
)
def test_a_time_that_cannot_be_is_refused_over_the_list(browser, handover, typed, sentence):
    answer = browser.post(reverse("other_times", args=[handover.pk]), {"starts_at": typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page and "Nothing was moved" in page and "The next best times" in page


def test_a_client_without_mail_is_to_be_rung(browser, handover):
    one = another(handover, client=make_client(name="Ada Marl", email=""))
    assert "There is no e-mail address: ring Ada Marl about the new time." in read(browser, "other_times", one.pk)


def test_the_days_that_cannot_be_are_named(browser, handover):
    assert "Monday 3 May: " in read(browser, "other_times", handover.pk)


def test_a_wish_is_noted_and_shown(browser, handover):
    url = reverse("return_wish", args=[handover.commission.number])
    answer = browser.post(url, {"weekday": "4", "time": "14:00"})
    assert answer.url == reverse("other_times", args=[handover.pk])
    assert (ReturnWish.objects.get().weekday, ReturnWish.objects.get().time) == (4, dt.time(14))
    page = browser.get(answer.url).content.decode()
    assert "They asked for a Friday at 14:00" in page and "Friday, as you asked." in page
    bad = browser.post(url, {"weekday": "9", "time": "25:00"})
    assert bad.status_code == 422
    assert "choose one from Monday to Sunday, or any" in bad.content.decode()
    assert "Time of day: this is no time of day" in bad.content.decode()


def test_rounds_are_shown_with_their_effect_and_map_and_taken_by_a_yes(browser, handover):
    for latitude_deg in (52.6, 52.61):
        another(handover, latitude_deg=latitude_deg, longitude_deg=-1.7, client=make_client(name="Ada Marl"))
    page = read(browser, "return_rounds")
    plan = rounds_plan(Workshop.objects.get(), NOW)
    assert "If you say yes to all of it" in page and "Until then nothing is moved and nobody is told." in page
    assert 'class="rounds-map"' in page and ">A1</b>" in page
    assert f"{plan.saved_minutes} minutes on the road saved" in page
    browser.post(reverse("take_rounds"), {"agreed_to": plan.fingerprint})
    page = read(browser, "return_rounds")
    assert "there is nothing to move" in page and "Moved." in page


def test_one_visit_is_moved_to_its_round_alone(browser, handover):
    """A declined visit always asks for another time; its button moves it and nothing else."""
    Visit.objects.update(attendance=Attendance.DECLINED)
    (move,) = rounds_plan(Workshop.objects.get(), NOW).moves
    page = read(browser, "return_rounds")
    assert page.count("Move only ") == 1 and f'value="{move.starts_at.isoformat()}"' in page
    browser.post(reverse("other_times", args=[handover.pk]), {"starts_at": move.starts_at.isoformat()})
    handover.return_visit.refresh_from_db()
    assert (handover.return_visit.starts_at, handover.return_visit.attendance) == (
        move.starts_at,
        Attendance.NEEDS_ACTION,
    )


def test_a_stale_yes_moves_nothing_and_says_so(browser, handover):
    browser.post(reverse("take_rounds"), {"agreed_to": "1@20270421T0900"})
    assert "The rounds have changed since this page was drawn" in read(browser, "return_rounds")
    handover.return_visit.refresh_from_db()
    assert handover.return_visit.sequence == 0


def test_without_return_visits_the_rounds_say_what_comes_here(browser, handover):
    Handover.objects.update(undone_at=NOW)
    assert "No return visit is coming up in the next ten weeks." in read(browser, "return_rounds")


def test_journeys_are_noted_changed_and_taken_out(browser, handover):
    url = reverse("journeys")
    browser.post(url, {"here": "Fieldgate", "there": "Zennow", "minutes": "55"})
    browser.post(url, {"here": "Zennow", "there": "Fieldgate", "minutes": "50"})
    page = read(browser, "journeys")
    assert "Fieldgate to Zennow: 50 min" in page and '<option value="Fieldgate">' in page
    browser.post(reverse("remove_journey", args=[TravelTime.objects.get().pk]))
    assert TravelTime.objects.count() == 0


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"there": "fieldgate", "minutes": "5"}, "a journey leads to another town"),
        ({"there": "Zennow", "minutes": "900"}, "A journey takes at most 720 minutes"),
        ({"there": "Zennow", "minutes": "-1"}, "Minutes: give 0 or more."),
        ({"there": "Zennow", "minutes": "an hour"}, "Minutes: give a number, without letters or units."),
        ({"there": "", "minutes": "5"}, "To: this is needed; fill it in."),
    ],
)
def test_an_impossible_journey_is_refused_and_kept_as_typed(browser, handover, fields, sentence):
    answer = browser.post(reverse("journeys"), {"here": "Fieldgate"} | fields)
    assert answer.status_code == 422
    assert sentence in answer.content.decode() and 'value="Fieldgate"' in answer.content.decode()


def test_an_address_without_a_town_is_named_on_the_journeys_page(browser, handover):
    one = another(handover, client=make_client(address="7 Tannery Lane"))
    assert f'No town can be read from the address of <a href="{one.commission.get_absolute_url()}">' in read(
        browser, "journeys"
    )


def test_the_board_asks_for_another_time_where_one_was_declined(browser, handover):
    Visit.objects.update(attendance=Attendance.DECLINED)
    page = read(browser, "job_board")
    assert "Declined: choose another time." in page and "▲ To arrange: Tannery." in page


def test_buttons_do_nothing_by_get(browser, handover):
    journey = TravelTime.objects.create(here="Fieldgate", there="Zennow", minutes=50)
    assert browser.get(reverse("take_rounds")).status_code == 404
    assert browser.get(reverse("remove_journey", args=[journey.pk])).status_code == 404
    assert TravelTime.objects.count() == 1


@pytest.mark.parametrize("name", ["return_visits", "return_rounds", "journeys"])
def test_signed_out_asks_to_sign_in(handover, name):
    assert Browser().get(reverse(name)).status_code == 302
