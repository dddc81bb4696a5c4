from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from jobs.domain.steps import add_step, edit_step
from jobs.models import ClientAway, HelperDay, Step, StepKind
from jobs.refusal import Refusal
from tests.factories import NOW, make_commission, make_helper, make_maker, make_workshop

pytestmark = pytest.mark.django_db
K = StepKind


@pytest.fixture
def shop():
    return make_workshop(hands=2)


@pytest.fixture
def commission(shop):
    return make_commission(maker=make_maker())


def edit(commission, kind, **fields):
    edit_step(step=commission.steps.get(kind=kind), now=NOW, actor=None, **fields)


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"hands": 3}, "hands", "asks for 3 of pairs of hands, and there are never more than 2; ask for less"),
        ({"allowance_hours": 1999}, "allowance_hours", "give a number from 1 to 240, or split the step"),
    ],
)
def test_what_no_plan_could_place_is_refused_beside_its_field(commission, fields, field, sentence):
    with pytest.raises(Refusal, match=sentence) as refusal:
        edit(commission, K.CARCASSES, **fields)
    assert refusal.value.field == field
    assert commission.steps.get(kind=K.CARCASSES).hands == 1


def test_two_calendars_that_never_meet_are_both_named(commission):
    """Fitting of three days with a helper who is booked for one week only, when the client is away."""
    HelperDay.objects.create(person=make_helper(), day=dt.date(2099, 1, 1))
    with pytest.raises(Refusal, match="the helper’s days never gives"):
        edit(commission, K.FIT, needs_helper=True)
    HelperDay.objects.all().delete()
    helper = make_helper()
    for day in [*range(15, 20)]:
        HelperDay.objects.create(person=helper, day=dt.date(2027, 3, day))
    HelperDay.objects.create(person=helper, day=dt.date(2099, 1, 1))
    ClientAway.objects.create(client=commission.client, first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 19))
    with pytest.raises(Refusal, match="the client’s days and the helper’s days never leave that together"):
        edit(commission, K.FIT, needs_helper=True)


def test_what_can_be_planned_is_kept(commission):
    edit(commission, K.CARCASSES, hands=2, allowance_hours=60)
    assert commission.steps.get(kind=K.CARCASSES).hands == 2


def test_a_further_step_is_held_to_the_same(commission):
    step = Step(commission=commission, name="Lift the stone", kind=K.OTHER, hands=5, allowance_hours=4)
    with pytest.raises(Refusal, match="asks for 5"):
        add_step(step=step, after=[commission.steps.get(kind=K.FIT)], before=[], now=NOW, actor=None)
    assert not commission.steps.filter(name="Lift the stone").exists()


def test_another_step_that_is_wrong_does_not_hold_this_one_up(commission):
    commission.steps.filter(kind=K.FIT).update(hands=9)
    edit(commission, K.DOORS, allowance_hours=24)
    assert commission.steps.get(kind=K.DOORS).allowance_hours == 24


def test_the_form_says_it_beside_the_field(client, commission):
    step = commission.steps.get(kind=K.CARCASSES)
    typed = {
        "name": step.name, "kind": step.kind, "track": step.track, "allowance_hours": "28", "lead_days": "0",
        "hands": "7",
    }  # fmt: skip
    with time_machine.travel(NOW, tick=False):
        client.force_login(commission.maker)
        response = client.post(reverse("edit_step", args=[step.pk]), typed)
    assert response.status_code == 422
    assert "asks for 7 of pairs of hands" in str(response.context["form"].errors["hands"])
