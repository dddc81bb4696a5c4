from __future__ import annotations

import datetime as dt
import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from jobs.domain.sign_in import add_wall_screen, pair_wall_screen
from jobs.models import Device, Role, Step, StepKind
from jobs.roles import URLS, May
from tests.addresses import addresses
from tests.factories import make_access, make_client, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


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


def wall(maker, now):
    """A browser paired as a wall screen, as a person pairs it."""
    _, code = add_wall_screen(name="Bench", now=now, actor=maker)
    browser = Browser()
    assert browser.post(reverse("pair_wall_screen"), {"code": code}).status_code == 302
    return browser


def test_pairing_as_a_person_does_it(signed_in):
    page = signed_in.post(reverse("add_wall_screen"), {"name": "Over the bench"}).content.decode()
    code = re.search(r"[A-Z2-9]{4}-[A-Z2-9]{4}", page).group()
    screen = Browser()
    assert screen.get(reverse("job_board")).status_code == 302
    answer = screen.post(reverse("pair_wall_screen"), {"code": code.lower()})
    cookie = answer.cookies["wall"]
    assert cookie["httponly"] and cookie["samesite"] == "Lax" and cookie["max-age"] == 400 * 24 * 3600
    board = screen.get(reverse("job_board"))
    assert board.status_code == 200 and "Wall screen: Over the bench" in board.content.decode()
    listed = signed_in.get(reverse("workshop")).content.decode()
    assert "Over the bench" in listed and code not in listed
    token = cookie.value
    assert token not in str(list(Device.objects.values()))


def test_the_wall_screen_opens_nothing_but_board_and_steps(maker, now):
    screen = wall(maker, now)
    opens = {May.BOARD, May.TICK, May.ANYONE}
    for name, address in addresses().items():
        if URLS[name] in opens:
            continue
        for method in ("get", "post"):
            assert getattr(screen, method)(address).status_code == 403, (method, name)


def test_what_the_wall_screen_shows_holds_no_contact(maker, workshop, now):
    client = make_client(name="Priscilla Quennell", email="quennell@example.org", phone="+441632960123")
    commission = make_commission(maker=maker, client=client, done=[StepKind.SURVEY])
    make_access(commission, opener_name="Wilfred Marchbanks", opener_phone="+441632960456")
    screen = wall(maker, now)
    steps = commission.steps.all()
    seen = addresses(number=commission.number, pk=steps[1].pk)
    said = ""
    for name, ability in URLS.items():
        if ability in (May.BOARD, May.TICK) and name in seen:
            answer = screen.get(seen[name])
            said += answer.content.decode() if answer.status_code == 200 else ""
    assert "Tannery" in said
    for secret in ("Quennell", "quennell@", "960123", "01632", "Marchbanks", "Tannery Lane", "£", maker.email):
        assert secret not in said, secret


def test_the_wall_screen_ticks_and_takes_back(maker, now):
    commission = make_commission(maker=maker)
    step = commission.steps.get(kind=StepKind.SURVEY)
    screen = wall(maker, now)
    page = reverse("tick_steps", args=[commission.number])
    assert reverse("finish_step", args=[step.pk]) in screen.get(page).content.decode()
    local = (now - dt.timedelta(hours=1)).strftime("%Y-%m-%dT%H:%M")
    answer = screen.post(reverse("finish_step", args=[step.pk]), {"finished_at": local, "actual_hours": ""})
    assert answer.status_code == 302 and answer["Location"] == page
    assert Step.objects.get(pk=step.pk).finished_at is not None
    assert screen.post(reverse("reopen_step", args=[step.pk]))["Location"] == page
    assert Step.objects.get(pk=step.pk).finished_at is None


def test_a_revoked_screen_is_refused_everywhere_at_once(maker, signed_in, now):
    screen = wall(maker, now)
    assert screen.get(reverse("job_board")).status_code == 200
    address = reverse("revoke_wall_screen", args=[Device.objects.get().pk])
    assert signed_in.get(address).status_code == 404
    assert signed_in.post(address).status_code == 302
    for name, address in addresses().items():
        if URLS[name] == May.ANYONE:
            continue
        for method in ("get", "post"):
            answer = getattr(screen, method)(address)
            assert answer.status_code == 302 and "/account/login/" in answer["Location"], (method, name)


@pytest.mark.parametrize("cookie", ["", "x", "é", "0" * 43, "a" * 5000])
def test_a_made_up_cookie_is_nobody(maker, now, cookie):
    wall(maker, now)
    screen = Browser()
    screen.cookies["wall"] = cookie
    assert screen.get(reverse("job_board")).status_code == 302


def test_the_screen_needs_the_form_s_own_token_as_everybody(maker, now):
    _, code = add_wall_screen(name="Bench", now=now, actor=maker)
    _, token = pair_wall_screen(code=code, now=now)
    step = make_commission(maker=maker).steps.first()
    screen = Browser(enforce_csrf_checks=True)
    screen.cookies["wall"] = token
    assert screen.post(reverse("reopen_step", args=[step.pk])).status_code == 403


def test_guessing_pairing_codes_runs_into_the_limit_even_from_many_addresses(maker, now):
    add_wall_screen(name="Bench", now=now, actor=maker)
    address = reverse("pair_wall_screen")
    one = [Browser().post(address, {"code": "AAAA-AAAA"}).status_code for _ in range(11)]
    assert one == [422] * 10 + [429]
    many = [
        Browser(REMOTE_ADDR=f"198.51.100.{number}").post(address, {"code": "AAAA-AAAA"}).status_code
        for number in range(60)
    ]
    assert many.count(429) >= 10 and many[-1] == 429


def test_somebody_signed_in_at_the_wall_screen_is_themselves(maker, now):
    screen = wall(maker, now)
    screen.force_login(maker)
    assert screen.get(reverse("workshop")).status_code == 200


def test_adding_a_screen_without_a_name_is_refused(signed_in):
    answer = signed_in.post(reverse("add_wall_screen"), {"name": " "})
    assert answer.status_code == 422 and "give it a name" in answer.content.decode()
    assert not Device.objects.exists()


def test_a_helper_sees_the_board_and_may_not_open_a_commission(maker, workshop):
    commission = make_commission(maker=maker)
    browser = Browser()
    browser.force_login(make_maker(role=Role.HELPER))
    page = browser.get(reverse("job_board")).content.decode()
    assert reverse("tick_steps", args=[commission.number]) in page
    assert f'"{commission.get_absolute_url()}"' not in page
    refused = browser.get(commission.get_absolute_url())
    assert refused.status_code == 403 and "Not for this sign-in" in refused.content.decode()
