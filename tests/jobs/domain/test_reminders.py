"""Which reminders the record asks for, when, to whom; once each, and no longer when its reason has gone.

The days and hours are the project's own (common practice, no source), so they are written out here a second time.
"""

from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.reminders import queue_daily_reminders, queue_reminders
from jobs.domain.visits import book_visit, cancel_visit, move_visit
from jobs.models import (
    Consignment,
    Declaration,
    Message,
    ParkingPlan,
    ParkingRule,
    StepKind,
    Subcontractor,
    VisitKind,
)
from jobs.sweep import sweep
from tests.factories import NOW, make_access, make_client, make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
HOUR = dt.timedelta(hours=1)
# A Thursday, eight in the morning, after the clocks have gone forward on 28 March.
VISIT_AT = dt.datetime(2027, 4, 22, 7, 0, tzinfo=dt.UTC)


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def commission(shop):
    return make_commission(maker=make_maker(), done=up_to(StepKind.WRAP))


def book(commission, shop, kind=VisitKind.FITTING, at=VISIT_AT, **fields):
    return book_visit(
        **{
            "commission": commission, "kind": kind, "person": commission.maker, "starts_at": at,
            "ends_at": at + 4 * HOUR, "workshop": shop, "now": NOW, "actor": None,
        }
        | fields
    )  # fmt: skip


def timeline(shop, until, start=NOW, step=6 * HOUR):
    """Every reminder that arises when the clock runs: kind, recipient and local day and hour at which it was due."""
    now = start
    while now <= until:
        queue_reminders(now, workshop=shop)
        now += step
    rows = Message.objects.exclude(kind__in=["visit_invite", "visit_cancel"]).order_by("due_at", "kind")
    return [(m.kind, m.to_email, f"{m.due_at.astimezone(shop.tz):%d %b %H:%M}") for m in rows]


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        (VisitKind.SURVEY, [("survey_confirmation", "20 Apr 09:00")]),
        (
            VisitKind.RETURN,
            [
                ("return_reminder", "15 Apr 09:00"),
                ("return_reminder", "21 Apr 09:00"),
                ("photo_window", "22 Apr 07:00"),
            ],
        ),
        (VisitKind.DELIVERY, [("access_confirmation", "15 Apr 09:00"), ("access_confirmation", "20 Apr 09:00")]),
        (
            VisitKind.FITTING,
            [
                ("nothing_changed_fitting", "08 Apr 09:00"),
                ("access_confirmation", "15 Apr 09:00"),
                ("fitting_confirmation", "18 Apr 09:00"),
                ("access_confirmation", "20 Apr 09:00"),
            ],
        ),
        (VisitKind.OTHER, []),
    ],
)
def test_each_kind_of_visit_is_announced_on_its_days(shop, commission, kind, expected):
    book(commission, shop, kind)
    found = timeline(shop, VISIT_AT + DAY)
    assert [(kind, due) for kind, _, due in found] == expected
    for kind, address, _ in found:
        assert address == (commission.maker.email if kind == "photo_window" else "quennell@example.org")


def test_whoever_opens_is_asked_and_a_new_opener_is_asked_afresh(shop, commission):
    access = make_access(commission, opener_email="porter@example.org")
    book(commission, shop, VisitKind.DELIVERY)
    now = VISIT_AT - 7 * DAY + 2 * HOUR
    sweep(now)
    access.opener_name, access.opener_email = "Nell Tarrant", "tarrant@example.org"
    access.save()
    sweep(now + HOUR)
    sent = Message.objects.filter(kind="access_confirmation").order_by("pk")
    assert [(m.to_email, m.state, m.policy) for m in sent] == [
        ("porter@example.org", "sent", "at_most_once"),
        ("tarrant@example.org", "sent", "at_most_once"),
    ]
    assert "between 8:30 and 9:15" in sent[0].body


def test_an_opener_without_e_mail_is_a_call_to_make(shop, commission):
    make_access(commission)
    book(commission, shop, VisitKind.DELIVERY)
    queue_reminders(VISIT_AT - 7 * DAY + 2 * HOUR, workshop=shop)
    message = Message.objects.get(kind="access_confirmation")
    assert (message.channel, message.to_name) == ("call", "Wilfred Marchbanks")


def test_of_a_stay_of_several_days_only_the_first_is_announced_and_names_the_others(shop, commission):
    for days in (0, 1, 4):
        book(commission, shop, VisitKind.FITTING, VISIT_AT + days * DAY)
    now = VISIT_AT - 4 * DAY + 2 * HOUR
    sweep(now)
    message = Message.objects.get(kind="fitting_confirmation")
    assert "Friday 23 April 2027 and Monday 26 April 2027" in message.body


