from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from aftercare.domain.packs import pack_for_sending
from aftercare.models import Handover, LightNote
from jobs.models import Room, StepKind, VisitState
from tests.factories import NOW, make_commission, make_maker, make_workshop, up_to
from tests.jobs.views.cast import signed_in, typed

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def commission():
    make_workshop()
    return make_commission(
        maker=make_maker(),
        done=up_to(StepKind.HANDOVER),
        done_at=NOW - dt.timedelta(hours=2),
        latitude_deg=52.5,
        longitude_deg=-1.5,
    )


@pytest.fixture
def browser(commission):
    return signed_in(commission.maker)


def hand_over(browser, commission, **fields):
    return browser.post(
        reverse("hand_over", args=[commission.number]),
        {"handed_over_at": typed(NOW), "know_first": "wipe damp", "agreed": "all well"} | fields,
    )


def test_hand_over_by_the_screen_books_the_return_visit(commission, browser):
    assert hand_over(browser, commission).url == commission.get_absolute_url()
    handover = Handover.objects.get()
    assert (handover.know_first, handover.return_visit.state) == ("wipe damp", VisitState.ARRANGED)
    page = browser.get(commission.get_absolute_url()).content.decode()
    assert "Return visit: " in page and "Undo the handover" in page


@pytest.mark.parametrize(
    ("handed_over_at", "sentence"),
    [
        ("2027-03-11T09:00", "A handover cannot lie in the future"),
        ("2027-03-01T09:00", "before the fitting was finished"),
        ("now", "Handed over at: this is no day and time"),
    ],
)
def test_an_impossible_handover_is_refused_and_kept(commission, browser, handed_over_at, sentence):
    answer = hand_over(browser, commission, handed_over_at=handed_over_at)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page and "wipe damp" in page
    assert Handover.objects.count() == 0


def test_a_second_handover_is_refused(commission, browser):
    hand_over(browser, commission)
    answer = hand_over(browser, commission)
    assert answer.status_code == 422
    assert "was handed over already on 10 March 2027" in answer.content.decode()


def test_undo_and_book_again(commission, browser):
    hand_over(browser, commission)
    handover = Handover.objects.get()
    browser.post(reverse("rebook_return_visit", args=[handover.pk]))
    browser.post(reverse("undo_handover", args=[handover.pk]))
    handover.refresh_from_db()
    assert handover.undone_at == NOW
    assert "was undone on" in browser.get(commission.get_absolute_url()).content.decode()


def test_light_notes_are_kept_and_taken_out(commission, browser):
    room = Room.objects.create(commission=commission, name="study")
    browser.post(reverse("add_light_note", args=[room.pk]), {"noted_at": "2027-03-09T10:40", "words": "soft"})
    note = LightNote.objects.get()
    page = browser.get(commission.get_absolute_url()).content.decode()
    assert "Good at 10:40 on Tue 9 Mar 2027: soft" in page.replace("</span>", "")
    assert "Photo windows on days of the return range" in page
    browser.post(reverse("remove_light_note", args=[note.pk]))
    assert LightNote.objects.count() == 0


def test_a_light_note_at_night_is_refused_with_a_sentence(commission, browser):
    room = Room.objects.create(commission=commission, name="study")
    answer = browser.post(reverse("add_light_note", args=[room.pk]), {"noted_at": "2027-03-09T02:00"})
    assert answer.status_code == 422
    assert "sun" in answer.content.decode()
    assert LightNote.objects.count() == 0


def test_a_room_without_coordinates_says_why_there_is_no_photo_window(commission, browser):
    commission.latitude_deg = commission.longitude_deg = None
    commission.save()
    Room.objects.create(commission=commission, name="study")
    page = browser.get(commission.get_absolute_url()).content.decode()
    assert "The site has no coordinates, so no photo window can be worked out." in page


def test_the_pack_as_page_and_as_it_was_issued(commission, browser, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    hand_over(browser, commission)
    handover = Handover.objects.get()
    pack = pack_for_sending(handover, NOW)
    assert "wipe damp" in browser.get(reverse("pack_page", args=[handover.pk])).content.decode()
    answer = browser.get(reverse("issued_pack", args=[pack.pk]))
    assert b"".join(answer.streaming_content) == pack.file.open("rb").read()
    assert answer["Content-Type"] == "application/pdf"
    pack.file.delete(save=False)
    assert browser.get(reverse("issued_pack", args=[pack.pk])).status_code == 404


def test_the_return_visit_screen_in_the_same_queries_for_one_and_two(commission, browser, django_assert_num_queries):
    hand_over(browser, commission)
    with django_assert_num_queries(5):  # session, person, workshop, visits, handovers
        page = browser.get(reverse("return_visits")).content.decode()
    assert str(commission) in page


def test_buttons_do_nothing_by_get(commission, browser):
    hand_over(browser, commission)
    handover = Handover.objects.get()
    for name in ("undo_handover", "rebook_return_visit"):
        assert browser.get(reverse(name, args=[handover.pk])).status_code in (404, 405)
    handover.refresh_from_db()
    assert handover.undone_at is None
