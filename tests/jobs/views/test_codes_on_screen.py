"""Codes on their way to a screen, through the real sign-in with a second factor."""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import hmac
import re
import struct

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from django.core.management import CommandError, call_command
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.codes import keep_code
from jobs.models import AccessCode, RevealLog, Role
from jobs.second_factor import factors_of
from tests.factories import NOW, PASSWORD, make_commission, make_maker, make_visit, make_workshop

pytestmark = pytest.mark.django_db
PLANTED, PLACE = "C4821Z#", "behind the third fern"


def totp(secret: str, at: dt.datetime) -> str:
    """RFC 6238 with SHA-1, 30 seconds, 6 figures: written afresh, not the library's."""
    counter = struct.pack(">Q", int(at.timestamp()) // 30)
    digest = hmac.new(base64.b32decode(secret), counter, hashlib.sha1).digest()
    start = digest[-1] & 15
    return f"{(struct.unpack('>I', digest[start : start + 4])[0] & 0x7FFFFFFF) % 10**6:06d}"


def test_the_test_s_own_totp_against_the_standard():
    # RFC 6238 appendix B, SHA-1: 59 s -> 94287082; six figures are its last six.
    secret = base64.b32encode(b"12345678901234567890").decode()
    assert totp(secret, dt.datetime.fromtimestamp(59, dt.UTC)) == "287082"
    assert totp(secret, dt.datetime.fromtimestamp(1111111109, dt.UTC)) == "081804"


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as moved:
        yield moved


@pytest.fixture
def workshop(db):
    return make_workshop()


@pytest.fixture
def maker(workshop):
    return make_maker()


@pytest.fixture
def code(maker, workshop):
    commission = make_commission(maker=maker)
    return keep_code(
        commission=commission, opens="key_safe", code=PLANTED, place=PLACE, workshop=workshop, now=NOW, actor=maker
    )


def sign_in(person):
    browser = Browser()
    answer = browser.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
    assert answer.status_code == 302
    return browser


def set_up_totp(browser, clock):
    """As a person does it: the password again, then the first figures of the app. Returns the app's secret."""
    page = browser.get(reverse("mfa_activate_totp"), follow=True)
    if "password" in page.context["form"].fields:
        page = browser.post(page.request["PATH_INFO"] + "?" + page.request["QUERY_STRING"], {"password": PASSWORD})
        page = browser.get(reverse("mfa_activate_totp"))
    secret = page.context["form"].secret
    answer = browser.post(reverse("mfa_activate_totp"), {"code": totp(secret, dt.datetime.now(dt.UTC))})
    assert answer.status_code == 302, answer.content.decode()
    clock.shift(60)  # figures count once only
    return secret


def prove(browser, secret, back="/"):
    answer = browser.post(
        reverse("mfa_reauthenticate"), {"code": totp(secret, dt.datetime.now(dt.UTC)), "next": back}
    )
    assert answer.status_code == 302, answer.content.decode()
    return answer


def look(browser, code, method="post"):
    return getattr(browser, method)(reverse("reveal_code", args=[code.pk]))


def test_a_maker_with_a_second_factor_sees_the_code(code, maker, clock):
    browser = sign_in(maker)
    secret = set_up_totp(browser, clock)
    address = reverse("reveal_code", args=[code.pk])
    asked = browser.get(address)
    assert asked.status_code == 302 and reverse("mfa_reauthenticate") in asked["Location"]
    assert prove(browser, secret, back=address)["Location"] == address
    page = browser.get(address)
    assert page.status_code == 200 and PLANTED not in page.content.decode()
    assert not RevealLog.objects.exists()
    shown = browser.post(address)
    assert shown.status_code == 200 and PLANTED in shown.content.decode() and PLACE in shown.content.decode()
    assert "no-store" in shown["Cache-Control"]
    assert shown["Refresh"] == f"30; url={code.commission.get_absolute_url()}"
    assert RevealLog.objects.get().person == maker
    clock.shift(5 * 60 + 1)
    again = browser.post(address)
    assert again.status_code == 302 and reverse("mfa_reauthenticate") in again["Location"]
    assert RevealLog.objects.count() == 1


def test_get_and_head_never_show(code, maker, clock):
    browser = sign_in(maker)
    prove(browser, set_up_totp(browser, clock))
    for method in ("get", "head", "options", "put", "delete"):
        assert PLANTED not in look(browser, code, method).content.decode()
    assert not RevealLog.objects.exists()


def test_without_a_second_factor_no_code_only_the_way_to_set_one_up(code, maker, clock):
    browser = sign_in(maker)
    for method in ("get", "post"):
        answer = look(browser, code, method)
        page = answer.content.decode()
        assert answer.status_code == 403 and reverse("mfa_index") in page and PLANTED not in page
    assert not RevealLog.objects.exists()


def test_the_password_again_is_no_second_factor(code, maker, clock):
    browser = sign_in(maker)
    set_up_totp(browser, clock)
    clock.shift(600)
    browser.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    assert look(browser, code).status_code == 302 and not RevealLog.objects.exists()


def test_a_factor_taken_off_since_counts_no_more(code, maker, clock):
    browser = sign_in(maker)
    prove(browser, set_up_totp(browser, clock))
    Authenticator.objects.filter(user=maker).delete()
    assert look(browser, code).status_code == 403 and not RevealLog.objects.exists()


def test_one_person_s_proof_is_not_another_s(code, maker, clock):
    browser = sign_in(maker)
    prove(browser, set_up_totp(browser, clock))
    other = make_maker(name="Ash Lowe")
    theirs = sign_in(other)
    set_up_totp(theirs, clock)
    clock.shift(600)
    assert look(theirs, code).status_code == 302


def test_two_people_look_and_both_are_on_the_list(code, maker, clock):
    for person in (maker, make_maker(name="Ash Lowe")):
        browser = sign_in(person)
        prove(browser, set_up_totp(browser, clock))
        assert PLANTED in look(browser, code).content.decode()
    page = browser.get(reverse("codes", args=[code.commission.number])).content.decode()
    seen = re.findall(r"<li>(Robin Thorn|Ash Lowe): key safe", page)
    assert sorted(seen) == ["Ash Lowe", "Robin Thorn"] and PLANTED not in page


def test_wrong_figures_run_into_the_limit(code, maker, clock):
    browser = sign_in(maker)
    secret = set_up_totp(browser, clock)
    codes = []
    for _ in range(12):
        codes.append(browser.post(reverse("mfa_reauthenticate"), {"code": "000000"}).status_code)
    assert codes[-1] == 429
    # Even the right ones do not help within the minute.
    answer = browser.post(reverse("mfa_reauthenticate"), {"code": totp(secret, dt.datetime.now(dt.UTC))})
    assert answer.status_code == 429


def test_showings_run_into_the_limit(code, maker, clock):
    browser = sign_in(maker)
    prove(browser, set_up_totp(browser, clock))
    answers = [look(browser, code).status_code for _ in range(31)]
    assert answers == [200] * 30 + [429] and RevealLog.objects.count() == 30


@pytest.mark.parametrize(
    ("role", "given", "goes", "status"),
    [
        (Role.OFFICE, False, False, 403),
        (Role.OFFICE, True, False, 200),
        (Role.HELPER, False, True, 403),
        (Role.HELPER, True, False, 403),
        (Role.HELPER, True, True, 200),
    ],
)
def test_the_list_of_codes_by_role(code, workshop, clock, role, given, goes, status):
    person = make_maker(role=role, may_see_codes=given)
    if goes:
        make_visit(code.commission, person=person)
    browser = sign_in(person)
    assert browser.get(reverse("codes", args=[code.commission.number])).status_code == status
    set_up_totp(browser, clock)
    assert look(browser, code).status_code == (403 if status == 403 else 302)


def test_the_office_keeps_a_code_it_may_not_see_again(code, maker, clock):
    browser = sign_in(make_maker(role=Role.OFFICE))
    number = code.commission.number
    answer = browser.post(reverse("keep_code", args=[number]), {"opens": "alarm", "code": "7788", "place": ""})
    assert answer.status_code == 302 and AccessCode.objects.count() == 2
    page = browser.get(answer["Location"]).content.decode()
    assert "Alarm" in page and "7788" not in page and "Look at it" not in page


def test_keeping_refuses_with_the_field_and_keeps_what_was_typed(code, maker):
    browser = sign_in(maker)
    address = reverse("keep_code", args=[code.commission.number])
    answer = browser.post(address, {"opens": "alarm", "code": "", "place": "under the stairs"})
    page = answer.content.decode()
    assert answer.status_code == 422 and "Code: this is needed" in page and "under the stairs" in page


def test_deleting_is_a_button(code, maker):
    browser = sign_in(maker)
    address = reverse("delete_code", args=[code.pk])
    assert browser.get(address).status_code == 404 and AccessCode.objects.exists()
    assert browser.post(address).status_code == 302 and not AccessCode.objects.exists()
    assert browser.post(address).status_code == 404


@pytest.mark.parametrize("count", [1, 12])
def test_the_list_takes_a_fixed_number_of_queries(code, maker, workshop, count, django_assert_num_queries):
    browser = sign_in(maker)
    for number in range(count):
        keep_code(commission=code.commission, opens="gate", code=str(number), workshop=workshop, now=NOW, actor=maker)
        RevealLog.objects.create(
            code_id=code.pk, opens="gate", commission=code.commission, person=maker, at=NOW, second_factor_at=NOW
        )
    with django_assert_num_queries(8):
        browser.get(reverse("codes", args=[code.commission.number]))


def test_the_second_factor_s_own_secret_lies_sealed(maker, workshop, clock):
    browser = sign_in(maker)
    secret = set_up_totp(browser, clock)
    stored = [row.data for row in Authenticator.objects.all()]
    assert stored and secret not in str(stored)
    assert {row.type for row in Authenticator.objects.all()} == {"totp", "recovery_codes"}
    assert all(
        value.startswith("gAAAA") for data in stored for key, value in data.items() if key in ("secret", "seed")
    )


def test_a_lost_telephone_is_forgotten_by_another_maker_or_on_the_machine(maker, workshop, clock, capsys):
    lost = make_maker(name="Ash Lowe")
    set_up_totp(sign_in(lost), clock)
    browser = sign_in(maker)
    address = reverse("forget_factors", args=[lost.pk])
    assert address in browser.get(reverse("workshop")).content.decode()
    assert browser.get(address).status_code == 404 and factors_of(lost)
    assert browser.post(address).status_code == 302 and not Authenticator.objects.exists()
    assert address not in browser.get(reverse("workshop")).content.decode()
    again = browser.post(address, follow=True).content.decode()
    assert "has no second factor" in again
    # Nobody takes out their own without giving it once more; on the machine itself it is a command.
    set_up_totp(browser, clock)
    own = browser.post(reverse("forget_factors", args=[maker.pk]), follow=True).content.decode()
    assert "Your own second factor" in own and factors_of(maker)
    call_command("forget_factors", maker.email.upper())
    assert not factors_of(maker) and "password alone" in capsys.readouterr().out
    with pytest.raises(CommandError, match="Nobody signs in"):
        call_command("forget_factors", "nobody@example.org")
    with pytest.raises(CommandError, match="has no second factor"):
        call_command("forget_factors", maker.email)
