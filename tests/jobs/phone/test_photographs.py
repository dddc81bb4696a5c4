"""Photographs in parts: resumed, never doubled, never larger than allowed."""

from __future__ import annotations

import datetime as dt
import os
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.domain.site_photographs import LARGEST_PART_BYTES, MOST_WAITING, Part, drop_old_parts, take_part
from jobs.models import Photograph, SitePhotograph, SitePhotographPart, Snag
from tests.factories import make_maker
from tests.jobs.phone.cast import Phone, jpeg, site_cast
from tests.threads import at_once

PART = 20_000


@pytest.fixture
def cast(db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return site_cast()


def send(phone, key, data, start=0, **options):
    """Parts from `start` on; the last answer."""
    for offset in range(start, len(data), PART):
        answer = phone.part(key, offset, data[offset : offset + PART], size=len(data), **options)
    return answer


def test_parts_become_one_photograph_of_the_snag(cast):
    _, maker, _commission, phone = cast
    key, data = uuid4(), jpeg()
    assert len(data) > 2 * PART
    assert send(phone, key, data).json() == {"received": len(data), "size": len(data), "whole": True}
    act = phone.act("note_snag", place="Door 3", words="scratched", photograph=key)
    for _ in range(3):
        assert phone.results(act)[0][0] == "done"
    photograph = Photograph.objects.get()
    assert Snag.objects.get().photograph == photograph
    assert (photograph.purpose, photograph.width_px, photograph.added_by) == ("snag", 320, maker)
    assert photograph.taken_at == dt.datetime(2026, 3, 10, 9, 15, tzinfo=dt.UTC)
    assert not SitePhotographPart.objects.exists()
    assert send(phone, key, data).json()["whole"] and Photograph.objects.count() == 1


def test_a_broken_line_goes_on_where_it_broke(cast):
    _, _, _, phone = cast
    key, data = uuid4(), jpeg()
    phone.part(key, 0, data[:PART], size=len(data))
    again = phone.part(key, 0, data[:PART], size=len(data))  # its answer was lost
    assert (again.status_code, again.json()["received"]) == (200, PART)
    ahead = phone.part(key, 2 * PART, data[2 * PART : 3 * PART], size=len(data))
    assert (ahead.status_code, ahead.json()["received"]) == (409, PART)
    other = phone.part(key, 0, data[: PART // 2], size=len(data))
    assert (other.status_code, other.json()["received"]) == (409, PART)
    assert send(phone, key, data, start=PART).json()["whole"]
    assert Photograph.objects.count() == 1


def test_an_act_before_its_photograph_is_refused_and_after_a_bad_one_says_so(cast):
    _, _, _, phone = cast
    key, data = uuid4(), os.urandom(30_000)
    phone.part(key, 0, data[:PART], size=len(data))
    [(outcome, sentence)] = phone.results(phone.act("note_snag", place="Door", words="rubs", photograph=key))
    assert outcome == "refused" and "not come through whole" in sentence
    answer = send(phone, key, data, start=PART)
    assert answer.status_code == 422 and "photograph" in answer.json()["sentence"].lower()
    [(outcome, sentence)] = phone.results(phone.act("note_snag", place="Door", words="rubs", photograph=key))
    assert outcome == "done" and "photograph was not taken" in sentence
    [(outcome, _)] = phone.results(phone.act("add_photograph", photograph=key))
    assert outcome == "refused" and not Photograph.objects.exists()


def test_words_and_room_come_with_the_act(cast):
    _, _, commission, phone = cast
    key = uuid4()
    send(phone, key, jpeg(), purpose="hidden")
    room = commission.rooms.get()
    phone.results(phone.act("add_photograph", photograph=key, words="pipe behind the plinth", room=room.pk))
    photograph = Photograph.objects.get()
    assert (photograph.words, photograph.room, photograph.purpose) == ("pipe behind the plinth", room, "hidden")


@pytest.mark.parametrize(
    ("size", "offset", "data", "options", "words"),
    [
        (15_000_001, 0, b"x", {}, "15 MB"),
        (0, 0, b"x", {}, "1 byte to 15 MB"),
        (10, 5, b"123456", {}, "past the end"),
        (10, 0, b"", {}, "1 byte to 512 kB"),
        (10**6, 0, b"x" * (LARGEST_PART_BYTES + 1), {}, "512 kB"),
        (10, 0, b"x", {"purpose": "fun"}, "choose one of the list"),
        ("ten", 0, b"x", {}, "whole number"),
        ("1" * 12, 0, b"x", {}, "whole number"),
    ],
)
def test_what_is_too_large_or_unreadable_is_refused(cast, size, offset, data, options, words):
    _, _, _, phone = cast
    answer = phone.part(uuid4(), offset, data, size=size, **options)
    assert answer.status_code == 400 and words in answer.json()["sentence"], answer.content
    assert not SitePhotograph.objects.exists()


def test_the_key_of_another_person_or_size_is_refused(cast):
    _, _, commission, phone = cast
    key, other = uuid4(), Phone(make_maker(), commission)
    phone.part(key, 0, b"x" * 10, size=100)
    for answer in (other.part(key, 10, b"x", size=100), phone.part(key, 10, b"x", size=99)):
        assert answer.status_code == 400 and "another photograph" in answer.json()["sentence"]


def test_no_more_than_sixty_half_sent(cast):
    _, _, _, phone = cast
    for _ in range(MOST_WAITING):
        phone.part(uuid4(), 0, b"x", size=100)
    answer = phone.part(uuid4(), 0, b"x", size=100)
    assert answer.status_code == 400 and "half sent" in answer.json()["sentence"]


def test_other_methods_and_no_commission(cast):
    _, _, _, phone = cast
    address = reverse("site_photograph", args=[uuid4(), 0])
    assert phone.browser.get(address).status_code == 404
    answer = phone.browser.put(address + "?commission=99999&size=5&purpose=snag", b"x")
    assert answer.status_code == 400 and "no commission" in answer.json()["sentence"]


def test_half_sent_photographs_go_after_two_weeks(cast):
    workshop, _, _, phone = cast
    phone.part(uuid4(), 0, b"x", size=100)
    send(phone, uuid4(), jpeg())
    drop_old_parts(workshop, timezone.now() + dt.timedelta(days=13))
    assert SitePhotograph.objects.count() == 2
    drop_old_parts(workshop, timezone.now() + dt.timedelta(days=15))
    assert [one.joined_at is None for one in SitePhotograph.objects.all()] == [False]


@pytest.mark.django_db(transaction=True)
def test_the_last_part_twice_at_once_makes_one_photograph(file_database, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"
    workshop, maker, commission, _ = site_cast()
    data, now = jpeg(), timezone.now()
    part = Part(uuid4(), commission, "snag", len(data), 0, data)

    def told():
        return take_part(part=part, workshop=workshop, now=now, person=maker).joined_at is not None

    results = at_once(*[told] * 4)
    [counted] = at_once(lambda: (Photograph.objects.count(), SitePhotographPart.objects.count()))
    assert results == [True] * 4 and counted == (1, 0), results
    assert len(list((tmp_path / "media").rglob("*.jpg"))) == 2  # the photograph and its small copy
