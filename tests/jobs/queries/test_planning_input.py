from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import (
    Absence,
    ClientAway,
    Closure,
    HelperDay,
    Skill,
    Step,
    StepKind,
    StepLink,
    Subcontractor,
    SubcontractorClosure,
    VanDay,
)
from jobs.planning import network
from jobs.planning.first_plan import first_plan
from jobs.planning.validate import validate
from jobs.queries.planning_input import half_day_hours, planning_input
from tests.factories import NOW, TODAY, make_commission, make_maker, make_visit, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


def steps_by_kind(instance):
    return {step.kind: step for step in instance.steps}


def calendar(instance, start):
    return next(one for one in instance.calendars if one.id.startswith(start))


def is_open(instance, start, day):
    return calendar(instance, start).is_open(instance.axis.slot_on_or_after(day))


@pytest.mark.parametrize("count", [1, 3, 30])
def test_six_queries_whatever_the_number_of_commissions(shop, maker, django_assert_num_queries, count):
    for _ in range(count):
        make_visit(make_commission(maker=maker))
    with django_assert_num_queries(6):
        instance = planning_input(shop, NOW)
    assert len(instance.commissions) == count


def test_the_default_network_can_be_planned(shop, maker):
    make_commission(maker=maker)
    instance, refused = validate(planning_input(shop, NOW))
    assert refused == ()
    assert len(instance.steps) == 20


def test_axis_leaves_out_bank_holidays_closures_and_days_not_worked(shop, maker):
    """Good Friday and Easter Monday 2027: 26 and 29 March (gov.uk/bank-holidays)."""
    make_commission(maker=maker)
    Closure.objects.create(first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 16))
    days = set(planning_input(shop, NOW).axis.days)
    shut = {dt.date(2027, 3, day) for day in (13, 14, 15, 16, 26, 29)}
    assert days & shut == set()
    assert {dt.date(2027, 3, day) for day in (10, 17, 25, 30)} <= days


def test_allowance_becomes_half_days_by_hands_and_hours_worked(shop, maker):
    """8:00 to 17:00 less an hour is 4 hours a half-day; 28 hours are 7 half-days, 4 for two people."""
    assert half_day_hours(shop) == 4.0
    commission = make_commission(maker=maker)
    assert steps_by_kind(planning_input(shop, NOW))["carcasses"].duration_half_days == 7
    commission.steps.filter(kind=K.CARCASSES).update(hands=2)
    assert steps_by_kind(planning_input(shop, NOW))["carcasses"].duration_half_days == 4


def test_lead_time_is_not_our_work(shop, maker):
    make_commission(maker=maker)
    back = steps_by_kind(planning_input(shop, NOW))["sprayer_back"]
    assert (back.lead_days, back.duration_half_days, dict(back.demands)) == (10, 0, {})


def test_now_is_the_half_day_it_is(shop, maker):
    make_commission(maker=maker)
    for hour, day, half in [(10, TODAY, 0), (14, TODAY, 1), (17, TODAY + dt.timedelta(days=1), 0)]:
        instance = planning_input(shop, NOW.replace(hour=hour))
        assert instance.first_slot == instance.axis.slot_on_or_after(day, half)


def test_a_coming_visit_fixes_its_step_and_a_past_one_does_not(shop, maker):
    commission = make_commission(maker=maker)
    make_visit(commission, starts_at=dt.datetime(2027, 4, 6, 13, 30, tzinfo=dt.UTC))  # 14:30 in British summer time
    make_visit(commission, kind="survey", starts_at=NOW - dt.timedelta(days=1))
    instance = planning_input(shop, NOW)
    steps = steps_by_kind(instance)
    assert steps["deliver"].fixed_slot == instance.axis.slot_on_or_after(dt.date(2027, 4, 6), 1)
    assert steps["deliver"].told_client
    assert steps["survey"].fixed_slot is None


def test_dates_of_a_step(shop, maker):
    make_commission(maker=maker, promised={K.HANDOVER: dt.date(2027, 4, 8)})
    Step.objects.filter(kind=K.DOORS).update(earliest_on=dt.date(2027, 3, 13), latest_on=dt.date(2027, 3, 19))
    instance = planning_input(shop, NOW)
    steps, slot = steps_by_kind(instance), instance.axis.slot_on_or_after
    assert steps["handover"].promise_slot == slot(dt.date(2027, 4, 9))  # over by the beginning of the day after
    assert steps["doors"].earliest_slot == slot(dt.date(2027, 3, 15))  # a Saturday: from the Monday
    assert steps["doors"].latest_slot == slot(dt.date(2027, 3, 19), 1)