def test_a_moved_visit_is_announced_for_its_new_day_alone(shop, commission):
    visit = book(commission, shop, VisitKind.RETURN)
    queue_reminders(VISIT_AT - 7 * DAY + 2 * HOUR, workshop=shop)
    moved_at = VISIT_AT - 6 * DAY
    later = VISIT_AT + 14 * DAY
    move_visit(visit=visit, starts_at=later, ends_at=later + HOUR, workshop=shop, now=moved_at, actor=None)
    timeline(shop, later - 3 * HOUR, start=moved_at)
    rows = Message.objects.filter(kind="return_reminder").order_by("due_at")
    assert [(m.payload["sequence"], m.state) for m in rows] == [(0, "withdrawn"), (1, "withdrawn"), (1, "waiting")]


def test_a_cancelled_visit_is_not_announced(shop, commission):
    visit = book(commission, shop, VisitKind.RETURN)
    queue_reminders(VISIT_AT - 7 * DAY + 2 * HOUR, workshop=shop)
    cancel_visit(visit=visit, workshop=shop, now=VISIT_AT - 6 * DAY, actor=None)
    assert timeline(shop, VISIT_AT, start=VISIT_AT - 6 * DAY) == [
        ("return_reminder", "quennell@example.org", "15 Apr 09:00")
    ]
    assert Message.objects.get(kind="return_reminder").state == "withdrawn"


def test_a_visit_booked_after_its_reminder_was_due_is_not_reminded_of_at_once(shop, commission):
    at = NOW + 3 * DAY
    at = at.replace(minute=0)
    book(commission, shop, VisitKind.RETURN, at)
    assert [due for _, _, due in timeline(shop, NOW + HOUR)] == []


def test_a_reminder_whose_time_went_by_while_the_machine_was_off_lapses(shop, commission):
    book(commission, shop, VisitKind.RETURN)
    sweep(VISIT_AT - 7 * DAY + 2 * HOUR - DAY)  # before it is due
    sweep(VISIT_AT - HOUR)  # the machine was off for a week: the reminder of the seventh day has lapsed
    assert Message.objects.filter(kind="return_reminder").values_list("payload__days", "state").get() == (1, "sent")


def test_a_waiting_reminder_lapses_too(shop, commission):
    book(commission, shop, VisitKind.RETURN)
    queue_reminders(VISIT_AT - 7 * DAY + 2 * HOUR, workshop=shop)
    queue_reminders(VISIT_AT - DAY + 2 * HOUR, workshop=shop)
    rows = Message.objects.filter(kind="return_reminder").order_by("due_at")
    assert [message.state for message in rows] == ["withdrawn", "waiting"]


def test_a_client_who_has_just_answered_is_not_asked_again_before_fitting(shop, commission):
    Declaration.objects.create(
        commission=commission, declared_at=VISIT_AT - 16 * DAY, way="told", nothing_changed=True
    )
    book(commission, shop)
    assert "nothing_changed_fitting" not in [kind for kind, _, _ in timeline(shop, VISIT_AT - 8 * DAY)]


def test_the_same_sweep_twice_queues_nothing_new(shop, commission):
    book(commission, shop, VisitKind.RETURN)
    now = VISIT_AT - 7 * DAY + 2 * HOUR
    assert queue_reminders(now, workshop=shop) == 1
    assert queue_reminders(now, workshop=shop) == 0


@pytest.mark.parametrize("count", [1, 6])
def test_planning_takes_the_same_queries_whatever_the_size(shop, count, django_assert_num_queries):
    maker = make_maker()
    for n in range(count):
        visit = make_commission(maker=maker, client=make_client(name=f"Client {n}"))
        book(visit, shop, VisitKind.FITTING, VISIT_AT + n * 5 * HOUR, ends_at=VISIT_AT + n * 5 * HOUR + HOUR)
    now = VISIT_AT - 7 * DAY + 2 * HOUR
    queue_reminders(now, workshop=shop)
    # waiting messages; visits, access, declarations; keys; photo windows; reviews
    with django_assert_num_queries(7):
        queue_reminders(now + HOUR, workshop=shop)


