from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone
from django.utils.module_loading import import_string
from django_q.brokers.orm import ORM
from django_q.models import OrmQ, Schedule
from django_q.scheduler import scheduler

from jobs.schedules import ensure_schedules

pytestmark = pytest.mark.django_db


def test_one_schedule_each_minute_whose_function_is_there():
    assert ensure_schedules()
    schedule = Schedule.objects.get()
    assert (schedule.name, schedule.schedule_type, schedule.minutes, schedule.repeats) == ("sweep", "I", 1, -1)
    assert callable(import_string(schedule.func))


def test_a_second_call_writes_nothing_and_leaves_the_next_run():
    ensure_schedules()
    later = timezone.now() + dt.timedelta(seconds=40)
    Schedule.objects.update(next_run=later)
    assert not ensure_schedules()
    assert Schedule.objects.get().next_run == later


def test_doubles_go_and_a_changed_one_is_mended():
    for minutes in (7, 1, 1):
        Schedule.objects.create(
            name="sweep", func="gone.away", args="(", schedule_type=Schedule.MINUTES, minutes=minutes
        )
    oldest = Schedule.objects.order_by("pk").first()
    assert ensure_schedules()
    left = Schedule.objects.get()
    assert (left.pk, left.minutes, left.args, left.func) == (oldest.pk, 1, None, "jobs.sweep.run")


def test_other_schedules_are_left_alone():
    Schedule.objects.create(name="mine", func="math.floor", schedule_type=Schedule.ONCE)
    ensure_schedules()
    assert sorted(Schedule.objects.values_list("name", flat=True)) == ["mine", "sweep"]


@pytest.mark.django_db(transaction=True)
def test_django_q2_itself_queues_the_sweep_and_moves_it_on():
    ensure_schedules()
    due = timezone.now() - dt.timedelta(seconds=1)
    Schedule.objects.update(next_run=due)
    scheduler(broker=ORM("shutline"))
    assert [task.func() for task in OrmQ.objects.all()] == ["jobs.sweep.run"]
    assert Schedule.objects.get().next_run == due + dt.timedelta(minutes=1)