def test_history_ends_no_later_than_now(shop, maker):
    make_commission(maker=maker, done=[K.SURVEY], running=[K.DRAWING], done_at=NOW - dt.timedelta(minutes=5))
    instance = planning_input(shop, NOW)
    steps = steps_by_kind(instance)
    assert steps["survey"].finished_slot == instance.first_slot
    assert (steps["drawing"].started_slot, steps["drawing"].finished_slot) == (instance.first_slot, None)


def test_doors_taken_to_the_sprayer_are_there_without_another_tick(shop, maker):
    done_at = NOW - dt.timedelta(days=2)
    make_commission(maker=maker, done=[*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT], done_at=done_at)
    instance = planning_input(shop, NOW)
    steps = steps_by_kind(instance)
    assert steps["sprayer_back"].started_slot == instance.axis.slot_on_or_after(done_at.date())
    assert steps["materials"].started_slot is None  # an order has to be placed


def test_waits_are_half_days_but_the_return_visit_counts_calendar_days(shop, maker):
    commission = make_commission(maker=maker, return_first_day=40, return_last_day=50)
    StepLink.objects.filter(before__kind=K.FINISH).update(least_wait_days=1)
    ids = {step.kind: step.id for step in planning_input(shop, NOW).steps}
    links = {(link.before, link.after): link for link in planning_input(shop, NOW).links}
    stack = links[ids["finish"], ids["dry_fit"]]
    assert (stack.least_wait, stack.unit) == (2, network.HALF_DAYS)
    back = links[ids["handover"], ids["return_visit"]]
    assert (back.least_wait, back.greatest_wait, back.unit) == (40, 50, network.DAYS)
    commission.return_first_day = commission.return_last_day = None
    commission.save()
    back = {(link.before, link.after): link for link in planning_input(shop, NOW).links}[back.before, back.after]
    assert (back.least_wait, back.greatest_wait) == (42, 56)


def test_absences_close_the_days_of_their_owner_only(shop, maker):
    day = dt.date(2027, 3, 17)
    other = make_maker(email="other@example.org")
    commission = make_commission(maker=maker)
    make_commission(maker=other)
    Absence.objects.create(person=maker, first_day=day, last_day=day)
    ClientAway.objects.create(client=commission.client, first_day=day, last_day=day)
    instance = planning_input(shop, NOW)
    assert not is_open(instance, f"person:{maker.pk}", day)
    assert is_open(instance, f"person:{other.pk}", day)
    assert not is_open(instance, f"client:{commission.client_id}", day)


def test_helper_days_bind_only_as_far_as_they_are_entered(shop, maker):
    make_commission(maker=maker)
    assert is_open(planning_input(shop, NOW), "helper", dt.date(2027, 3, 11))
    HelperDay.objects.create(day=dt.date(2027, 3, 18), person=maker)
    instance = planning_input(shop, NOW)
    days = (dt.date(2027, 3, 17), dt.date(2027, 3, 18), dt.date(2027, 3, 19))
    assert [is_open(instance, "helper", day) for day in days] == [False, True, True]
    hands = next(one for one in instance.resources if one.id == "hands")
    assert hands.capacity[instance.axis.slot_on_or_after(days[1])] == 2


@pytest.mark.parametrize(("has_van", "expected"), [(True, [False, True]), (False, [False, False])])
def test_van_days(maker, has_van, expected):
    """An own van is there unless it is away; a hired one only on its days, as far as they are entered."""
    shop = make_workshop(has_van=has_van)
    make_commission(maker=maker)
    VanDay.objects.create(day=dt.date(2027, 3, 17), available=False)
    VanDay.objects.create(day=dt.date(2027, 3, 19), available=True)
    instance = planning_input(shop, NOW)
    assert [is_open(instance, "van", dt.date(2027, 3, day)) for day in (17, 18)] == expected
    assert is_open(instance, "van", dt.date(2027, 3, 19))


def test_held_and_closed_commissions_are_left_out(shop, maker):
    make_commission(maker=maker, held_since=TODAY)
    make_commission(maker=maker, closed_on=TODAY)
    kept = make_commission(maker=maker)
    assert [one.id for one in planning_input(shop, NOW).commissions] == [f"commission:{kept.pk}"]


def test_a_workshop_that_never_works_is_told_so(maker):
    shop = make_workshop(weekdays=[])
    make_commission(maker=maker)
    with pytest.raises(ValueError, match="at least one weekday"):
        planning_input(shop, NOW)