def test_before_cutting_the_client_is_asked_once_for_each_answer(shop):
    commission = make_commission(maker=make_maker(), done=up_to(StepKind.DOORS))
    queue_daily_reminders(shop, NOW)
    queue_daily_reminders(shop, NOW + DAY)
    message = Message.objects.get(kind="nothing_changed_cutting")
    assert message.to_email == "quennell@example.org"
    sweep(NOW + DAY)
    message.refresh_from_db()
    assert message.state == "sent" and "We begin to cut" in message.body
    Declaration.objects.create(commission=commission, declared_at=NOW + DAY, way="told", nothing_changed=True)
    queue_daily_reminders(shop, NOW + 2 * DAY)
    assert Message.objects.filter(kind="nothing_changed_cutting").count() == 1
    # The work slid by two months: the answer is stale and the client is asked once more.
    queue_daily_reminders(shop, NOW + 60 * DAY)
    assert Message.objects.filter(kind="nothing_changed_cutting").count() == 2


def test_nobody_is_asked_before_the_survey_or_after_cutting_has_begun(shop):
    maker = make_maker()
    make_commission(maker=maker)
    make_commission(maker=maker, done=up_to(StepKind.DOORS), running=[StepKind.CARCASSES])
    queue_daily_reminders(shop, NOW)
    assert not Message.objects.filter(kind="nothing_changed_cutting").exists()


def test_the_sprayer_is_asked_two_of_their_working_days_before_the_doors_should_be_back(shop):
    """By hand: out on Monday 8 March at nine; ten whole working days end on Monday 22 March, so they can be fetched
    on Tuesday 23; two working days before that is Friday 19."""
    sprayer = Subcontractor.objects.create(name="Harrow Spray Shop", email="spray@example.org")
    commission = make_commission(
        maker=make_maker(), done=up_to(StepKind.SPRAYER_BACK), done_at=dt.datetime(2027, 3, 8, 9, tzinfo=dt.UTC)
    )
    commission.steps.filter(kind=StepKind.SPRAYER_BACK).update(subcontractor=sprayer, lead_days=10)
    for days in range(12):
        queue_daily_reminders(shop, NOW + days * DAY)
    message = Message.objects.get(kind="sprayer_chase")
    assert message.to_email == "spray@example.org"
    due, back = message.due_at.astimezone(shop.tz), dt.date.fromisoformat(message.payload["day"])
    between = [back - n * DAY for n in range(1, (back - due.date()).days + 1)]
    assert len([day for day in between if day.weekday() < 5]) == 2 and due.hour == 9
    assert (back, due.date()) == (dt.date(2027, 3, 23), dt.date(2027, 3, 19))


def test_a_consignment_is_chased_by_its_own_promise_and_no_longer_once_it_is_back(shop):
    """By hand: promised for Wednesday 24 March, shut on Tuesday 23: two of their days before it is Friday 19."""
    sprayer = Subcontractor.objects.create(name="Harrow Spray Shop", email="spray@example.org")
    sprayer.closures.create(first_day=dt.date(2027, 3, 23), last_day=dt.date(2027, 3, 23))
    commission = make_commission(maker=make_maker(), done=up_to(StepKind.SPRAYER_BACK))
    sent = Consignment.objects.create(
        commission=commission, subcontractor=sprayer, number=1, sent_at=NOW - DAY, promised_on=dt.date(2027, 3, 24)
    )
    for days in range(12):
        queue_daily_reminders(shop, NOW + days * DAY)
    message = Message.objects.get(kind="sprayer_chase")
    assert (message.due_at.astimezone(shop.tz).date(), message.to_email) == (
        dt.date(2027, 3, 19),
        "spray@example.org",
    )
    Consignment.objects.filter(pk=sent.pk).update(back_at=NOW + 8 * DAY)
    sweep(message.due_at + HOUR)
    message.refresh_from_db()
    assert message.state == "withdrawn"


def test_parking_that_was_not_applied_for_is_said_three_days_before_the_last_day(shop):
    """By hand: for Thursday 8 April with 5 working days' notice and two spare, over Good Friday and Easter Monday
    (26 and 29 March): the last day is Tuesday 30 March, said on Saturday 27."""
    rule = ParkingRule.objects.create(council="Fieldgate", notice_working_days=5, checked_on=NOW.date())
    commission = make_commission(maker=make_maker())
    plan = ParkingPlan.objects.create(commission=commission, rule=rule, day=dt.date(2027, 4, 8))
    for days in range(22):
        queue_daily_reminders(shop, NOW + days * DAY)
    message = Message.objects.get(kind="parking_apply_by")
    assert (message.due_at.astimezone(shop.tz).date(), message.payload["day"]) == (dt.date(2027, 3, 27), "2027-03-30")
    ParkingPlan.objects.filter(pk=plan.pk).update(applied_on=dt.date(2027, 3, 26))
    sweep(message.due_at + HOUR)
    message.refresh_from_db()
    assert message.state == "withdrawn"
