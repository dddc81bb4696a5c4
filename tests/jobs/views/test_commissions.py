from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from jobs.domain.templates import make_default_template
from jobs.models import Commission, StepKind
from tests.factories import NOW, TODAY, make_client, make_commission, make_maker
from tests.jobs.views.cast import cast, signed_in, typed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def test_the_commission_page_shows_every_part():
    _, _, commission, browser = cast()
    page = browser.get(commission.get_absolute_url()).content.decode()
    for words in ("Steps", "Visits", "Access", "Rooms", "Light", "Finish", "Handover and return visit", "Daybook"):
        assert f">{words}</h2>" in page
    assert "No access arrangement: who lets us in, and when?" in page


def test_a_commission_that_is_not_there_is_404():
    browser = signed_in()
    assert browser.get(reverse("commission", args=[999])).status_code == 404


def test_the_list_takes_the_same_queries_for_one_and_three(django_assert_num_queries):
    _, maker, _, browser = cast()
    for _ in range(2):
        with django_assert_num_queries(6):  # session, person, workshop, commissions, steps, count
            browser.get(reverse("commissions"))
        make_commission(maker=maker)
        make_commission(maker=maker)


def test_the_page_takes_the_same_queries_whatever_else_there_is():
    _, maker, commission, browser = cast()
    url = commission.get_absolute_url()
    before = page_queries(browser, url)
    for _ in range(5):
        make_commission(maker=maker)
    assert page_queries(browser, url) == before


def page_queries(browser, url):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(
        connection,
    ) as queries:
        browser.get(url)
    return len(queries)


def new_data(**fields):
    return {
        "client": make_client().pk,
        "what": "alcove pair",
        "nickname": "Mill Row",
        "maker": make_maker().pk,
        "opened_on": TODAY.isoformat(),
        "site_address": "",
        "latitude_deg": "52.5",
        "longitude_deg": "-1.9",
        "template": make_default_template().pk,
    } | fields


def test_open_a_commission_under_way():
    browser = signed_in()
    answer = browser.post(
        reverse("new_commission"),
        new_data(survey_began="2027-03-01", survey_done="2027-03-01", drawing_began="2027-03-02"),
    )
    commission = Commission.objects.get()
    assert answer.url == commission.get_absolute_url()
    survey = commission.steps.get(kind=StepKind.SURVEY)
    assert survey.started_at == dt.datetime(2027, 3, 1, 8, 0, tzinfo=dt.UTC)
    assert survey.finished_at == dt.datetime(2027, 3, 1, 17, 0, tzinfo=dt.UTC)
    assert commission.steps.get(kind=StepKind.DRAWING).is_running


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"nickname": ""}, "Short name for the board: this is needed; fill it in."),
        ({"opened_on": "2027-02-30"}, "Opened on: this is no day of the calendar."),
        ({"longitude_deg": ""}, "Give both latitude and longitude of the site, or neither."),
        ({"survey_began": "2027-03-05", "survey_done": "2027-03-04"}, "would have finished before it began"),
        ({"survey_done": "2027-13-01"}, "Survey: finished on: this is no day of the calendar"),
        ({"survey_done": "2028-03-04"}, "future"),
        ({"latitude_deg": "north"}, "Latitude of the site: give a number, without letters or units."),
    ],
)
def test_a_bad_new_commission_names_the_field_and_keeps_what_was_typed(fields, sentence):
    browser = signed_in()
    answer = browser.post(reverse("new_commission"), new_data(what="a very long dresser", **fields))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "a very long dresser" in page
    assert Commission.objects.count() == 0


def test_edit_commission_keeps_the_change():
    _, maker, commission, browser = cast()
    data = {
        "client": commission.client_id, "what": "library wall", "nickname": "Glebe", "maker": maker.pk,
        "site_address": "", "latitude_deg": "", "longitude_deg": "",
        "return_first_day": "30", "return_last_day": "40",
    }  # fmt: skip
    assert browser.post(reverse("edit_commission", args=[commission.number]), data).status_code == 302
    commission.refresh_from_db()
    assert (commission.what, commission.return_last_day) == ("library wall", 40)


