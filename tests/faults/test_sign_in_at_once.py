"""Codes, invitations and wall screens at the same moment: one effect each, and no showing without its line."""

from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.codes import ShownCode, delete_code, keep_code, reveal_code
from jobs.domain.sign_in import (
    accept_invitation,
    add_wall_screen,
    invite_person,
    new_invitation_token,
    pair_wall_screen,
)
from jobs.models import AccessCode, DaybookLine, Device, RevealLog
from jobs.nightly import run_if_due
from jobs.refusal import Refusal
from tests.factories import NOW, make_commission, make_helper, make_maker, make_workshop
from tests.threads import THREADS
from tests.threads import all_at_once as at_once

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.service, pytest.mark.usefixtures("file_database")]
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture
def shop(file_database):
    return make_workshop()


def test_one_invitation_sets_one_password(shop):
    invitation = invite_person(
        person=make_helper(email="sam@example.org"), workshop=shop, now=NOW, actor=make_maker()
    )
    token = new_invitation_token(invitation.pk, now=NOW)
    got = at_once(lambda: accept_invitation(token=token, password="four-dry-oak-boards", now=NOW))
    assert sum(not isinstance(one, Refusal) for one in got) == 1 and len(got) == THREADS
    assert DaybookLine.objects.filter(act="accept_invitation").count() == 1


def test_one_pairing_code_makes_one_screen(shop):
    _, code = add_wall_screen(name="Bench", now=NOW, actor=make_maker())
    got = at_once(lambda: pair_wall_screen(code=code, now=NOW))
    assert sum(not isinstance(one, Refusal) for one in got) == 1 and len(got) == THREADS
    assert Device.objects.get().is_active and DaybookLine.objects.filter(act="pair_wall_screen").count() == 1


def test_people_looking_at_once_are_each_on_the_log(shop):
    maker = make_maker()
    code = keep_code(
        commission=make_commission(maker=maker), opens="gate", code="4821", workshop=shop, now=NOW, actor=maker
    )
    got = at_once(lambda: reveal_code(code=code, person=maker, second_factor_at=NOW - MINUTE, workshop=shop, now=NOW))
    assert [one.code for one in got if isinstance(one, ShownCode)] == ["4821"] * THREADS
    assert RevealLog.objects.count() == DaybookLine.objects.filter(act="reveal_code").count() == THREADS


def test_looking_while_it_is_deleted_shows_and_logs_or_neither(shop):
    maker = make_maker()
    code = keep_code(
        commission=make_commission(maker=maker), opens="gate", code="4821", workshop=shop, now=NOW, actor=maker
    )
    turns = iter(range(THREADS))

    def act():
        if next(turns) == 0:
            return delete_code(code=code, now=NOW, actor=maker)
        return reveal_code(code=code, person=maker, second_factor_at=NOW - MINUTE, workshop=shop, now=NOW)

    got = at_once(act)
    shown = [one for one in got if isinstance(one, ShownCode)]
    assert RevealLog.objects.count() == len(shown) and not AccessCode.objects.exists()
    assert len(got) == THREADS and DaybookLine.objects.filter(act="delete_code").count() == 1


def test_the_nightly_round_is_one_process_s(shop):
    got = at_once(lambda: run_if_due(shop, NOW))
    assert sum(bool(names) for names in got) == 1
    later = at_once(lambda: run_if_due(shop, NOW + dt.timedelta(days=1)))
    assert sum(bool(names) for names in later) == 1
