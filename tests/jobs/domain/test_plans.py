from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace

import pytest

from jobs.domain import plans
from jobs.domain.plans import accept_plan, decline_plan, keep_plan, make_plan, offer_improvement, read_input
from jobs.models import Closure, DaybookLine, PlanState, PlanVersion, StepKind
from jobs.planning.check import check
from jobs.planning.network import Placed
from jobs.queries.plan import plan_of_all
from jobs.queries.plan_store import stored_plan
from jobs.refusal import Refusal
from tests.factories import NOW, make_commission, make_maker, make_visit, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind


@pytest.fixture
def shop():
    return make_workshop(hands=1, floor_places=2)


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def three(maker):
    """Three at once for one pair of hands, each with a date."""
    found = []
    for number, kind in enumerate([K.DRAWING, K.DOORS, K.DOORS]):
        one = make_commission(
            maker=maker,
            nickname=f"Mill Row {number}",
            done=up_to(kind),
            promised={K.HANDOVER: dt.date(2027, 5, 14 + 7 * number)},
        )
        found.append(one)
    return found


def current():
    return PlanVersion.objects.get(state=PlanState.CURRENT)


def test_first_plan_is_stored_and_read_back_slot_by_slot(shop, three):
    assert keep_plan(shop, NOW) == 1
    found = read_input(shop, NOW)
    version = current()
    assert (version.method, version.input_hash, version.moved) == ("first plan", found.digest, [])
    assert version.cost == sum(version.terms.values())
    plan = stored_plan(version, found.instance)
    assert check(found.instance, plan) == []
    assert len(version.places) == sum(one.steps.filter(finished_at=None).count() for one in three)


def test_same_input_makes_no_new_version(shop, three):
    keep_plan(shop, NOW)
    PlanVersion.objects.update(improvement_tried=True)
    assert keep_plan(shop, NOW) == 0
    assert keep_plan(shop, NOW + dt.timedelta(minutes=1)) == 0
    assert PlanVersion.objects.count() == 1


def test_time_passing_renews_the_version_where_nothing_moves(shop, maker):
    """Waiting for the doors until Tuesday 23: an hour after lunch the plan is the same, and so is its version."""
    away = [kind for kind in up_to(K.WRAP) if kind not in (K.SPRAYER_BACK, K.INSPECT)]
    make_commission(maker=maker, done=away)
    keep_plan(shop, NOW)
    before = current()
    assert keep_plan(shop, NOW + dt.timedelta(hours=3)) == 0
    after = current()
    assert (after.pk, after.input_hash != before.input_hash) == (before.pk, True)


def test_a_change_makes_a_new_version_that_says_what_moved(shop, three):
    keep_plan(shop, NOW)
    first = current()
    Closure.objects.create(first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 19))
    assert keep_plan(shop, NOW) == 1
    second = current()
    assert PlanVersion.objects.get(pk=first.pk).state == PlanState.PAST
    assert second.moved
    key, day, half, new_day, new_half, told = second.moved[0]
    assert first.places[str(key)][:2] == [day, half]
    assert second.places[str(key)][:2] == [new_day, new_half]
    assert told is False
    assert DaybookLine.objects.filter(act="make_plan").count() == 2


def test_pages_show_the_stored_plan(shop, three):
    keep_plan(shop, NOW)
    view, version = plan_of_all(shop, NOW), current()
    for commission in view.commissions.values():
        for step in commission.steps:
            if not step.is_done:
                first = version.places[str(step.step_id)]
                assert [step.starts.day.isoformat(), step.starts.half] == first[:2]


def test_pages_stay_near_the_stored_plan_until_the_worker_has_been(shop, three):
    keep_plan(shop, NOW)
    before = plan_of_all(shop, NOW)
    Closure.objects.create(first_day=dt.date(2027, 8, 2), last_day=dt.date(2027, 8, 6))
    after = plan_of_all(shop, NOW)
    starts = [
        {step.step_id: step.starts for one in view.commissions.values() for step in one.steps}
        for view in (before, after)
    ]
    assert starts[0] == starts[1]


def test_no_plan_that_cannot_be_carried_out_is_stored(shop, three, monkeypatch):
    def tampered(instance):
        """Two days' work at once for one pair of hands: every step on the first half-day."""
        plan = plans_first(instance)
        first = instance.first_slot
        places = {id: Placed(first, first + place.end - place.start) for id, place in plan.places.items()}
        return replace(plan, places=places)

    plans_first = plans.first_plan
    monkeypatch.setattr(plans, "first_plan", tampered)
    with pytest.raises(Refusal, match="cannot be carried out and was not stored"):
        make_plan(found=read_input(shop, NOW), now=NOW, actor=None)
    assert not PlanVersion.objects.exists()


