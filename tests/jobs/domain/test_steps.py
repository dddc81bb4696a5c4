from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from jobs.domain.commissions import put_on_hold
from jobs.domain.steps import add_step, edit_step, finish_step, remove_step, reopen_step, start_step
from jobs.models import DaybookLine, Step, StepKind, StepLink
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db
EARLIER = NOW - dt.timedelta(hours=3)


@pytest.fixture
def step():
    make_workshop()
    return make_commission(maker=make_maker()).steps.get(kind=StepKind.SURVEY)


def stored(step):
    return Step.objects.get(pk=step.pk)


def test_start_and_finish_step_write_one_daybook_line_each(step):
    start_step(step=step, at=EARLIER, now=NOW, actor=None)
    finish_step(step=step, at=NOW, now=NOW, actor=None, actual_hours=Decimal("2.75"))
    assert (stored(step).started_at, stored(step).finished_at) == (EARLIER, NOW)
    assert stored(step).actual_hours == Decimal("2.75")
    assert list(DaybookLine.objects.values_list("act", flat=True)) == ["start_step", "finish_step"]


def test_finish_step_that_was_never_started_begins_when_it_ends(step):
    finish_step(step=step, at=EARLIER, now=NOW, actor=None)
    assert stored(step).started_at == stored(step).finished_at == EARLIER


def test_finish_step_before_it_began_is_refused_and_changes_nothing(step):
    start_step(step=step, at=EARLIER, now=NOW, actor=None)
    with pytest.raises(Refusal, match="before it began") as refusal:
        finish_step(step=step, at=EARLIER - dt.timedelta(minutes=1), now=NOW, actor=None)
    assert refusal.value.field == "finished_at"
    assert stored(step).finished_at is None


@pytest.mark.parametrize(("act", "field"), [(start_step, "started_at"), (finish_step, "finished_at")])
def test_no_step_happens_in_the_future(step, act, field):
    if act is finish_step:
        start_step(step=step, at=EARLIER, now=NOW, actor=None)
    with pytest.raises(Refusal, match="future") as refusal:
        act(step=step, at=NOW + dt.timedelta(minutes=1), now=NOW, actor=None)
    assert refusal.value.field == field


def test_starting_or_finishing_twice_is_refused(step):
    start_step(step=step, at=EARLIER, now=NOW, actor=None)
    with pytest.raises(Refusal, match="already"):
        start_step(step=stored(step), at=EARLIER, now=NOW, actor=None)
    finish_step(step=step, at=NOW, now=NOW, actor=None)
    with pytest.raises(Refusal, match="already"):
        finish_step(step=stored(step), at=NOW, now=NOW, actor=None)


def test_a_step_of_a_held_commission_does_not_start(step):
    put_on_hold(commission=step.commission, reason="plaster is wet", now=NOW, today=TODAY, actor=None)
    with pytest.raises(Refusal, match="on hold"):
        start_step(step=step, at=EARLIER, now=NOW, actor=None)


def test_reopen_step_goes_back_one_act_at_a_time(step):
    start_step(step=step, at=EARLIER, now=NOW, actor=None)
    finish_step(step=step, at=NOW, now=NOW, actor=None)
    reopen_step(step=step, now=NOW, actor=None)
    assert (stored(step).started_at, stored(step).finished_at) == (EARLIER, None)
    reopen_step(step=step, now=NOW, actor=None)
    assert stored(step).started_at is None
    with pytest.raises(Refusal, match="nothing to take back"):
        reopen_step(step=step, now=NOW, actor=None)


def test_reopen_step_that_was_only_finished_takes_both_back(step):
    finish_step(step=step, at=EARLIER, now=NOW, actor=None)
    reopen_step(step=step, now=NOW, actor=None)
    assert (stored(step).started_at, stored(step).finished_at) == (None, None)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"allowance_hours": Decimal("-1")}, "allowance_hours"),
        ({"allowance_hours": Decimal("2001")}, "allowance_hours"),
        ({"lead_days": 201}, "lead_days"),
        ({"earliest_on": TODAY, "latest_on": TODAY - dt.timedelta(days=1)}, "latest_on"),
    ],
)
def test_edit_step_refuses_the_absurd(step, fields, field):
    with pytest.raises(Refusal) as refusal:
        edit_step(step=step, now=NOW, actor=None, **fields)
    assert refusal.value.field == field


def test_add_step_between_two_others(step):
    commission = step.commission
    drawing = commission.steps.get(kind=StepKind.DRAWING)
    added = add_step(
        step=Step(commission=commission, name="Ask the planner", position=1),
        after=[step],
        before=[drawing],
        now=NOW,
        actor=None,
    )
    assert set(StepLink.objects.filter(before=added).values_list("after_id", flat=True)) == {drawing.pk}
    assert set(StepLink.objects.filter(after=added).values_list("before_id", flat=True)) == {step.pk}


def test_add_step_that_closes_a_circle_names_it_step_by_step(step):
    commission = step.commission
    approval = commission.steps.get(kind=StepKind.APPROVAL)
    before = Step.objects.count()
    with pytest.raises(Refusal, match="Survey → Drawing → Drawing approved") as refusal:
        add_step(
            step=Step(commission=commission, name="Round again"), after=[approval], before=[step], now=NOW, actor=None
        )
    assert refusal.value.field == "after"
    assert Step.objects.count() == before


def test_remove_step_joins_its_neighbours(step):
    commission = step.commission
    drawing = commission.steps.get(kind=StepKind.DRAWING)
    after = set(drawing.links_out.values_list("after_id", flat=True))
    remove_step(step=drawing, now=NOW, actor=None)
    assert set(step.links_out.values_list("after_id", flat=True)) == after


def test_remove_step_that_has_been_started_is_refused(step):
    start_step(step=step, at=EARLIER, now=NOW, actor=None)
    with pytest.raises(Refusal, match="started"):
        remove_step(step=step, now=NOW, actor=None)
