from __future__ import annotations

import re

import pytest
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command
from django.test import RequestFactory
from django_q.models import Schedule

from jobs.management.commands import first_start
from jobs.models import Person, Workshop
from jobs.models.kinds import Role

pytestmark = pytest.mark.django_db


def start(capsys, **options) -> str:
    call_command("first_start", **options)
    return capsys.readouterr().out


def password_in(said: str) -> str:
    found = re.search(r"^Password\s+(\S+)", said, re.MULTILINE)
    assert found, said
    return found[1]


def test_an_empty_installation_gets_one_maker_whose_printed_password_opens(capsys):
    said = start(capsys, email="joiner@example.org", name="Ada Joiner")
    person = Person.objects.get()
    assert (person.email, person.name, person.role) == ("joiner@example.org", "Ada Joiner", Role.MAKER)
    request = RequestFactory().post("/account/login/")
    assert authenticate(request, email="joiner@example.org", password=password_in(said)) == person
    assert password_in(said) not in person.password


@pytest.mark.parametrize(
    ("email", "signs_in_with"), [("hester@example.org", "hester@example.org"), (None, "m@example.org")]
)
def test_the_demos_maker_gets_the_password_instead_of_a_second_person(capsys, email, signs_in_with):
    helper = Person.objects.create_user(None, None, name="Jonah", role=Role.HELPER)
    maker = Person.objects.create_user(email, None, name="Hester", role=Role.MAKER)
    said = start(capsys, email="m@example.org")
    request = RequestFactory().post("/account/login/")
    assert authenticate(request, email=signs_in_with, password=password_in(said)) == maker
    assert {person.pk for person in Person.objects.all()} == {helper.pk, maker.pk}


def test_the_address_of_somebody_who_left_is_not_given_away():
    Person.objects.create_user("Maker@example.org", None, name="Old Hand", is_active=False)
    with pytest.raises(CommandError, match=r"--email: maker@example\.org belongs to Old Hand"):
        call_command("first_start")
    assert not Person.objects.filter(is_active=True).exists()


def test_a_second_start_keeps_everything_and_shows_no_password(capsys):
    start(capsys)
    Workshop.objects.create(name="Oak and Ash", email="w@example.org")
    before = (list(Person.objects.values()), list(Workshop.objects.values()), list(Schedule.objects.values()))
    said = start(capsys)
    assert "Password  " not in said
    assert "Sign in as before: maker@example.org" in said
    assert (list(Person.objects.values()), list(Workshop.objects.values()), list(Schedule.objects.values())) == before


def test_a_person_who_left_does_not_count_as_a_login(capsys):
    Person.objects.create_user("gone@example.org", "a long password", name="Gone", is_active=False)
    assert password_in(start(capsys))
    assert Person.objects.filter(is_active=True).get().email == "maker@example.org"


def test_a_wrong_email_is_named_and_nothing_is_made():
    with pytest.raises(CommandError, match="--email: 'nobody' is no e-mail address"):
        call_command("first_start", email="nobody")
    assert not Person.objects.exists()
    assert not Schedule.objects.exists()


def test_passwords_differ_and_have_no_signs_that_look_alike():
    made = {first_start.new_password() for _ in range(500)}
    assert len(made) == 500
    assert all(re.fullmatch(r"([a-hjkmnp-z2-9]{5}-){3}[a-hjkmnp-z2-9]{5}", password) for password in made)


@pytest.mark.parametrize(
    "fill",
    [
        lambda: Workshop.objects.create(name="Oak and Ash", email="w@example.org"),
        # An empty start whose workshop is not entered yet: a later start must not pour the demo over it.
        lambda: Person.objects.create_user("maker@example.org", "a long password", name="Maker"),
    ],
)
def test_has_data_tells_an_empty_database_apart(capsys, fill):
    with pytest.raises(SystemExit) as empty:
        call_command("has_data")
    assert empty.value.code == 3
    fill()
    call_command("has_data")
    assert capsys.readouterr().out == "empty\nin use\n"
