from __future__ import annotations

import pytest
from django.test import Client as Browser

from jobs.models import GateOverride, StagePayment
from tests.factories import make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def step():
    make_workshop()
    commission = make_commission(maker=make_maker())
    StagePayment.objects.create(commission=commission, event="deposit", amount_pence=90_000, holds="ordering")
    return commission.steps.get(kind="materials")


@pytest.fixture
def browser(step):
    signed_in = Browser()
    signed_in.force_login(step.commission.maker, backend="allauth.account.auth_backends.AuthenticationBackend")
    return signed_in


def test_the_form_says_what_holds_and_asks_for_a_reason(browser, step):
    page = browser.get(f"/steps/{step.pk}/start/").content.decode()
    assert "“Deposit, with the order” has not cleared in full" in page
    assert "900" not in page  # the wall says it too
    assert 'name="override_reason"' in page


def test_without_a_reason_nothing_starts_and_with_one_it_does(browser, step):
    when = {"started_at": "2026-01-05T09:00"}
    answer = browser.post(f"/steps/{step.pk}/start/", when)
    assert answer.status_code == 422
    assert "To begin all the same, say why" in answer.content.decode()
    step.refresh_from_db()
    assert step.started_at is None
    answer = browser.post(f"/steps/{step.pk}/start/", when | {"override_reason": "paid in cash, banked tomorrow"})
    assert answer.status_code == 302
    assert GateOverride.objects.get().reason == "paid in cash, banked tomorrow"


def test_a_step_nothing_holds_is_not_asked_for_a_reason(browser, step):
    survey = step.commission.steps.get(kind="survey")
    assert "override_reason" not in browser.get(f"/steps/{survey.pk}/start/").content.decode()
