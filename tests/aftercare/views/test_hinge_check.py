from __future__ import annotations

import datetime as dt
import io
import re
from decimal import Decimal

import pypdf
import pytest
import time_machine
from django.urls import reverse

from aftercare.models import DoorCheck, HingeCheck, LightNote, Verdict
from aftercare.queries.hinge_sheet import photograph_light
from jobs.models import DaybookLine, Message, Role, StepKind, Visit, VisitKind, VisitState
from jobs.queries.workshop import the_workshop
from tests.aftercare.check_cast import AFTER, ON_THE_DAY, checked_commission, found, handed_over, return_visit_of
from tests.factories import make_maker
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_day():
    with time_machine.travel(ON_THE_DAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def visit():
    commission = checked_commission()
    visit = return_visit_of(commission)
    handed_over(commission, visit)
    return visit


@pytest.fixture
def browser(visit):
    return signed_in(visit.commission.maker)


def door_url(visit, label):
    return reverse("check_door", args=[visit.pk, visit.commission.doors.get(label=label).pk])


def words_of(answer):
    return re.sub(r"\s+", " ", answer.content.decode())


def test_doors_stand_in_the_order_in_which_they_settle(visit, browser):
    page = words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
    # D1: 450 x 2000 x 22 mm at 740 kg/m3 is 14.652 kg; by height 2000 mm four hinges (common practice, from memory).
    assert "2 hinges where 4 are asked for, 14.7 kg." in page
    # D2: 11.988 kg on five hinges is 2.4 kg on each.
    assert "2.4 kg on each of 5 hinges, 2000 mm high." in page
    assert "No weight is recorded for D3: look at it early" in page
    assert re.findall(r"<strong>(D\d)</strong>", page) == ["D1", "D3", "D2"]


def test_a_door_is_kept_in_tenths_and_the_next_one_follows(visit, browser):
    answer = browser.post(door_url(visit, "D1"), found(rubs="on"))
    assert answer.url == door_url(visit, "D3")
    row = DoorCheck.objects.get()
    assert (row.before_top_tenths_mm, row.before_left_tenths_mm, row.before_right_tenths_mm) == (15, 31, None)
    assert (row.after_top_tenths_mm, row.after_left_tenths_mm, row.bow_tenths_mm) == (25, 25, 5)
    assert (row.rubs, row.screws, row.dampers, row.verdict) == (True, "good", "none", Verdict.ADJUSTED)
    assert row.check_of.begun_at == ON_THE_DAY
    page = words_of(browser.get(door_url(visit, "D1")))
    assert 'value="2.5"' in page and 'value="3.1"' in page and 'inputmode="decimal"' in page
    page = words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
    assert "Adjusted, in order now. Gaps top 2.5, left 2.5 mm" in page


def test_a_door_without_a_weight_is_checked_all_the_same(visit, browser):
    page = words_of(browser.get(door_url(visit, "D3")))
    assert "No weight is recorded: take it to be heavy, and have somebody hold it." in page
    assert browser.post(door_url(visit, "D3"), found()).status_code == 302
    assert DoorCheck.objects.get().door.label == "D3"


def test_checking_a_door_again_changes_what_was_noted(visit, browser):
    browser.post(door_url(visit, "D1"), found())
    browser.post(door_url(visit, "D1"), found(after_top_tenths_mm="2"))
    assert DoorCheck.objects.get().after_top_tenths_mm == 20


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        (
            "before_top_tenths_mm",
            "-1",
            "Top gap before: -1 is below nothing. 0 says that it touches;",
        ),
        ("after_left_tenths_mm", "25", "Left gap after: 25.0 mm is more than 15.0 mm. Is it 2.5?"),
        ("after_left_tenths_mm", "2.25", "is finer than a tenth of a millimetre. Give 2.2 or 2.3."),
        ("before_top_tenths_mm", "wide", "“wide” is no size. Give millimetres with one decimal, as 2.5."),
        ("verdict", "", "Verdict: say how the door was left."),
    ],
)
def test_a_bad_figure_of_a_door_is_refused_and_kept_as_typed(visit, browser, field, typed, sentence):
    answer = browser.post(door_url(visit, "D1"), found(bow_tenths_mm="0.7") | {field: typed})
    assert answer.status_code == 422
    assert sentence in words_of(answer) and 'value="0.7"' in words_of(answer)
    assert not DoorCheck.objects.exists() and not HingeCheck.objects.exists()


