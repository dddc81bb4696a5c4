from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client as Browser

from jobs.models import DaybookLine, Subcontractor, SubcontractorClosure
from tests.factories import make_maker, make_workshop

pytestmark = pytest.mark.django_db

FIELDS = {
    "name": "Harrow Spray Shop",
    "trade": "sprayer",
    "weekdays": ["0", "1", "2", "3"],
    "turnaround_days": "8",
    "is_active": "on",
}


@pytest.fixture
def browser() -> Browser:
    make_workshop()
    signed_in = Browser()
    signed_in.force_login(make_maker(), backend="allauth.account.auth_backends.AuthenticationBackend")
    return signed_in


def make_subcontractor(**fields):
    return Subcontractor.objects.create(**{"name": "Harrow Spray Shop"} | fields)


def test_a_subcontractor_is_added_with_their_own_days(browser):
    answer = browser.post("/subcontractors/new/", FIELDS)
    saved = Subcontractor.objects.get()
    assert (answer.status_code, answer.url) == (302, f"/subcontractors/{saved.pk}/")
    assert (saved.weekdays, saved.turnaround_days) == ([0, 1, 2, 3], 8)
    assert DaybookLine.objects.get().act == "add_subcontractor"


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("name", "", "fill it in"),
        ("weekdays", [], "Days they work: this is needed"),
        ("turnaround_days", "soon", "give a number"),
        ("turnaround_days", "400", "from 0 to 200"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(browser, field, value, words):
    answer = browser.post("/subcontractors/new/", FIELDS | {field: value})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Subcontractor.objects.exists()


def test_the_same_name_twice_is_refused_whatever_its_capitals(browser):
    make_subcontractor()
    answer = browser.post("/subcontractors/new/", FIELDS | {"name": "harrow spray shop"})
    assert answer.status_code == 422
    assert "is in the list already" in answer.content.decode()


def test_a_closure_is_noted_shown_and_taken_out(browser):
    found = make_subcontractor()
    days = {"first_day": "2099-08-03", "last_day": "2099-08-14", "reason": "summer"}
    browser.post(f"/subcontractors/{found.pk}/closures/add/", days)
    closure = SubcontractorClosure.objects.get()
    assert (closure.first_day, closure.last_day) == (dt.date(2099, 8, 3), dt.date(2099, 8, 14))
    assert "Mon 3 Aug 2099 to Fri 14 Aug 2099: summer" in browser.get(f"/subcontractors/{found.pk}/").content.decode()
    assert browser.get(f"/subcontractors/closures/{closure.pk}/remove/").status_code == 404
    browser.post(f"/subcontractors/closures/{closure.pk}/remove/")
    assert not SubcontractorClosure.objects.exists()


def test_a_closure_that_ends_before_it_starts_is_refused(browser):
    found = make_subcontractor()
    days = {"first_day": "2099-08-14", "last_day": "2099-08-03"}
    answer = browser.post(f"/subcontractors/{found.pk}/closures/add/", days)
    assert answer.status_code == 422
    assert "The last day lies before the first" in answer.content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries_whatever_its_length(browser, count, django_assert_num_queries):
    for number in range(count):
        found = make_subcontractor(name=f"Shop {number}")
        SubcontractorClosure.objects.create(
            subcontractor=found, first_day=dt.date(2099, 8, 3), last_day=dt.date(2099, 8, 4)
        )
    with django_assert_num_queries(5):
        answer = browser.get("/subcontractors/")
    assert answer.content.decode().count("Mon 3 Aug") == count


@pytest.mark.parametrize("path", ["/subcontractors/", "/subcontractors/new/"])
def test_signed_out_means_the_login_page(db, path):
    make_workshop()
    answer = Browser().get(path)
    assert (answer.status_code, answer.url) == (302, f"/account/login/?next={path}")
