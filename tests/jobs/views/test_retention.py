"""What is kept and how long; everything about a client as a file; forgetting one, by the screens."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile

import pytest
import time_machine
from django.urls import reverse

from jobs.models import Client, DaybookLine, Erasure, Role, Workshop
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now(settings, tmp_path):
    settings.ERASURES_FILE = tmp_path / "erasures.jsonl"
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.OUTBOX_DIR = tmp_path / "outbox"
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def maker(db):
    make_workshop()
    return make_maker()


def words_of(answer):
    return re.sub(r"\s+", " ", answer.content.decode())


def times(**fields):
    return {
        "keep_access_days": "30", "keep_messages_days": "365", "keep_enquiries_days": "730", "keep_record_years": "6",
    } | fields  # fmt: skip


def test_the_screen_says_what_how_long_and_why_and_is_reached_from_the_workshop(maker):
    browser = signed_in(maker)
    assert f'href="{reverse("retention")}"' in words_of(browser.get(reverse("workshop")))
    page = words_of(browser.get(reverse("retention")))
    for words in (
        "7 days after the job ended",
        "30 days after the job ended",
        "365 days",
        "6 years after the client’s last job ended",
        "five in Scotland (from memory). Ask your adviser.",
        "Nobody yet.",
    ):
        assert words in page
    browser.post(reverse("retention"), times(keep_record_years="7"))
    assert Workshop.objects.get().keep_record_years == 7
    assert "7 years after the client’s last job ended" in words_of(browser.get(reverse("retention")))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"keep_record_years": "0"}, "greater than or equal to 1"),
        ({"keep_messages_days": "1"}, "greater than or equal to 30"),
        ({"keep_access_days": "many"}, "give a number, without letters or units."),
        ({"keep_enquiries_days": ""}, "this is needed; fill it in."),
    ],
)
def test_a_time_that_cannot_be_is_refused_and_kept_as_typed(maker, fields, sentence):
    answer = signed_in(maker).post(reverse("retention"), times(keep_access_days="44") | fields)
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert Workshop.objects.get().keep_access_days == 30


def test_what_every_pack_says_is_kept(maker):
    answer = signed_in(maker).post(reverse("pack_words"), {"guarantee_period": "Ten years", "insurer": "The Mutual"})
    assert answer.url == reverse("workshop")
    workshop = Workshop.objects.get()
    assert (workshop.guarantee_period, workshop.insurer, workshop.complaints) == ("Ten years", "The Mutual", "")


def test_everything_about_a_client_comes_as_a_file_and_is_written_down(maker):
    client = make_client(name="Ottoline Vexworthy")
    browser = signed_in(maker)
    url = reverse("export_client", args=[client.pk])
    assert f'action="{url}"' in words_of(browser.get(reverse("client", args=[client.pk])))
    assert browser.get(url).status_code == 404  # only a button takes it out
    answer = browser.post(url)
    assert answer["Content-Disposition"] == f'attachment; filename="client-{client.pk}.zip"'
    assert answer["Cache-Control"] == "no-store"
    archive = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert "Ottoline Vexworthy" in archive.read("everything.json").decode()
    assert DaybookLine.objects.get(act="export_client").facts == {"client": client.pk}


def test_forgetting_says_first_what_it_does_and_asks_for_a_tick(maker):
    client = make_client(name="Ottoline Vexworthy")
    browser = signed_in(maker)
    url = reverse("forget_client", args=[client.pk])
    page = words_of(browser.get(url))
    assert "This cannot be undone." in page and "ask your adviser first" in page and "take everything out" in page
    answer = browser.post(url, {})
    assert answer.status_code == 422 and "Tick that you have read what this does" in words_of(answer)
    assert Client.objects.get().name == "Ottoline Vexworthy"
    answer = browser.post(url, {"sure": "on"})
    assert answer.url == reverse("client", args=[client.pk])
    page = words_of(browser.get(answer.url))
    assert "This client was forgotten on 10 March 2027." in page and "Vexworthy" not in page
    assert Erasure.objects.get().client_id == client.pk
    page = words_of(browser.get(reverse("retention")))
    assert f"Client {client.pk}, Wed 10 Mar 2027, 10:42: they were asked for" in page


def test_a_client_with_a_running_job_is_not_forgotten_and_the_page_says_why(maker):
    client = make_client()
    commission = make_commission(maker=maker, client=client)
    browser = signed_in(maker)
    url = reverse("forget_client", args=[client.pk])
    sentence = f"Commission {commission} is still running: close it first, then forget the client."
    assert sentence in words_of(browser.get(url))
    answer = browser.post(url, {"sure": "on"})
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert not Erasure.objects.exists()


def test_the_clients_page_says_until_when_they_are_kept(maker):
    client = make_client()
    browser = signed_in(maker)
    # Entered on 10 March 2027 and nothing ordered: 730 days later is 9 March 2029.
    page = words_of(browser.get(reverse("client", args=[client.pk])))
    assert "All that is left of this client goes by itself on 9 March 2029." in page
    commission = make_commission(maker=maker, client=client)
    assert "Kept while a job runs." in words_of(browser.get(reverse("client", args=[client.pk])))
    commission.closed_on = dt.date(2028, 2, 29)
    commission.save()
    page = words_of(browser.get(reverse("client", args=[client.pk])))
    assert "goes by itself on 1 March 2034." in page


def test_the_office_takes_out_a_file_but_does_not_forget(maker):
    client = make_client()
    browser = signed_in(make_maker(role=Role.OFFICE))
    assert browser.post(reverse("export_client", args=[client.pk])).status_code == 200
    assert browser.post(reverse("forget_client", args=[client.pk]), {"sure": "on"}).status_code == 403
    assert reverse("forget_client", args=[client.pk]) not in words_of(
        browser.get(reverse("client", args=[client.pk]))
    )
