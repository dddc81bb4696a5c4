from __future__ import annotations

import datetime as dt
import json
import logging
from io import StringIO

import pytest
from cryptography.fernet import Fernet
from django.core.management import CommandError, call_command
from django.db import connection

from jobs.domain.codes import (
    LONGEST_CODE,
    RECENT,
    delete_code,
    reveal_code,
)
from jobs.models import AccessCode, DaybookLine, HelperDay, RevealLog, Role, VisitState
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_helper, make_maker, make_visit, make_workshop
from tests.jobs.domain.code_makers import (
    DAY,
    PLACE,
    PLANTED,
    keep,
    look,
    raw_columns,
    row_id,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def commission(maker):
    return make_commission(maker=maker)


@pytest.fixture
def code(commission, workshop, maker):
    return keep(commission, workshop, maker)


def test_a_kept_code_lies_sealed_and_opens_for_a_maker(code, maker, workshop):
    lying = raw_columns(code)
    assert all(part.startswith("gAAAA") for part in lying)
    assert not any(PLANTED in part or PLACE in part for part in lying)
    shown = look(code, maker, workshop)
    assert (shown.opens, shown.code, shown.place) == ("Key safe", PLANTED, PLACE)
    assert PLANTED not in repr(shown) and PLACE not in repr(shown)


def test_each_showing_is_logged_and_so_are_two_people(code, maker, workshop):
    other = make_maker(name="Ash Lowe")
    look(code, maker, workshop)
    look(code, other, workshop, now=NOW + dt.timedelta(seconds=20))
    look(code, maker, workshop, now=NOW + dt.timedelta(seconds=40))
    seen = list(RevealLog.objects.order_by("at").values_list("person__name", "at", "code_id"))
    assert [name for name, _, _ in seen] == ["Robin Thorn", "Ash Lowe", "Robin Thorn"]
    assert {pk for _, _, pk in seen} == {code.pk}
    lines = DaybookLine.objects.filter(act="reveal_code")
    assert [line.actor.name for line in lines] == ["Robin Thorn", "Ash Lowe", "Robin Thorn"]
    said = json.dumps([line.facts for line in DaybookLine.objects.all()])
    assert PLANTED not in said and PLACE not in said and str(code.pk) in said


@pytest.mark.parametrize(
    "proved", [None, NOW - RECENT - dt.timedelta(seconds=1), NOW + dt.timedelta(seconds=1), NOW - DAY]
)
def test_no_code_without_a_second_factor_given_recently(code, maker, workshop, proved):
    with pytest.raises(Refusal, match="second factor again"):
        look(code, maker, workshop, proved=proved)
    assert not RevealLog.objects.exists()


def test_the_second_factor_counts_for_exactly_five_minutes(code, maker, workshop):
    assert look(code, maker, workshop, proved=NOW - RECENT).code == PLANTED


def test_who_sees_codes(code, commission, workshop):
    """Role, given, goes there -> sees. The table of the role rules in the design, section 8."""
    visit = make_visit(commission, starts_at=NOW + DAY)
    for role, given, booked, sees in [
        (Role.OFFICE, False, False, False),
        (Role.OFFICE, True, False, True),
        (Role.HELPER, False, True, False),
        (Role.HELPER, True, False, False),
        (Role.HELPER, True, True, True),
    ]:
        person = make_maker(role=role, may_see_codes=given)
        if booked:
            HelperDay.objects.create(person=person, day=workshop.local_day(visit.starts_at))
        if sees:
            assert look(code, person, workshop).code == PLANTED, (role, given, booked)
        else:
            with pytest.raises(Refusal, match="Codes are shown to"):
                look(code, person, workshop)


def test_a_helper_whose_visit_was_cancelled_no_longer_goes_there(code, commission, workshop):
    helper = make_helper(may_see_codes=True, email="helper@example.org")
    visit = make_visit(commission, person=helper)
    assert look(code, helper, workshop).code == PLANTED
    visit.state = VisitState.CANCELLED
    visit.save()
    with pytest.raises(Refusal):
        look(code, helper, workshop)


def test_a_person_who_has_left_sees_nothing(code, maker, workshop):
    maker.is_active = False
    with pytest.raises(Refusal):
        look(code, maker, workshop)


def test_a_ciphertext_moved_to_another_row_is_refused_and_not_logged_as_shown(
    code, commission, maker, workshop, caplog
):
    other = keep(commission, workshop, maker, code="9999", opens="alarm")
    theirs, mine = raw_columns(other)[0], raw_columns(code)[0]
    with connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_accesscode SET code = %s WHERE id = %s", [mine, row_id(other)])
        cursor.execute("UPDATE jobs_accesscode SET code = %s WHERE id = %s", [theirs, row_id(code)])
    for moved in (code, other):
        with caplog.at_level(logging.ERROR), pytest.raises(Refusal, match="does not open"):
            look(moved, maker, workshop)
    assert not RevealLog.objects.exists()
    assert "sealed for another row" in caplog.text and PLANTED not in caplog.text


def test_a_ciphertext_moved_to_another_column_or_commission_is_refused(code, maker, workshop):
    sealed_code, sealed_place = raw_columns(code)
    elsewhere = make_commission(maker=maker)
    for change, values in [
        ("code = %s, place = %s", [sealed_place, sealed_code]),
        ("commission_id = %s", [elsewhere.pk]),
    ]:
        with connection.cursor() as cursor:
            cursor.execute(f"UPDATE jobs_accesscode SET {change} WHERE id = %s", [*values, row_id(code)])
        with pytest.raises(Refusal, match="does not open"):
            look(code, maker, workshop)
        with connection.cursor() as cursor:
            cursor.execute(
                "UPDATE jobs_accesscode SET code = %s, place = %s, commission_id = %s WHERE id = %s",
                [sealed_code, sealed_place, code.commission_id, row_id(code)],
            )
    assert look(code, maker, workshop).code == PLANTED


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"code": ""}, "code", "is needed"),
        ({"code": "   "}, "code", "is needed"),
        ({"code": "1" * (LONGEST_CODE + 1)}, "code", "at most 60 signs"),
        ({"code": "12\n34"}, "code", "one line only"),
        ({"place": "x" * 121}, "place", "at most 120 signs"),
        ({"opens": "window"}, "opens", "choose one"),
    ],
)
def test_what_is_no_code_is_refused_with_the_field(commission, workshop, maker, fields, field, words):
    with pytest.raises(Refusal, match=words) as refused:
        keep(commission, workshop, maker, **fields)
    assert refused.value.field == field
    assert not AccessCode.objects.exists() and not DaybookLine.objects.exists()


