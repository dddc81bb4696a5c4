from __future__ import annotations

import logging

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests.factories import PASSWORD, make_maker, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines(caplog):
    """What the log of sign-ins says."""
    caplog.set_level(logging.INFO, logger="jobs.sign_in_log")
    return lambda: [record.getMessage() for record in caplog.records if record.name == "jobs.sign_in_log"]


def test_signing_in_and_out_and_failing_are_logged_without_name_or_password(lines, caplog):
    make_workshop()
    maker = make_maker()
    browser = Browser(REMOTE_ADDR="198.51.100.7")  # TEST-NET-2, RFC 5737
    address = reverse("account_login")
    browser.post(address, {"login": maker.email, "password": "wrong-wrong-wrong"})
    browser.post(address, {"login": maker.email, "password": PASSWORD})
    browser.post(reverse("account_logout"))
    assert lines() == [
        "a sign-in failed, from 198.51.100.7",
        f"person {maker.pk} signed in from 198.51.100.7",
        f"person {maker.pk} signed out",
    ]
    for secret in (maker.email, PASSWORD, "wrong-wrong-wrong", maker.name):
        assert secret not in caplog.text


def test_a_changed_password_is_logged_and_ends_other_sessions(lines):
    """ASVS 5.0 7.4.3: after a change of password the other sessions end."""
    make_workshop()
    maker = make_maker()
    here, elsewhere = Browser(), Browser()
    for browser in (here, elsewhere):
        browser.post(reverse("account_login"), {"login": maker.email, "password": PASSWORD})
    new = "five-wet-oak-planks"
    here.post(reverse("account_change_password"), {"oldpassword": PASSWORD, "password1": new, "password2": new})
    assert lines()[-1] == f"person {maker.pk} has a new password, set from 127.0.0.1"
    assert here.get(reverse("job_board")).status_code == 200
    assert elsewhere.get(reverse("job_board")).status_code == 302
