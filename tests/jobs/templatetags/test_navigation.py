from __future__ import annotations

import re

import pytest
from django.template import RequestContext
from django.test import RequestFactory

from jobs.models import Person, Role
from jobs.templatetags.navigation import PAGES, NavigationEntry, entry, pages
from tests.factories import PASSWORD, make_maker, make_workshop


def test_an_entry_knows_when_we_are_on_it():
    assert entry("job_board", "Job board", "/") == NavigationEntry("Job board", "/", True)
    assert entry("job_board", "Job board", "/clients/") == NavigationEntry("Job board", "/", False)
    assert entry("clients", "Clients", "/clients/4/") == NavigationEntry("Clients", "/clients/", True, False)


def test_a_page_that_does_not_exist_is_left_out(monkeypatch):
    monkeypatch.setattr("jobs.templatetags.navigation.PAGES", [("job_board", "Job board"), ("no_such_page", "None")])
    request = RequestFactory().get("/")
    context = RequestContext(request, {"request": request, "user": Person(role=Role.MAKER)})
    assert [one.words for one in pages(context)] == ["Job board"]


@pytest.mark.django_db
class TestHead:
    def test_somebody_signed_in_sees_the_pages(self, client):
        make_workshop(name="Fieldgate Joinery")
        client.force_login(make_maker(name="Robin Thorn"))
        page = client.get("/").content.decode()
        assert re.findall(r'aria-current="page">([^<]+)<', page) == ["Job board"]
        assert all(f">{words}</a>" in page for name, words in PAGES if name in ("clients", "commissions"))
        assert "Mail is written to var/outbox: no mail server is set." in page

    def test_a_stranger_sees_no_pages_and_no_sign_up(self, client):
        page = client.get("/account/login/").content.decode()
        assert "<nav" not in page
        assert "There is no sign-up" in page
        assert "Sign-up is closed" in client.get("/account/signup/").content.decode()

    def test_sign_in_with_a_password(self, client):
        make_workshop()
        make_maker(email="robin@example.org")
        response = client.post("/account/login/", {"login": "robin@example.org", "password": PASSWORD})
        assert (response.status_code, response["Location"]) == (302, "/")

    def test_a_wrong_password_keeps_the_address(self, client):
        make_maker(email="robin@example.org")
        page = client.post("/account/login/", {"login": "robin@example.org", "password": "no"}).content.decode()
        assert "You are not signed in" in page
        assert 'value="robin@example.org"' in page