@pytest.mark.parametrize("text", ["#4821*", "кот", "🔑12", "‮4821", "<b>4821</b>", "1"])
def test_a_code_comes_back_sign_for_sign(commission, workshop, maker, text):
    assert look(keep(commission, workshop, maker, code=text), maker, workshop).code == text


def test_deleting_a_code_keeps_who_saw_it(code, maker, workshop):
    look(code, maker, workshop)
    delete_code(code=code, now=NOW, actor=maker)
    assert not AccessCode.objects.exists() and RevealLog.objects.count() == 1
    with pytest.raises(Refusal, match="deleted already"):
        delete_code(code=code, now=NOW, actor=maker)


def test_a_code_deleted_meanwhile_is_not_shown(code, maker, workshop):
    stale = AccessCode.objects.get(pk=code.pk)
    AccessCode.objects.all().delete()
    with pytest.raises(Refusal, match="deleted meanwhile"):
        reveal_code(code=stale, person=maker, second_factor_at=NOW, workshop=workshop, now=NOW)
    assert not RevealLog.objects.exists()


def test_no_code_is_kept_for_a_job_that_has_ended(commission, workshop, maker):
    commission.closed_on = TODAY - 7 * DAY
    with pytest.raises(Refusal, match="has ended"):
        keep(commission, workshop, maker)


def rotate():
    out = StringIO()
    call_command("rotate_field_keys", stdout=out)
    return out.getvalue()


def test_rotating_the_keys(code, maker, workshop, settings):
    old, new = settings.FIELD_KEYS[0], Fernet.generate_key().decode()
    before = raw_columns(code)
    settings.FIELD_KEYS = [new, old]
    assert rotate() == "2 sealed anew with the newest key.\n"
    after = raw_columns(code)
    assert not set(before) & set(after)
    assert rotate() == "0 sealed anew with the newest key.\n" and raw_columns(code) == after
    settings.FIELD_KEYS = [new]
    assert look(code, maker, workshop).code == PLANTED


def test_rotating_leaves_and_names_what_no_key_opens(code, commission, maker, workshop, settings):
    lost = raw_columns(code)
    new = Fernet.generate_key().decode()
    settings.FIELD_KEYS = [new]
    readable = keep(commission, workshop, maker, code="2222")
    with pytest.raises(CommandError, match="2 open with no key") as refused:
        rotate()
    assert str(code.pk) in str(refused.value) and str(readable.pk) not in str(refused.value)
    assert raw_columns(code) == lost
    with pytest.raises(Refusal, match="does not open"):
        look(code, maker, workshop)
