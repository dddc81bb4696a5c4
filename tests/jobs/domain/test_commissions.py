from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.commissions import (
    PastStep,
    close_commission,
    edit_commission,
    open_commission,
    put_on_hold,
    reopen_commission,
    take_off_hold,
)
from jobs.domain.templates import LINKS, STEPS, make_default_template
from jobs.models import Commission, DaybookLine, Step, StepKind, StepLink
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_client, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


def open_one(**fields):
    return open_commission(
        **{
            "client": make_client(),
            "nickname": "Mill Row",
            "what": "alcove pair",
            "maker": make_maker(),
            "template": make_default_template(),
            "opened_on": TODAY,
            "now": NOW,
            "actor": None,
        }
        | fields
    )


def test_open_commission_copies_the_template_with_its_links():
    commission = open_one()
    assert [step.kind for step in commission.steps.all()] == [step[0] for step in STEPS]
    assert StepLink.objects.count() == len(LINKS)
    assert commission.steps.get(kind=StepKind.LOAD).links_out.get().greatest_wait_days == 3
    line = DaybookLine.objects.get()
    assert (line.act, line.commission_id) == ("open_commission", commission.pk)


def test_commission_numbers_follow_one_another():
    first, second = open_one(), open_one()
    assert second.number == first.number + 1


def test_open_commission_under_way_takes_past_dates():
    began, ended = NOW - dt.timedelta(days=9), NOW - dt.timedelta(days=8)
    commission = open_one(past={StepKind.SURVEY: PastStep(began, ended, 3.5), StepKind.DRAWING: PastStep(ended)})
    survey, drawing = commission.steps.get(kind=StepKind.SURVEY), commission.steps.get(kind=StepKind.DRAWING)
    assert (survey.started_at, survey.finished_at, float(survey.actual_hours)) == (began, ended, 3.5)
    assert (drawing.started_at, drawing.finished_at) == (ended, None)


def test_open_commission_with_a_past_in_the_wrong_order_leaves_nothing():
    with pytest.raises(Refusal, match="before it began"):
        open_one(past={StepKind.SURVEY: PastStep(NOW - dt.timedelta(days=1), NOW - dt.timedelta(days=2))})
    assert (Commission.objects.count(), Step.objects.count(), DaybookLine.objects.count()) == (0, 0, 0)


@pytest.mark.parametrize(
    ("fields", "field"), [({"nickname": "  "}, "nickname"), ({"latitude_deg": 52.0}, "longitude_deg")]
)
def test_open_commission_names_the_field_at_fault(fields, field):
    with pytest.raises(Refusal) as refusal:
        open_one(**fields)
    assert refusal.value.field == field


def test_hold_and_off_hold():
    make_workshop()
    commission = make_commission(maker=make_maker())
    put_on_hold(commission=commission, reason="floor is going down", now=NOW, today=TODAY, actor=None)
    assert (commission.held_since, commission.hold_reason) == (TODAY, "floor is going down")
    with pytest.raises(Refusal, match="on hold already"):
        put_on_hold(commission=commission, reason="again", now=NOW, today=TODAY, actor=None)
    take_off_hold(commission=commission, now=NOW, actor=None)
    assert (commission.held_since, commission.hold_reason) == (None, "")
    with pytest.raises(Refusal, match="not on hold"):
        take_off_hold(commission=commission, now=NOW, actor=None)


def test_put_on_hold_wants_a_reason():
    commission = make_commission(maker=make_maker())
    with pytest.raises(Refusal, match="why it waits"):
        put_on_hold(commission=commission, reason=" ", now=NOW, today=TODAY, actor=None)


def test_close_and_reopen():
    commission = make_commission(maker=make_maker())
    close_commission(commission=commission, today=TODAY, now=NOW, actor=None)
    assert Commission.objects.get().closed_on == TODAY
    reopen_commission(commission=commission, now=NOW, actor=None)
    assert Commission.objects.get().closed_on is None


@pytest.mark.parametrize(
    "fields",
    [
        {"return_first_day": 42, "return_last_day": None},
        {"return_first_day": 60, "return_last_day": 42},
        {"return_first_day": 1, "return_last_day": 366},
    ],
)
def test_edit_commission_refuses_a_return_range_that_is_none(fields):
    commission = make_commission(maker=make_maker())
    with pytest.raises(Refusal) as refusal:
        edit_commission(commission=commission, now=NOW, actor=None, **fields)
    assert refusal.value.field == "return_last_day"


def test_the_daybook_cannot_be_changed_or_deleted():
    open_one()
    line = DaybookLine.objects.get()
    line.act = "something_else"
    for act in (line.save, line.delete, DaybookLine.objects.all().delete):
        with pytest.raises(TypeError, match="append-only"):
            act()
    with pytest.raises(TypeError, match="append-only"):
        DaybookLine.objects.update(act="x")
