"""Days of a variation go into a step once the client says yes, and the plan knows them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.domain.contracts import answer_variation, ask_variation
from jobs.models import StepKind, Variation
from jobs.queries.planning_input import planning_input, step_id
from jobs.refusal import Refusal
from tests.factories import NOW, make_commission, make_maker, make_workshop
from tests.jobs.views.sheets_cast import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def commission(shop):
    return make_commission(maker=make_maker())


def put(commission, days):
    return ask_variation(
        commission=commission, words="Two more drawers", price_pence=24_000, days=days, now=NOW, actor=None
    )


def say_yes(variation, step, *, is_agreed=True):
    answer_variation(variation=variation, is_agreed=is_agreed, name="P", how="", step=step, now=NOW, actor=None)


def half_days(shop, step):
    found = {one.id: one for one in planning_input(shop, NOW).steps}
    return found[step_id(step.pk)].duration_half_days


def test_three_days_more_lengthen_the_step_by_six_half_days_in_the_plan(shop, commission):
    step = commission.steps.get(kind=StepKind.CARCASSES)
    before, hours = half_days(shop, step), step.allowance_hours
    say_yes(put(commission, 3), step)
    step.refresh_from_db()
    # The workshop of the tests works 8 to 17 with an hour's break: 8 hours a day.
    assert step.allowance_hours == hours + 24 * max(1, step.hands)
    assert half_days(shop, step) == before + 6
    assert Variation.objects.get().step == step


def test_a_no_moves_nothing(commission):
    step = commission.steps.get(kind=StepKind.CARCASSES)
    say_yes(put(commission, 3), step, is_agreed=False)
    assert Variation.objects.get().step is None
    assert commission.steps.get(pk=step.pk).allowance_hours == step.allowance_hours


def test_a_lead_time_grows_in_working_days(commission):
    step = commission.steps.get(kind=StepKind.BOUGHT_IN)
    before = step.lead_days
    say_yes(put(commission, 4), step)
    assert commission.steps.get(pk=step.pk).lead_days == before + 4


def test_days_off_that_the_step_does_not_have_and_finished_steps_are_refused_whole(commission):
    step = commission.steps.get(kind=StepKind.CARCASSES)
    variation = put(commission, -200)
    with pytest.raises(Refusal, match="hours, too few for that"):
        say_yes(variation, step)
    step.finished_at = NOW
    step.save()
    with pytest.raises(Refusal, match="is finished; choose a step"):
        say_yes(variation, step)
    assert Variation.objects.get().is_agreed is None


def test_the_form_offers_the_carcasses_and_the_page_names_days_in_no_step(shop, commission):
    browser = signed_in(commission)
    step = commission.steps.get(kind=StepKind.CARCASSES)
    loose, kept = put(commission, 2), put(commission, 1)
    page = browser.get(reverse("answer_variation", args=[kept.pk])).content.decode()
    assert f'<option value="{step.pk}" selected' in page
    answer = {"is_agreed": "yes", "name": "P. Quennell", "how": ""}
    browser.post(reverse("answer_variation", args=[loose.pk]), answer | {"step": ""})
    browser.post(reverse("answer_variation", args=[kept.pk]), answer | {"step": str(step.pk)})
    page = browser.get(reverse("contract", args=[commission.number])).content.decode()
    assert "2 agreed working days went into no step" in page
    assert f"in {step.name}" in page
    assert commission.steps.get(pk=step.pk).allowance_hours == step.allowance_hours + Decimal(8)
