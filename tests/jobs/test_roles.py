"""Every address against every kind of visitor. The table is `jobs.roles.URLS`; nothing outside it opens."""

from __future__ import annotations

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client as Browser
from django.urls import get_resolver, reverse

from jobs.models import Role
from jobs.roles import URLS, WHO, May, ability_of, may
from tests.addresses import addresses, patterns
from tests.factories import make_maker, make_workshop


def test_every_address_has_a_name_and_a_line_in_the_table():
    nameless = [str(one.pattern) for one in patterns(get_resolver().url_patterns) if not one.name]
    assert not nameless, f"give these addresses a name: {nameless}"
    missing = sorted(set(addresses()) - set(URLS))
    assert not missing, f'add a line for each of these to URLS in jobs/roles.py, as in "{missing[0]}": May.DESK'


def test_an_unlisted_address_is_refused_with_the_line_to_add():
    with pytest.raises(ImproperlyConfigured, match=r"not listed in jobs/roles.py.*May\.DESK"):
        ability_of("an_address_of_tomorrow")


def test_the_view_and_the_table_agree_on_who_needs_no_sign_in():
    for one in patterns(get_resolver().url_patterns):
        open_view = not getattr(one.callback, "login_required", True)
        if URLS[str(one.name)] == May.ANYONE:
            assert open_view, f"{one.name}: decorate the view with @login_not_required"


@pytest.fixture
def browsers(db) -> dict[str, Browser]:
    make_workshop()
    made = {}
    for role in Role:
        made[role.value] = Browser()
        made[role.value].force_login(make_maker(role=role))
    return made


@pytest.mark.django_db
def test_signed_out_every_closed_address_asks_to_sign_in():
    make_workshop()
    for name, address in addresses().items():
        if URLS[name] == May.ANYONE:
            continue
        for method in ("get", "post", "head"):
            answer = getattr(Browser(), method)(address)
            assert answer.status_code == 302 and "/account/login/" in answer["Location"], (method, name)


def test_the_wrong_role_is_refused_at_every_address_before_anything_is_looked_up(browsers):
    for name, address in addresses().items():
        if URLS[name] == May.ANYONE:
            continue
        for role, browser in browsers.items():
            if role in WHO[URLS[name]] or URLS[name] == May.CODES:
                continue
            for method in ("get", "post", "head"):
                assert getattr(browser, method)(address).status_code == 403, (method, name, role)


def test_a_person_who_has_left_is_signed_out(db):
    make_workshop()
    person = make_maker()
    browser = Browser()
    browser.force_login(person)
    assert browser.get(reverse("job_board")).status_code == 200
    person.is_active = False
    person.save(update_fields=["is_active"])
    assert browser.get(reverse("job_board")).status_code == 302
    assert not may(person, May.BOARD)


def test_the_head_names_only_the_pages_a_helper_may_open(browsers):
    page = browsers["helper"].get(reverse("job_board")).content.decode()
    assert reverse("clients") not in page and reverse("workshop") not in page
    page = browsers["maker"].get(reverse("job_board")).content.decode()
    assert reverse("clients") in page and reverse("workshop") not in page
    assert reverse("workshop") in browsers["maker"].get(reverse("more")).content.decode()
