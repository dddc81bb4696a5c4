from __future__ import annotations

import datetime as dt
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from PIL import Image

from aftercare.models import LightNote
from jobs.models import Photograph, Role, Room
from tests.factories import NOW, make_commission, make_maker, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
SHOT, TIME, OFFSET = 0x8769, 0x9003, 0x9011  # EXIF 2.31


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def room():
    make_workshop()
    commission = make_commission(maker=make_maker(), latitude_deg=52.5, longitude_deg=-1.5)
    return Room.objects.create(
        commission=commission, name="Study", window_facing_deg=150, furniture_facing_deg=240,
        window_width_mm=1200, window_height_mm=1400, window_sill_mm=900,
    )  # fmt: skip


@pytest.fixture
def browser(room):
    return signed_in(room.commission.maker)


def note(room, at=dt.datetime(2027, 3, 8, 10, 40, tzinfo=dt.UTC)):
    return LightNote.objects.create(room=room, noted_at=at, person=room.commission.maker)


def look(browser, room, **query):
    return browser.get(reverse("room_light", args=[room.pk]), query)


def jpeg(taken="2027:03:08 10:40:00", offset=None, name="fitting.jpg"):
    exif = Image.Exif()
    if taken is not None:
        exif.get_ifd(SHOT)[TIME] = taken
    if offset:
        exif.get_ifd(SHOT)[OFFSET] = offset
    data = BytesIO()
    Image.new("RGB", (8, 8)).save(data, "JPEG", exif=exif)
    return SimpleUploadedFile(name, data.getvalue(), "image/jpeg")


def send(browser, room, file, **typed):
    return browser.post(reverse("light_from_photograph", args=[room.pk]), {"photograph": file} | typed)


def test_a_day_is_told_in_words_with_sun_clock_change_and_overcast(browser, room):
    """Worked by hand: 28 March 2027 is the last Sunday of March, when clocks go forward at 01:00 UTC. A sun at the
    noted bearing in June stands far higher; the tests of `aftercare.light` hold the figures."""
    note(room)
    page = look(browser, room, day="2027-06-21").content.decode()
    assert "Monday 21 June 2027" in page
    assert "higher: light falls shorter" in page
    assert "Clocks go forward on 28 March: the same sun is an hour later on the clock." in page
    assert "of 100 on our own scale" in page
    assert "Overcast: any time between" in page
    assert "Sunrise 04:4" in page  # almanac for Birmingham gives 04:45 BST on 21 June; from memory
    assert "Direct light reaches" in page


def test_the_picture_has_a_twin_in_words_for_every_month(browser, room):
    note(room)
    page = look(browser, room).content.decode()
    assert '<svg class="year-of-light"' in page and "noted 10:40" in page
    assert "return visit: 21 April to 5 May" in page  # days 42 and 56 after Wednesday 10 March
    assert page.count(", about the 1") == 12
    assert "These are the days if the handover were today." in page


def test_the_days_of_the_return_visit_are_listed_without_weekends(browser, room):
    note(room)
    page = look(browser, room).content.decode()
    rows = page.split("Photo windows on the days of the return visit</caption>")[1].split("</tbody>")[0]
    assert rows.count('<th scope="row">') == 11  # 21 April to 5 May: fifteen days, four of them weekend
    assert "Sat " not in rows and "Wed 21 Apr" in rows and "Wed 5 May" in rows


def test_a_light_that_does_not_come_back_says_when_it_will(browser, room):
    note(room, dt.datetime(2026, 12, 21, 10, 40, tzinfo=dt.UTC))
    page = look(browser, room).content.decode()
    assert "The light of the note cannot be matched before" in page


def test_the_general_rule_serves_only_without_a_note(browser, room):
    page = look(browser, room).content.decode()
    assert "by the general rule" in page
    note(room)
    assert "by the general rule" not in look(browser, room).content.decode()


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        ("2127-03-01", "Day: give one between 2017 and 2037; 2127 is too far off."),
        ("0001-01-01", "Day: give one between 2017 and 2037; 1 is too far off."),
        ("soon", "The light on another day: this is no day of the calendar"),
        ("", "The light on another day: give a day."),
    ],
)
def test_an_impossible_day_gets_a_sentence_and_today_is_shown(browser, room, day, sentence):
    note(room)
    answer = look(browser, room, day=day)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page and "Wednesday 10 March 2027" in page


def test_a_room_without_coordinates_or_facts_says_what_is_missing(browser, room):
    room.window_facing_deg = None
    room.save()
    assert "nobody noted which way the window faces" in look(browser, room).content.decode()
    room.commission.latitude_deg = None
    room.commission.save()
    page = look(browser, room).content.decode()
    assert "The site has no coordinates, so no photo window can be worked out." in page
    assert "booked all the same, at the usual hour" in page
    assert "year-of-light" not in page