def test_the_sprayer_has_working_days_and_closures_of_their_own(shop, maker):
    """Left on Wednesday 10 March, three working days of a sprayer who works Tuesday to Thursday and is shut on the
    16th and 17th: Thursday 11, Thursday 18, Tuesday 23; so it can be fetched on Wednesday 24."""
    sprayer = Subcontractor.objects.create(name="Alderbank Spraying", weekdays=[1, 2, 3])
    SubcontractorClosure.objects.create(
        subcontractor=sprayer, first_day=dt.date(2027, 3, 16), last_day=dt.date(2027, 3, 17)
    )
    commission = make_commission(maker=maker)
    commission.steps.filter(kind=K.SPRAYER_BACK).update(subcontractor=sprayer, lead_days=3)
    instance = planning_input(shop, NOW)
    back = steps_by_kind(instance)["sprayer_back"]
    (other,) = (one for one in instance.subcontractors if one.id == back.subcontractor_id)
    ready = other.ready_slot(instance.axis.slot_on_or_after(dt.date(2027, 3, 10)), 3)
    assert (other.words, instance.axis.date_of(ready)) == ("Alderbank Spraying", dt.date(2027, 3, 24))
    assert steps_by_kind(instance)["materials"].subcontractor_id == "outside"


def test_doors_are_taken_and_fetched_on_days_on_which_the_sprayer_works(shop, maker):
    sprayer = Subcontractor.objects.create(name="Alderbank Spraying", weekdays=[1, 2, 3])
    commission = make_commission(maker=maker)
    commission.steps.filter(kind=K.SPRAYER_BACK).update(subcontractor=sprayer)
    instance = planning_input(shop, NOW)
    steps = steps_by_kind(instance)
    needed = f"subcontractor:{sprayer.pk}"
    assert [kind for kind, step in steps.items() if needed in step.needs] == ["sprayer_out", "inspect"]
    assert not is_open(instance, needed, dt.date(2027, 3, 12))  # a Friday
    assert is_open(instance, needed, dt.date(2027, 3, 16))


def test_a_skill_is_a_pool_of_its_own_only_where_somebody_is_kept_from_it(shop, maker):
    make_commission(maker=maker)
    assert all(not one.id.startswith("skill:") for one in planning_input(shop, NOW).resources)
    make_maker(name="Ada Rook", email="rook@example.org", skills=[Skill.BENCH])
    Absence.objects.create(person=maker, first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 15))
    instance = planning_input(shop, NOW)
    pools = {one.id: one for one in instance.resources if one.id.startswith("skill:")}
    assert sorted(pools) == ["skill:desk", "skill:finishing", "skill:site"]
    slot = instance.axis.slot_on_or_after
    assert pools["skill:site"].capacity[slot(dt.date(2027, 3, 12))] == 1
    assert pools["skill:site"].capacity[slot(dt.date(2027, 3, 15))] == 0
    steps = steps_by_kind(instance)
    assert steps["fit"].demands == {"hands": 1, "skill:site": 1}
    assert steps["carcasses"].demands == {"hands": 1}


def test_who_is_away_takes_a_pair_of_hands_along(maker):
    """Two make, for two pairs of hands: one day with one of them away leaves one. With a third, nobody is missed."""
    shop = make_workshop(hands=2)
    make_maker(name="Ada Rook", email="rook@example.org")
    Absence.objects.create(person=maker, first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 15))
    make_commission(maker=maker)

    def hands(day):
        instance = planning_input(shop, NOW)
        (pool,) = (one for one in instance.resources if one.id == "hands")
        return pool.capacity[instance.axis.slot_on_or_after(day)]

    assert (hands(dt.date(2027, 3, 12)), hands(dt.date(2027, 3, 15))) == (2, 1)
    make_maker(name="Tom Weald", email="weald@example.org")
    assert hands(dt.date(2027, 3, 15)) == 2


def test_the_axis_reaches_a_year_past_the_last_promise(shop, maker):
    make_commission(maker=maker, promised={K.HANDOVER: dt.date(2029, 6, 1)})
    assert planning_input(shop, NOW).axis.days[-1] >= dt.date(2030, 5, 30)


def test_the_axis_is_long_enough_for_all_the_work(maker):
    """Sixty commissions for one pair of hands are years of work: each must find its place."""
    shop = make_workshop(hands=1)
    for _ in range(60):
        make_commission(maker=maker)
    assert first_plan(planning_input(shop, NOW)).refused == ()
