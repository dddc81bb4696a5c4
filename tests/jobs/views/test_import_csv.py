from __future__ import annotations

import time

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from jobs.models import Client, Commission, DaybookLine
from tests.factories import make_template
from tests.jobs.views.sheets_cast import a_commission, signed_in

pytestmark = pytest.mark.django_db
CLIENTS = "/clients/from-a-table/"
COMMISSIONS = "/commissions/from-a-table/"


@pytest.fixture
def browser():
    commission = a_commission()
    make_template()
    return signed_in(commission)


def test_the_columns_are_explained_and_linked(browser):
    for path, column, page in ((CLIENTS, "postcode", "/clients/"), (COMMISSIONS, "finished_steps", "/commissions/")):
        assert f"<code>{column}</code>" in browser.get(path).content.decode()
        assert f'href="{path}"' in browser.get(page).content.decode()


def test_looking_changes_nothing_and_taking_in_takes_what_was_looked_at(browser):
    text = "name,email,phone\nHedda Vane,vane@example.org,020 7946 0777\nIvo Marsh,,\n"
    before = DaybookLine.objects.count()
    answer = browser.post(CLIENTS, {"table_file": SimpleUploadedFile("c.csv", text.encode())})
    page = answer.content.decode()
    assert "2 clients would be taken in" in page
    assert "Ivo Marsh, without e-mail" in page
    assert (Client.objects.count(), DaybookLine.objects.count()) == (1, before)
    answer = browser.post(CLIENTS, {"table_text": text, "take_in": "yes"})
    assert (answer.status_code, answer.url) == (302, "/clients/")
    assert Client.objects.get(name="Hedda Vane").phone.as_e164 == "+442079460777"


def test_every_bad_row_is_named_and_the_good_ones_wait_with_them(browser):
    text = (
        "name,email,phone\nHedda Vane,vane@example.org,\nIvo Marsh,no address,12\n,,\n"
        "=HYPERLINK(1),,\nPriscilla Quennell,quennell@example.org,\nHedda Vane,vane@example.org,\n"
    )
    answer = browser.post(CLIENTS, {"table_text": text, "take_in": "yes"})
    page = answer.content.decode()
    assert answer.status_code == 422
    for words in (
        "Line 3: email: “no address” is no e-mail address",
        "Line 3: phone: “12” is no telephone number",
        "Line 5: name: begins with =",
    ):
        assert words in page
    assert Client.objects.count() == 1
    good = text.replace("no address,12", ",").replace("=HYPERLINK(1),,\n", "")
    page = browser.post(CLIENTS, {"table_text": good, "take_in": "yes"}).content.decode()
    assert "Line 5: name: Priscilla Quennell is among the clients already" in page
    assert "Line 6: name: Hedda Vane is among the clients already" in page
    assert "Hedda Vane" in page  # what was typed is kept
    assert Client.objects.count() == 1


def test_commissions_come_in_with_what_lies_behind_them(browser):
    text = (
        "client,nickname,what,opened_on,latitude,longitude,finished_steps\n"
        "priscilla quennell,Mill Row,library wall,2026-01-05,52.5,-1.8,Survey 2026-01-06; Drawing 2026-01-20\n"
    )
    answer = browser.post(COMMISSIONS, {"table_text": text})
    assert "Mill Row, library wall for Priscilla Quennell, 2 steps behind it" in answer.content.decode()
    assert Commission.objects.count() == 1
    browser.post(COMMISSIONS, {"table_text": text, "take_in": "yes"})
    opened = Commission.objects.latest("number")
    assert (opened.nickname, opened.longitude_deg) == ("Mill Row", -1.8)
    done = opened.steps.filter(finished_at__isnull=False)
    assert sorted(step.kind for step in done) == ["drawing", "survey"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("Nobody,Mill,wall,2026-01-05,,,", "client: “Nobody”: there is none of that name"),
        ("Priscilla Quennell,Mill,wall,5 January,,,", "opened_on: “5 January” is no day of the calendar"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,52.5,,", "both latitude and longitude"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,99,1,", "latitude: 99 lies outside"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,nan,1,", "latitude: nan lies outside"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,,,Varnish 2026-01-06", "“Varnish” is no step"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,,,Survey 2099-01-06", "in the future"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,,,Handover 2026-01-06", "recorded on the commission"),
        ("Priscilla Quennell,Mill,wall,2026-01-05,,,Make good 2026-01-06", "has no such steps: Make good"),
        (f"Priscilla Quennell,{'M' * 31},wall,2026-01-05,,,", "longer than 30 characters"),
    ],
)
def test_a_commission_that_cannot_be_is_refused_by_its_line(browser, row, words):
    text = f"client,nickname,what,opened_on,latitude,longitude,finished_steps\n{row}\n"
    answer = browser.post(COMMISSIONS, {"table_text": text, "take_in": "yes"})
    page = answer.content.decode().replace("&#x27;", "’")
    assert answer.status_code == 422
    assert f"Line 2: {words}" in page or ("Line 2:" in page and words in page)
    assert Commission.objects.count() == 1


def test_nothing_chosen_another_encoding_and_a_table_of_another_kind(browser):
    assert browser.post(CLIENTS, {"table_text": ""}).status_code == 422
    latin = SimpleUploadedFile("c.csv", "name\nRené\n".encode("latin-1"))
    assert "Line 2 is not UTF-8" in browser.post(CLIENTS, {"table_file": latin}).content.decode()
    assert browser.get("/pieces/from-a-table/").status_code == 404
    assert Browser().get(CLIENTS).status_code == 302


def test_two_hundred_clients_are_taken_in(browser):
    text = "name\n" + "".join(f"Client {number}\n" for number in range(200))
    began = time.perf_counter()
    browser.post(CLIENTS, {"table_text": text, "take_in": "yes"})
    assert Client.objects.count() == 201
    print(f"200 clients by CSV: {time.perf_counter() - began:.2f} s")