def test_a_replan_that_cannot_be_carried_out_gives_way_to_a_first_plan(shop, three, monkeypatch):
    keep_plan(shop, NOW)
    Closure.objects.create(first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 19))
    monkeypatch.setattr(plans, "replan", lambda instance, before: before)  # as it was, in the closed week
    assert keep_plan(shop, NOW) == 1
    found = read_input(shop, NOW)
    assert current().method == "first plan"
    assert check(found.instance, stored_plan(current(), found.instance)) == []


def offered(shop):
    """A plan in force that is made worse by hand, and the better one found beside it."""
    found = read_input(shop, NOW)
    make_plan(found=found, now=NOW, actor=None)
    found = read_input(shop, NOW)
    return offer_improvement(found=found, now=NOW, actor=None, iterations=2)


@pytest.fixture
def lazy_first_plan(monkeypatch):
    """A valid first plan with everything two weeks later than it need be."""
    real = plans.first_plan

    def lazy(instance):
        later = replace(instance, first_slot=instance.first_slot + 40)
        return real(later)

    monkeypatch.setattr(plans, "first_plan", lazy)


def test_a_better_plan_is_offered_and_changes_nothing_by_itself(shop, three, lazy_first_plan, maker):
    version = offered(shop)
    assert version.state == PlanState.OFFERED
    assert version.cost < current().cost
    assert current().pk != version.pk
    assert version.moved
    accept_plan(version=version, now=NOW, actor=maker)
    assert current().pk == version.pk
    assert (current().decided_by, current().decided_at) == (maker, NOW)
    assert DaybookLine.objects.filter(act="accept_plan").count() == 1


def test_a_plan_turned_down_is_not_offered_again(shop, three, lazy_first_plan, maker):
    version = offered(shop)
    decline_plan(version=version, now=NOW, actor=maker)
    version.refresh_from_db()
    assert version.state == PlanState.DECLINED
    assert keep_plan(shop, NOW) == 0
    assert not PlanVersion.objects.filter(state=PlanState.OFFERED).exists()
    for act in (accept_plan, decline_plan):
        with pytest.raises(Refusal, match="not on offer"):
            act(version=version, now=NOW, actor=maker)
    assert current().pk != version.pk


def test_an_offer_lapses_when_the_input_changes(shop, three, lazy_first_plan):
    version = offered(shop)
    Closure.objects.create(first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 4, 19))
    keep_plan(shop, NOW + dt.timedelta(minutes=1))
    version.refresh_from_db()
    assert version.state == PlanState.LAPSED


def test_without_the_improver_the_first_plan_stands(shop, three, monkeypatch):
    monkeypatch.setitem(sys.modules, "ortools", None)
    monkeypatch.setattr(plans, "solver_present", lambda: False)
    assert keep_plan(shop, NOW) == 1
    assert keep_plan(shop, NOW) == 0


def test_a_bad_commission_is_set_aside_and_named(shop, three):
    three[0].steps.filter(kind=K.DOORS).update(hands=3)
    keep_plan(shop, NOW)
    ((key, sentence),) = current().refused
    assert key == three[0].pk
    assert "asks for 3 of pairs of hands, and there are never more than 1" in sentence


def test_broken_dates_come_with_what_would_help(shop, maker):
    """Carrying in the day after tomorrow with the doors still at the sprayer."""
    late = make_commission(maker=maker, done=[*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, *up_to(K.WRAP)[8:]])
    make_visit(late, starts_at=NOW + dt.timedelta(days=2))
    late.steps.filter(kind__in=[K.SPRAYER_BACK, K.INSPECT]).update(finished_at=None, started_at=None)
    keep_plan(shop, NOW)
    deliver = late.steps.get(kind=K.DELIVER)
    assert str(deliver.pk) in current().remedies


def test_forecast_says_that_history_is_missing(shop, three):
    keep_plan(shop, NOW)
    stored = current().forecast
    handover = three[0].steps.get(kind=K.HANDOVER)
    p50, p80, chance = stored["steps"][str(handover.pk)]
    assert p50 <= p80
    assert 0 <= chance <= 1
    assert stored["words"].startswith(("not enough history", "from "))