def test_a_snag_needs_words(visit, browser):
    answer = browser.post(door_url(visit, "D1"), found(verdict="snag"))
    assert answer.status_code == 422
    assert "What is wrong: say it in a few words" in words_of(answer)


def test_the_room_is_kept(visit, browser):
    browser.post(
        reverse("hinge_check", args=[visit.pk]),
        {"room_c": "19.5", "humidity_percent": "38", "fixings": "good", "scribes": "bad", "notes": "dry air"},
    )
    check = HingeCheck.objects.get()
    assert (check.room_c, check.humidity_percent, check.fixings, check.scribes) == (
        Decimal("19.5"),
        38,
        "good",
        "bad",
    )


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("humidity_percent", "140", "Relative humidity: 140 % cannot be. Read it again and give 1 to 100."),
        ("humidity_percent", "dry", "Relative humidity: give a whole number of per cent, as 45."),
        ("room_c", "190", "Room temperature: 190 °C is no room. Give -5 to 45."),
        ("room_c", "warm", "Room temperature: give degrees Celsius, as 19.5."),
    ],
)
def test_a_bad_figure_of_the_room_is_refused_and_kept_as_typed(visit, browser, field, typed, sentence):
    answer = browser.post(reverse("hinge_check", args=[visit.pk]), {field: typed, "notes": "north wall"})
    assert answer.status_code == 422
    assert sentence in words_of(answer)
    assert typed in words_of(answer) and "north wall" in words_of(answer)
    assert not HingeCheck.objects.exists()


def test_a_check_before_the_day_of_the_visit_is_refused_with_the_day(visit, browser, on_the_day):
    on_the_day.move_to(ON_THE_DAY - dt.timedelta(days=1))
    sentence = "The return visit is on Tuesday 27 April 2027, and the check begins on that day."
    assert sentence in words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
    answer = browser.post(door_url(visit, "D1"), found())
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert not HingeCheck.objects.exists()


def test_finishing_ends_visit_and_step_and_asks_for_a_new_pack(visit, browser, on_the_day):
    browser.post(door_url(visit, "D1"), found())
    on_the_day.move_to(AFTER)
    answer = browser.post(reverse("finish_hinge_check", args=[visit.pk]), {})
    assert answer.url == reverse("hinge_check", args=[visit.pk])
    visit.refresh_from_db()
    assert visit.state == VisitState.DONE
    assert visit.commission.steps.get(kind=StepKind.RETURN_VISIT).finished_at == AFTER
    message = Message.objects.get(kind="pack_revision")
    assert (message.to_email, message.due_at) == ("quennell@example.org", AFTER + dt.timedelta(hours=2))
    page = words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
    assert "1 of 3 doors looked at." in page and "Note further work" in page
    assert list(DaybookLine.objects.values_list("act", flat=True)) == [
        "begin_check",
        "check_door",
        "finish_visit",
        "finish_step",
        "finish_check",
    ]


def test_a_snag_becomes_a_step_and_a_second_visit_is_owed(visit, browser, on_the_day):
    browser.post(door_url(visit, "D2"), found(verdict="snag", words="bowed 4 mm, to be made anew"))
    on_the_day.move_to(AFTER)
    browser.post(reverse("finish_hinge_check", args=[visit.pk]), {"second_visit": "on"})
    step = visit.commission.steps.get(kind=StepKind.REDO)
    assert step.name == "Make good D2: bowed 4 mm, to be made anew"
    assert [link.before.kind for link in step.links_in.all()] == [StepKind.RETURN_VISIT]
    assert DoorCheck.objects.get().step == step
    second = Visit.objects.get(kind=VisitKind.RETURN, state=VisitState.TO_ARRANGE)
    assert second.reasons == "Second return visit. D2: bowed 4 mm, to be made anew."
    assert second.step == step


def test_a_finished_check_stays_as_it_is(visit, browser, on_the_day):
    browser.post(door_url(visit, "D1"), found())
    on_the_day.move_to(AFTER)
    browser.post(reverse("finish_hinge_check", args=[visit.pk]), {})
    answer = browser.post(door_url(visit, "D1"), found(after_top_tenths_mm="1"))
    assert answer.status_code == 422 and "This check is finished" in words_of(answer)
    answer = browser.post(reverse("finish_hinge_check", args=[visit.pk]), {})
    assert answer.status_code == 422 and "was finished already" in words_of(answer)
    assert DoorCheck.objects.get().after_top_tenths_mm == 25
    assert Message.objects.filter(kind="pack_revision").count() == 1