def test_hold_and_off_hold_by_buttons():
    _, _, commission, browser = cast()
    browser.post(reverse("put_on_hold", args=[commission.number]), {"hold_reason": "plaster is wet"})
    commission.refresh_from_db()
    assert commission.hold_reason == "plaster is wet"
    assert "plaster is wet" in browser.get(commission.get_absolute_url()).content.decode()
    browser.post(reverse("take_off_hold", args=[commission.number]))
    commission.refresh_from_db()
    assert commission.held_since is None


def test_close_and_open_again_by_buttons():
    _, _, commission, browser = cast()
    browser.post(reverse("close_commission", args=[commission.number]))
    assert Commission.objects.get().closed_on == TODAY
    page = browser.get(reverse("commissions") + "?show=past").content.decode()
    assert str(commission) in page
    browser.post(reverse("reopen_commission", args=[commission.number]))
    assert Commission.objects.get().closed_on is None


def test_a_button_does_nothing_by_get():
    _, _, commission, browser = cast()
    for name in ("close_commission", "take_off_hold", "reopen_commission"):
        assert browser.get(reverse(name, args=[commission.number])).status_code in (404, 405)
    assert Commission.objects.get().closed_on is None


def test_a_step_goes_from_start_to_done_and_back():
    _, _, commission, browser = cast()
    step = commission.steps.get(kind=StepKind.SURVEY)
    browser.post(reverse("start_step", args=[step.pk]), {"started_at": typed(NOW - dt.timedelta(hours=2))})
    browser.post(
        reverse("finish_step", args=[step.pk]),
        {"finished_at": typed(NOW - dt.timedelta(hours=1)), "actual_hours": "1.5"},
    )
    step.refresh_from_db()
    assert (float(step.actual_hours), step.finished_at) == (1.5, NOW.replace(minute=42) - dt.timedelta(hours=1))
    browser.post(reverse("reopen_step", args=[step.pk]))
    step.refresh_from_db()
    assert step.is_running


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"finished_at": "2027-03-09T09:00"}, "would have finished before it began"),
        ({"finished_at": "2027-03-28T01:30"}, "couldn’t be interpreted in time zone"),
        ({"finished_at": "yesterday"}, "Finished at: this is no day and time"),
        ({"finished_at": typed(NOW), "actual_hours": "-2"}, "Actual hours: give a number from 0 to 2000."),
        ({"finished_at": typed(NOW), "actual_hours": "many"}, "Actual hours: give a number such as 3.5."),
    ],
)
def test_a_step_that_cannot_be_finished_so_says_why(data, sentence):
    """01:30 on 28 March 2027 does not exist: the clocks go forward (tz database; the project's check table)."""
    _, _, commission, browser = cast()
    step = commission.steps.get(kind=StepKind.SURVEY)
    browser.post(reverse("start_step", args=[step.pk]), {"started_at": "2027-03-10T09:00"})
    answer = browser.post(reverse("finish_step", args=[step.pk]), data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    step.refresh_from_db()
    assert step.finished_at is None


def test_add_edit_and_remove_a_step():
    _, _, commission, browser = cast()
    survey, drawing = commission.steps.get(kind=StepKind.SURVEY), commission.steps.get(kind=StepKind.DRAWING)
    data = {
        "name": "Ask the planner", "kind": "other", "track": "whole", "allowance_hours": "2", "lead_days": "0",
        "hands": "1", "after": [survey.pk], "before": [drawing.pk],
    }  # fmt: skip
    browser.post(reverse("add_step", args=[commission.number]), data)
    added = commission.steps.get(name="Ask the planner")
    browser.post(reverse("edit_step", args=[added.pk]), data | {"name": "Ask the council", "allowance_hours": "3"})
    added.refresh_from_db()
    assert (added.name, added.allowance_hours) == ("Ask the council", 3)
    browser.post(reverse("remove_step", args=[added.pk]))
    assert not commission.steps.filter(pk=added.pk).exists()


def test_a_circle_of_steps_is_refused_by_name():
    _, _, commission, browser = cast()
    survey, approval = commission.steps.get(kind=StepKind.SURVEY), commission.steps.get(kind=StepKind.APPROVAL)
    data = {
        "name": "Round again", "kind": "other", "track": "whole", "allowance_hours": "2",
        "lead_days": "0", "hands": "1", "after": [approval.pk], "before": [survey.pk],
    }  # fmt: skip
    answer = browser.post(reverse("add_step", args=[commission.number]), data)
    assert answer.status_code == 422
    assert "round in a circle: Survey → Drawing" in answer.content.decode()
