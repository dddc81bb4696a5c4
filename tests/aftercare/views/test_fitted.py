"""Doors, shelves and facts for the pack; further work; issuing a pack by hand."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from aftercare.forms.code_care import looks_like_a_code
from aftercare.models import Door, DoorCheck, FittedFacts, FutureWork, Handover, HingeCheck, IssuedPack, Shelf
from jobs.models import Room, StepKind, Workshop
from tests.aftercare.check_cast import checked_commission, handed_over, return_visit_of
from tests.factories import NOW, TODAY, make_commission, make_maker, make_workshop, up_to
from tests.jobs.views.cast import signed_in, typed

pytestmark = pytest.mark.django_db

DOOR = {"label": "D1", "position": "1", "width_mm": "450", "height_mm": "2000", "hung": "left", "alike": "1"}
SHELF = {"place": "Top shelf", "span_mm": "800", "depth_mm": "300", "thickness_mm": "22", "board": "mdf"}


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def commission():
    make_workshop()
    return make_commission(
        maker=make_maker(), done=up_to(StepKind.HANDOVER), done_at=NOW - dt.timedelta(hours=2), what="library wall"
    )


@pytest.fixture
def browser(commission):
    return signed_in(commission.maker)


def words_of(answer):
    return re.sub(r"\s+", " ", answer.content.decode())


def test_doors_alike_are_kept_side_by_side(commission, browser):
    room = Room.objects.create(commission=commission, name="study")
    answer = browser.post(
        reverse("add_door", args=[commission.number]),
        DOOR | {"alike": "3", "label": "D4", "room": room.pk, "left_mm": "0", "bottom_mm": "100", "board": "mdf",
                "thickness_mm": "22", "hinges_fitted": "4"},
    )  # fmt: skip
    assert answer.url == reverse("fitted", args=[commission.number])
    assert list(Door.objects.values_list("label", "position", "left_mm", "bottom_mm", "room")) == [
        ("D4", 1, 0, 100, room.pk),
        ("D5", 2, 453, 100, room.pk),
        ("D6", 3, 906, 100, room.pk),
    ]
    page = words_of(browser.get(reverse("fitted", args=[commission.number])))
    assert "14.7 kg" in page and "4; at least 4 usual" in page


def test_a_door_is_changed_and_taken_out(commission, browser):
    door = Door.objects.create(commission=commission, label="D1", width_mm=450, height_mm=700)
    browser.post(reverse("edit_door", args=[door.pk]), DOOR | {"typed_kg": "6.5"})
    door.refresh_from_db()
    assert (door.typed_kg, door.height_mm) == (Decimal("6.5"), 2000)
    browser.post(reverse("remove_door", args=[door.pk]))
    assert not Door.objects.exists()


def test_a_door_that_was_checked_stays(commission, browser):
    door = Door.objects.create(commission=commission, label="D1", width_mm=450, height_mm=700)
    visit = return_visit_of(commission, starts_at=NOW)
    check = HingeCheck.objects.create(visit=visit, by=commission.maker, begun_at=NOW)
    DoorCheck.objects.create(check_of=check, door=door, verdict="watch")
    page = words_of(browser.post(reverse("remove_door", args=[door.pk]), follow=True))
    assert "Door D1 has been checked at a return visit; it stays on record." in page
    assert Door.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"width_mm": "2"}, "Door width: 2 mm is less than the 50 mm expected."),
        ({"height_mm": "9000"}, "Door height: 9000 mm is more than the 4000 mm allowed."),
        ({"typed_kg": "900"}, "Weight: give kilograms from 0.1 to 200, or leave it blank."),
        ({"hinges_fitted": "40"}, "Hinges fitted: give a number from 0 to 12."),
        ({"alike": "60"}, "How many alike: give a number from 1 to 24."),
        ({"alike": "2", "label": "Left"}, "Label: end it with a number, such as D1"),
        ({"label": "D9"}, "Label: this commission has a door D9 already; give another label."),
        ({"label": ""}, "Label: this is needed; fill it in."),
        ({"width_mm": "wide"}, "Width, mm: give a number, without letters or units."),
    ],
)
def test_a_door_that_cannot_be_is_refused_and_kept_as_typed(commission, browser, fields, sentence):
    Door.objects.create(commission=commission, label="D9", width_mm=450, height_mm=700)
    answer = browser.post(reverse("add_door", args=[commission.number]), DOOR | {"bottom_mm": "117"} | fields)
    assert answer.status_code == 422
    assert sentence in words_of(answer) and 'value="117"' in words_of(answer)
    assert Door.objects.count() == 1


def test_a_shelf_is_kept_with_its_load_and_what_it_rests_on(commission, browser):
    browser.post(reverse("add_shelf", args=[commission.number]), SHELF)
    page = words_of(browser.get(reverse("fitted", args=[commission.number])))
    # MDF 22 mm: E 2100, own weight 3.907 kg; 4 / (0.11700 × 3.25) - 3.907 = 6.61 -> 6 kg.
    assert "At most 6 kg" in page and "calculated, rounded down" in page
    assert "MDF: E 2100 N/mm2" in page
    assert "confirm it yourself before you tell a client" in page
    shelf = Shelf.objects.get()
    browser.post(reverse("edit_shelf", args=[shelf.pk]), SHELF | {"stated_kg": "25"})
    page = words_of(browser.get(reverse("fitted", args=[commission.number])))
    assert "At most 25 kg" in page and "stated by the maker" in page
    browser.post(reverse("remove_shelf", args=[shelf.pk]))
    assert not Shelf.objects.exists()


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"span_mm": "8"}, "Shelf span: 8 mm is too small. Type 100 or more."),
        ({"thickness_mm": "6"}, "no stiffness is known for MDF of 6 mm"),
        ({"data_sheet_n_mm2": "3"}, "Stiffness: E must be 100 to 250000 N/mm2"),
    ],
)
def test_a_shelf_that_cannot_be_calculated_is_refused(commission, browser, fields, sentence):
    answer = browser.post(reverse("add_shelf", args=[commission.number]), SHELF | fields)
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert not Shelf.objects.exists()


@pytest.mark.parametrize("count", [1, 3])
def test_doors_and_shelves_in_the_same_queries_however_many(commission, browser, django_assert_num_queries, count):
    for number in range(count):
        Door.objects.create(commission=commission, label=f"D{number}", width_mm=450, height_mm=700)
        Shelf.objects.create(commission=commission, place="x", span_mm=600, depth_mm=300, thickness_mm=22)
    with django_assert_num_queries(7):  # session, person, workshop, commission, doors, shelves, runs
        browser.get(reverse("fitted", args=[commission.number]))


def test_facts_are_kept_and_what_is_blank_is_named(commission, browser):
    Workshop.objects.update(guarantee_period="Ten years")
    page = words_of(browser.get(reverse("pack_facts", args=[commission.number])))
    assert "Still blank: 31" in page  # 32 facts, less the guarantee period that the workshop gives
    answer = browser.post(
        reverse("pack_facts", args=[commission.number]),
        {"pipes": "Heating pipes 90 mm above the floor", "signed_by": "P. Quennell", "signed_on": "2027-03-10"},
    )
    assert answer.url == commission.get_absolute_url()
    facts = FittedFacts.objects.get()
    assert (facts.pipes, facts.signed_on) == ("Heating pipes 90 mm above the floor", TODAY)
    page = words_of(browser.get(reverse("pack_facts", args=[commission.number])))
    assert "Still blank: 28" in page
    assert "28 other facts will print “not recorded”" in words_of(browser.get(commission.get_absolute_url()))


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"signed_on": "2027-03-10"}, "Signed by: give the name of the person who signed"),
        ({"signed_on": "2028-03-10", "signed_by": "x"}, "Signed on: that lies in the future"),
        ({"signed_on": "soon"}, "Signed on: this is no day of the calendar"),
        ({"spare_keys": "in the key safe, code 4711"}, "this looks like a code for a door or an alarm"),
    ],
)
def test_facts_that_cannot_be_are_refused_and_kept_as_typed(commission, browser, fields, sentence):
    answer = browser.post(reverse("pack_facts", args=[commission.number]), {"glass": "6 mm toughened"} | fields)
    assert answer.status_code == 422
    assert sentence in words_of(answer) and "6 mm toughened" in words_of(answer)
    assert not FittedFacts.objects.exists()


@pytest.mark.parametrize(
    ("text", "is_like_one"),
    [
        ("alarm code 4711", True),
        ("The key safe by the door is 90-21", True),
        ("gate: 5512#", True),
        ("PIN 12 34", True),
        ("alarm cable 1200 mm above the floor", False),
        ("colour code W-114", False),
        ("gate hinges, 2 of them", False),
        ("two spare keys", False),
        ("post code of the workshop", False),
    ],
)
def test_what_looks_like_a_code(text, is_like_one):
    assert looks_like_a_code(text) is is_like_one


def test_a_code_in_what_is_printed_is_asked_about_and_a_tick_lets_it_through(commission, browser):
    url = reverse("hand_over", args=[commission.number])
    fields = {"handed_over_at": typed(NOW), "agreed": "code 20714 is that of the oil"}
    answer = browser.post(url, fields)
    assert answer.status_code == 422
    assert "None of this is a code" in words_of(answer) and "keep it under Codes" in words_of(answer)
    browser.post(url, fields | {"not_a_code": "on"})
    assert Handover.objects.get().agreed == "code 20714 is that of the oil"


def test_a_pack_is_issued_by_hand_and_says_why(commission, browser, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    handover = handed_over(commission, None)
    IssuedPack.objects.create(handover=handover, revision=1, issued_at=NOW, file="x.pdf", sha256="0", page_count=1)
    url = reverse("issue_pack", args=[handover.pk])
    assert "Say what changed since the last pack" in words_of(browser.post(url, {"reason": " "}))
    page = words_of(browser.post(url, {"reason": "tin moved"}, follow=True))
    assert "Revision 2 of the pack is kept. It has not been sent to anybody." in page
    assert IssuedPack.objects.get(revision=2).reason == "tin moved"


def work_fields(**fields):
    return {"what": "shelves for the landing", "room": "landing", "timing": "after the extension",
            "next_contact_on": "2027-03-12", "may_write": "call"} | fields  # fmt: skip


def test_further_work_is_noted_stands_on_the_board_when_due_and_is_settled(commission, browser):
    answer = browser.post(reverse("add_future_work", args=[commission.number]), work_fields())
    assert answer.url == commission.get_absolute_url()
    work = FutureWork.objects.get()
    assert (work.noted_on, work.noted_by, work.next_contact_on) == (TODAY, commission.maker, dt.date(2027, 3, 12))
    board = words_of(browser.get(reverse("job_board")))
    assert "Come back to" not in board
    with time_machine.travel(NOW + dt.timedelta(days=2), tick=False):
        board = words_of(browser.get(reverse("job_board")))
        assert f"{commission}</a>: further work, since Fri 12 Mar" in board
        assert "landing" not in board  # what a client wants is no matter for visitors
        browser.post(reverse("settle_future_work", args=[work.pk]))
        assert "Come back to" not in words_of(browser.get(reverse("job_board")))
    work.refresh_from_db()
    assert work.settled_on == dt.date(2027, 3, 12)
    page = words_of(browser.get(commission.get_absolute_url()))
    assert "Settled on 12 Mar 2027." in page


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"next_contact_on": "2027-03-09"}, "Come back to it on: give a day from today on, within ten years."),
        ({"next_contact_on": "2099-03-09"}, "Come back to it on: give a day from today on, within ten years."),
        ({"what": ""}, "What they spoke of: this is needed; fill it in."),
    ],
)
def test_further_work_that_cannot_be_is_refused(commission, browser, fields, sentence):
    answer = browser.post(reverse("add_future_work", args=[commission.number]), work_fields(**fields))
    assert answer.status_code == 422
    assert sentence in words_of(answer) and "after the extension" in words_of(answer)
    assert not FutureWork.objects.exists()


def test_the_form_says_when_one_may_write(commission, browser):
    page = words_of(browser.get(reverse("add_future_work", args=[commission.number])))
    assert "Where nobody asked, ring instead. This is the usual reading, not advice." in page


def test_buttons_do_nothing_by_get(commission, browser):
    door = Door.objects.create(commission=commission, label="D1", width_mm=450, height_mm=700)
    shelf = Shelf.objects.create(commission=commission, place="x", span_mm=600, depth_mm=300, thickness_mm=22)
    work = FutureWork.objects.create(commission=commission, what="x", noted_on=TODAY, noted_by=commission.maker)
    for name, row in (("remove_door", door), ("remove_shelf", shelf), ("settle_future_work", work)):
        assert browser.get(reverse(name, args=[row.pk])).status_code == 404
    work.refresh_from_db()
    assert work.settled_on is None and Door.objects.exists() and Shelf.objects.exists()


def test_the_commission_page_leads_to_check_sheet_and_facts():
    commission = checked_commission()
    visit = return_visit_of(commission)
    handed_over(commission, visit)
    page = signed_in(commission.maker).get(commission.get_absolute_url()).content.decode()
    for name, key in (
        ("hinge_check", visit.pk),
        ("hinge_sheet_pdf", visit.pk),
        ("fitted", commission.number),
        ("pack_facts", commission.number),
        ("add_future_work", commission.number),
    ):
        assert f'href="{reverse(name, args=[key])}"' in page