def test_nothing_noted_cannot_be_finished(visit, browser):
    answer = browser.post(reverse("finish_hinge_check", args=[visit.pk]), {}, follow=True)
    assert "Nothing has been noted yet" in words_of(answer)
    visit.refresh_from_db()
    assert visit.state == VisitState.ARRANGED


def test_a_second_visit_says_how_gaps_have_moved_since(visit, browser, on_the_day):
    browser.post(door_url(visit, "D1"), found())
    on_the_day.move_to(AFTER)
    browser.post(reverse("finish_hinge_check", args=[visit.pk]), {})
    later = return_visit_of(visit.commission, starts_at=ON_THE_DAY + dt.timedelta(days=60))
    on_the_day.move_to(ON_THE_DAY + dt.timedelta(days=60, hours=1))
    browser = signed_in(visit.commission.maker)  # two months on, the first sign-in has run out
    browser.post(door_url(later, "D1"), found(before_top_tenths_mm="2.0", before_left_tenths_mm="2.8"))
    page = words_of(browser.get(door_url(later, "D1")))
    assert "Tue 27 Apr 2027, as left: top 2.5, left 2.5 mm; since then " in page
    assert "since then top narrower by 0.5 mm, left wider by 0.3 mm." in page


def test_the_sheet_on_paper_has_the_doors_and_room_for_a_pen(visit, browser, on_the_day):
    on_the_day.move_to(ON_THE_DAY - dt.timedelta(days=3))  # printed before the day
    answer = browser.get(reverse("hinge_sheet_pdf", args=[visit.pk]))
    assert answer["Content-Type"] == "application/pdf"
    reader = pypdf.PdfReader(io.BytesIO(answer.content))
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))
    assert "Hinge check" in text and "Tuesday 27 April 2027, 10:00" in text
    assert text.index("D1") < text.index("D3 ") < text.index("D2 ")
    assert "No weight is recorded for D3" in text
    assert "Leave every wall fixing where it is." in text
    width, height = (float(side) for side in reader.pages[0].mediabox[2:])
    assert width > height  # landscape


def test_a_helper_checks_doors_and_sees_no_link_to_the_commission(visit):
    helper = signed_in(make_maker(name="Sam Ashby", role=Role.HELPER))
    page = words_of(helper.get(reverse("hinge_check", args=[visit.pk])))
    assert visit.commission.get_absolute_url() + '"' not in page
    assert helper.post(door_url(visit, "D1"), found()).status_code == 302
    site_day = words_of(helper.get(reverse("site_day", args=[visit.commission.number])))
    assert f'href="{reverse("hinge_check", args=[visit.pk])}"' in site_day


def test_only_return_visits_have_a_check_and_only_their_own_doors(visit, browser):
    other = Visit.objects.create(
        commission=visit.commission,
        kind=VisitKind.FITTING,
        person=visit.person,
        starts_at=visit.starts_at,
        ends_at=visit.ends_at,
        changed_at=ON_THE_DAY,
    )
    assert browser.get(reverse("hinge_check", args=[other.pk])).status_code == 404
    assert browser.get(reverse("check_door", args=[visit.pk, 99_999])).status_code == 404


@pytest.mark.parametrize("more_doors", [0, 9])
def test_the_number_of_queries_does_not_grow_with_doors(visit, browser, django_assert_num_queries, more_doors):
    for number in range(more_doors):
        visit.commission.doors.create(label=f"E{number}", width_mm=400, height_mm=700)
    # session, person, workshop, visit, check, doors, door checks; rooms and their light notes
    with django_assert_num_queries(9):
        browser.get(reverse("hinge_check", args=[visit.pk]))


def test_the_check_says_when_the_light_is_there(visit, browser):
    """On the telephone and, by the same words, on paper; a site without coordinates says why it cannot."""
    page = words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
    assert "No photo window on this day: no room has a light note or a window facing yet." in page
    commission = visit.commission
    commission.latitude_deg, commission.longitude_deg = 52.5, -1.5
    commission.save()
    LightNote.objects.create(
        room=commission.rooms.get(), noted_at=dt.datetime(2027, 3, 8, 10, 40, tzinfo=dt.UTC), person=commission.maker
    )
    light = photograph_light(visit, the_workshop())
    # The note's 10:40 GMT is 11:40 in summer time; the height of the sun moves the best minute a little.
    assert re.search(r"1[01]:\d\d", light) and "Overcast: any time between" in light
    assert light in words_of(browser.get(reverse("hinge_check", args=[visit.pk])))