def test_two_notes_cost_no_more_queries_than_one(browser, room, django_assert_num_queries):
    note(room)
    # session, person, workshop; room; its notes for the page; the standing handover; its notes for the sun
    with django_assert_num_queries(7):
        look(browser, room)
    note(room, dt.datetime(2027, 3, 9, 15, 0, tzinfo=dt.UTC))
    with django_assert_num_queries(7):
        look(browser, room)


def test_a_photograph_offers_its_time_and_keeps_nothing_until_confirmed(browser, room):
    answer = send(browser, room, jpeg())
    assert answer.status_code == 302 and LightNote.objects.count() == 0
    page = browser.get(answer.url).content.decode()
    assert 'value="2027-03-08T10:40"' in page and "is not kept" in page
    browser.post(answer.url, {"noted_at": "2027-03-08T10:40", "source": "photograph", "words": "soft"})
    kept = LightNote.objects.get()
    assert (kept.source, kept.noted_at) == ("photograph", dt.datetime(2027, 3, 8, 10, 40, tzinfo=dt.UTC))
    assert "From a photograph" in look(browser, room).content.decode()


def test_a_camera_that_wrote_its_offset_is_believed(browser, room):
    answer = send(browser, room, jpeg("2027:03:08 11:40:00", "+01:00"))
    assert answer.url.endswith("?at=2027-03-08T10%3A40")


@pytest.mark.parametrize(
    ("file", "sentence"),
    [
        (lambda: jpeg("1980:01:01 00:03:00"), "clock stood at 1980"),
        (lambda: jpeg("2027:13:45 99:00:00"), "date that does not exist"),
        (lambda: jpeg("2031:01:01 10:00:00"), "clock is ahead of ours"),
        (lambda: jpeg("yesterday"), "cannot be read"),
        (lambda: jpeg(None), "The photograph carries no time: type the time in instead."),
        (lambda: SimpleUploadedFile("notes.txt", b"no picture"), "cannot be read as a photograph"),
        (lambda: SimpleUploadedFile("empty.jpg", b""), "this file is empty"),
    ],
)
def test_a_broken_photograph_gets_a_sentence(browser, room, file, sentence):
    answer = send(browser, room, file())
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert LightNote.objects.count() == 0


def test_a_form_sent_without_a_photograph_is_refused(browser, room):
    answer = browser.post(reverse("light_from_photograph", args=[room.pk]), {})
    assert answer.status_code == 422
    assert "Photograph: choose one, or type the time in instead." in answer.content.decode()


def test_a_window_facing_of_400_degrees_is_refused_with_a_sentence(browser, room):
    answer = browser.post(
        reverse("edit_room", args=[room.pk]),
        {"name": "Study", "storey": 0, "window_facing_deg": 400, "window_width_mm": 0, "obstruction_deg": 4},
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "A compass bearing runs from 0 to 359 degrees" in page
    assert "A window measures from 1 to 20000 mm" in page


def test_a_helper_may_note_the_light_and_is_not_sent_where_they_may_not_go(room):
    helper = make_maker(role=Role.HELPER, name="Sam Ashby")
    browser = signed_in(helper)
    answer = browser.post(reverse("add_light_note", args=[room.pk]), {"noted_at": "2027-03-08T10:40"})
    assert browser.get(answer.url).status_code == 200
    assert LightNote.objects.get().person == helper


def test_a_tampered_offer_leaves_the_form_blank(browser, room):
    page = browser.get(reverse("add_light_note", args=[room.pk]), {"at": "2027-99-99T10:40"})
    assert page.status_code == 200 and "is not kept" not in page.content.decode()


@pytest.mark.parametrize("name", ["room_light", "add_light_note", "light_from_photograph"])
def test_signed_out_asks_to_sign_in(room, name):
    assert Browser().get(reverse(name, args=[room.pk])).status_code == 302


def test_a_photograph_is_kept_for_the_room_where_asked(browser, room, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    answer = send(browser, room, jpeg(), is_kept="on")
    kept = Photograph.objects.get()
    assert (kept.room, kept.purpose, kept.words) == (room, "work", "The light in the study")
    assert kept.taken_at == dt.datetime(2027, 3, 8, 10, 40, tzinfo=dt.UTC)
    assert "is among the photographs of the room" in browser.get(answer.url).content.decode()


def test_a_photograph_without_a_time_is_not_kept_either(browser, room, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    assert send(browser, room, jpeg(taken=None), is_kept="on").status_code == 422
    assert not Photograph.objects.exists()


def test_a_photograph_is_not_kept_unasked(browser, room):
    assert send(browser, room, jpeg()).status_code == 302
    assert not Photograph.objects.exists()
