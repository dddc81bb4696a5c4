from __future__ import annotations

import datetime as dt
import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.sign_in import invite_person, new_invitation_token
from jobs.models import Invitation, Message, Person, Role
from tests.factories import (
    PASSWORD,
    make_helper,
    make_maker,
    make_workshop,
)

pytestmark = pytest.mark.django_db
NEW_PASSWORD = "four-dry-oak-boards"


@pytest.fixture
def workshop():
    return make_workshop()


@pytest.fixture
def maker(workshop):
    return make_maker()


@pytest.fixture
def signed_in(client, maker):
    client.force_login(maker)
    return client


@pytest.fixture
def now():
    return dt.datetime.now(dt.UTC)


def sign_in(browser, email, password=PASSWORD, **extra):
    return browser.post(reverse("account_login"), {"login": email, "password": password}, **extra)


# --- signing in -------------------------------------------------------------------------------------------------


def test_sign_up_is_closed(workshop):
    page = Browser().get(reverse("account_signup"))
    assert "Sign-up is closed" in page.content.decode()
    fields = {"email": "new@example.org", "password1": NEW_PASSWORD, "password2": NEW_PASSWORD}
    Browser().post(reverse("account_signup"), fields)
    assert not Person.objects.exists()


def test_nobody_changes_their_own_mail_address(signed_in):
    assert signed_in.get(reverse("account_email")).status_code == 403


def test_a_guessed_password_runs_into_the_limit_and_another_address_does_not(maker):
    """Five wrong tries in five minutes for one person (the library's login_failed limit); others can go on."""
    guesser = Browser(REMOTE_ADDR="198.51.100.7")  # TEST-NET-2, RFC 5737
    for _ in range(5):
        sign_in(guesser, maker.email, "wrong-wrong-wrong")
    late = sign_in(guesser, maker.email)
    assert late.status_code == 200 and "Too many failed login attempts" in late.content.decode()
    other = make_maker(name="Ash Lowe")
    assert sign_in(Browser(REMOTE_ADDR="198.51.100.8"), other.email).status_code == 302


def test_an_unknown_address_gets_the_same_answer_as_a_wrong_password(maker):
    answers = []
    for email in (maker.email, "nobody@example.org"):
        answer = sign_in(Browser(), email, "wrong-wrong-wrong")
        errors = answer.context["form"].errors.as_json()
        answers.append((answer.status_code, errors))
    assert answers[0] == answers[1]


@pytest.mark.parametrize(
    ("proxies", "forwarded", "counted"),
    [
        (0, "203.0.113.9", "198.51.100.7"),  # nobody to trust: the header is the client's own invention
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "192.0.2.1, 203.0.113.9", "203.0.113.9"),  # the one before the last was typed by the client
        (2, "203.0.113.9, 192.0.2.1", "203.0.113.9"),
    ],
)
def test_the_address_counted_is_the_one_the_trusted_proxies_saw(settings, rf, proxies, forwarded, counted):
    from allauth.account.adapter import get_adapter

    settings.ALLAUTH_TRUSTED_PROXY_COUNT = proxies
    request = rf.get("/", REMOTE_ADDR="198.51.100.7", HTTP_X_FORWARDED_FOR=forwarded)
    assert get_adapter().get_client_ip(request) == counted


def test_limits_are_counted_in_the_shared_database_cache(settings, maker):
    assert settings.CACHES["default"]["BACKEND"] == "django.core.cache.backends.db.DatabaseCache"
    from django.db import connection

    def rows():
        with connection.cursor() as cursor:
            cursor.execute("SELECT COUNT(*) FROM shared_cache")
            return cursor.fetchone()[0]

    before = rows()
    sign_in(Browser(), maker.email, "wrong-wrong-wrong")
    assert rows() > before


# --- invitations ------------------------------------------------------------------------------------------------


@pytest.fixture
def invitation(workshop, maker, now):
    person = make_helper(email="sam@example.org")
    return invite_person(person=person, workshop=workshop, now=now, actor=maker)


@pytest.fixture
def token(invitation, now):
    return new_invitation_token(invitation.pk, now=now)


def test_a_maker_invites_by_a_button_and_nobody_else_can(signed_in, maker):
    person = make_helper(email="sam@example.org")
    address = reverse("invite_person", args=[person.pk])
    assert signed_in.get(address).status_code == 404 and not Invitation.objects.exists()
    assert address in signed_in.get(reverse("workshop")).content.decode()
    assert signed_in.post(address).status_code == 302
    assert Message.objects.get(kind="invitation").to_email == "sam@example.org"
    for role in (Role.OFFICE, Role.HELPER):
        browser = Browser()
        browser.force_login(make_maker(role=role))
        assert browser.post(address).status_code == 403
    assert Invitation.objects.count() == 1


def test_opening_the_link_changes_nothing_and_says_no_name(token, workshop):
    address = reverse("accept_invitation", args=[token])
    before = list(Invitation.objects.values())
    for method in ("get", "head", "get"):
        page = getattr(Browser(), method)(address)
        assert page.status_code == 200 and "no-store" in page["Cache-Control"]
        assert "Sam" not in page.content.decode() and "sam@" not in page.content.decode()
    assert list(Invitation.objects.values()) == before


def test_the_button_sets_the_password_once(token):
    address = reverse("accept_invitation", args=[token])
    both = {"password": NEW_PASSWORD, "again": NEW_PASSWORD}
    assert Browser().post(address, both)["Location"] == reverse("account_login")
    assert sign_in(Browser(), "sam@example.org", NEW_PASSWORD).status_code == 302
    again = Browser().post(address, {"password": "another-fine-pass", "again": "another-fine-pass"})
    assert again.status_code == 410
    assert sign_in(Browser(), "sam@example.org", "another-fine-pass").status_code == 200


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"password": NEW_PASSWORD, "again": "different-password"}, "differs from the line above"),
        ({"password": "tiny-saw", "again": "tiny-saw"}, "too short"),
        ({"password": "", "again": ""}, "New password: this is needed"),
    ],
)
def test_a_slip_comes_back_with_a_sentence_and_no_password(token, fields, words):
    answer = Browser().post(reverse("accept_invitation", args=[token]), fields)
    page = answer.content.decode()
    assert answer.status_code == 422 and words in page
    assert not fields["password"] or fields["password"] not in page


def test_a_wrong_or_old_link_reveals_nothing(token, invitation, now):
    wrong = Browser().get(reverse("accept_invitation", args=["x" * 43]))
    Invitation.objects.update(expires_at=now - dt.timedelta(seconds=1))
    old = Browser().get(reverse("accept_invitation", args=[token]))
    assert wrong.status_code == old.status_code == 410
    without_nonce = [re.sub(r'nonce="[^"]*"', "", page.content.decode()) for page in (wrong, old)]
    assert without_nonce[0] == without_nonce[1]


def test_guessing_links_runs_into_the_limit(workshop):
    both = {"password": NEW_PASSWORD, "again": NEW_PASSWORD}
    answers = [
        Browser().post(reverse("accept_invitation", args=[f"guess-{number}"]), both).status_code
        for number in range(21)
    ]
    assert answers == [410] * 20 + [429]
