from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import StepKind, StepLink
from jobs.queries.plan import HalfDay, plan_of_all
from tests.factories import NOW, TODAY, make_commission, make_maker, make_visit, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind
AT_THE_SPRAYER = [kind for kind in up_to(K.WRAP) if kind not in (K.SPRAYER_BACK, K.INSPECT)]
DELIVERY = dt.datetime(2027, 4, 6, 7, 30, tzinfo=dt.UTC)  # Tuesday 6 April, 8:30 on the wall


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


def planned(plan, commission):
    return {step.kind: step for step in plan.commissions[commission.pk].steps}


@pytest.fixture
def doors_away(maker):
    """Doors left at the sprayer on Monday 8 March, all else done, carrying in on Tuesday 6 April."""
    commission = make_commission(maker=maker, done=AT_THE_SPRAYER, done_at=NOW - dt.timedelta(days=2))
    make_visit(commission, starts_at=DELIVERY)
    return commission


def test_slack_worked_out_by_hand(shop, doors_away):
    """Ten working days from Tuesday 9 are over on Monday 22: fetched on Tuesday 23, inspected that morning.

    Loaded on Monday 5 April in the afternoon, so wrapped that morning at the latest. Between lie the afternoon of
    Tuesday 23, two days to Thursday 25, no Good Friday and no Easter Monday, four days from Tuesday 30 to Friday 2:
    1 + 4 + 8 = 13 half-days.
    """
    plan = plan_of_all(shop, NOW)
    steps = planned(plan, doors_away)
    assert steps["sprayer_back"].free_from == HalfDay(dt.date(2027, 3, 23), 0)
    assert steps["inspect"].ends == HalfDay(dt.date(2027, 3, 23), 0)
    assert steps["wrap"].starts == HalfDay(dt.date(2027, 3, 23), 1)
    assert steps["wrap"].latest_start == HalfDay(dt.date(2027, 4, 5), 0)
    assert plan.commissions[doors_away.pk].slack_half_days == 13
    assert plan.commissions[doors_away.pk].later_track == "doors"


def test_slack_below_zero_where_the_date_cannot_be_kept(shop, doors_away):
    """Carrying in on Tuesday 23 at 8:30 wants wrapping on the morning of Monday 22, three half-days too early."""
    doors_away.visits.update(
        starts_at=dt.datetime(2027, 3, 23, 8, 30, tzinfo=dt.UTC), ends_at=dt.datetime(2027, 3, 23, 10, tzinfo=dt.UTC)
    )
    plan = plan_of_all(shop, NOW)
    assert plan.commissions[doors_away.pk].slack_half_days == -3
    assert planned(plan, doors_away)["deliver"].is_late


def test_no_slack_without_a_date_and_none_from_a_survey_alone(shop, maker):
    undated = make_commission(maker=maker)
    surveyed = make_commission(maker=maker)
    make_visit(surveyed, kind="survey", starts_at=NOW + dt.timedelta(days=7))
    plan = plan_of_all(shop, NOW)
    assert plan.commissions[undated.pk].slack_half_days is None
    assert plan.commissions[surveyed.pk].slack_half_days is None


def test_overdue_doors_are_counted_back_now_and_named_with_their_day(shop, maker):
    """Left on Monday 8 February: ten working days are over on Monday 22, so due to be fetched on Tuesday 23."""
    commission = make_commission(maker=maker, done=AT_THE_SPRAYER, done_at=dt.datetime(2027, 2, 8, 10, tzinfo=dt.UTC))
    back = planned(plan_of_all(shop, NOW), commission)["sprayer_back"]
    assert back.was_due_on == dt.date(2027, 2, 23)
    assert back.free_from == HalfDay(TODAY, 0)
    assert (back.is_running, back.starts) == (True, HalfDay(dt.date(2027, 2, 8), 0))


def test_recorded_steps_keep_their_recorded_days(shop, maker):
    commission = make_commission(maker=maker, done=[K.SURVEY], done_at=dt.datetime(2027, 3, 8, 14, tzinfo=dt.UTC))
    survey = planned(plan_of_all(shop, NOW), commission)["survey"]
    assert (survey.starts, survey.ends) == (HalfDay(dt.date(2027, 3, 7), 1), HalfDay(dt.date(2027, 3, 8), 1))
    assert survey.is_done


def test_a_held_commission_has_recorded_days_only(shop, maker):
    commission = make_commission(maker=maker, done=[K.SURVEY], held_since=TODAY)
    found = plan_of_all(shop, NOW).commissions[commission.pk]
    assert (found.is_held, [step.kind for step in found.steps]) == (True, ["survey"])


def test_a_circle_of_steps_is_refused_and_the_others_are_planned(shop, maker):
    round_and_round = make_commission(maker=maker)
    steps = {step.kind: step for step in round_and_round.steps.all()}
    StepLink.objects.create(before=steps["fit"], after=steps["survey"])
    other = make_commission(maker=maker)
    plan = plan_of_all(shop, NOW)
    assert "circle" in plan.commissions[round_and_round.pk].refused_because
    assert plan.commissions[round_and_round.pk].is_held is False
    assert len(plan.commissions[other.pk].steps) == 20


def test_every_step_follows_what_it_waits_for(shop, maker):
    """Brute force over all links: no planned start lies before the end of a step before it."""
    commissions = [make_commission(maker=maker, done=up_to(kind)) for kind in (K.SURVEY, K.DOORS, K.WRAP, K.FIT)]
    plan = plan_of_all(shop, NOW)
    for commission in commissions:
        steps = {step.step_id: step for step in plan.commissions[commission.pk].steps}
        for link in StepLink.objects.filter(before__commission=commission):
            before, after = steps[link.before_id], steps[link.after_id]
            if not after.is_done:
                assert (before.ends.day, before.ends.half) < (after.starts.day, after.starts.half)


def test_step_is_found_by_key(shop, maker):
    commission = make_commission(maker=maker)
    step = commission.steps.get(kind=K.WRAP)
    plan = plan_of_all(shop, NOW)
    assert plan.step(commission.pk, step.pk).kind == "wrap"
    assert plan.step(commission.pk, 0) is None
    assert plan.step(0, step.pk) is None
