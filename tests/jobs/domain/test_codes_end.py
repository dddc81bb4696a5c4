from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.codes import delete_codes_of_ended_jobs, forget_codes
from jobs.models import AccessCode, DaybookLine, Step, VisitState
from jobs.nightly import run_if_due
from jobs.queries.codes import job_ended_on
from jobs.registries import erasers, nightly
from tests.factories import NOW, TODAY, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.domain.code_makers import DAY, keep

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def commission(maker):
    return make_commission(maker=maker)


@pytest.fixture
def code(commission, workshop, maker):
    return keep(commission, workshop, maker)


def finish_all(commission, at):
    Step.objects.filter(commission=commission).update(started_at=at, finished_at=at)


def test_the_end_of_a_job(commission, workshop):
    assert job_ended_on(commission, workshop, NOW) is None
    finish_all(commission, NOW - 9 * DAY)
    assert job_ended_on(commission, workshop, NOW) == TODAY - 9 * DAY
    visit = make_visit(commission, starts_at=NOW - 3 * DAY, state=VisitState.DONE)
    assert job_ended_on(commission, workshop, NOW) == TODAY - 3 * DAY
    # Still to come, or owed without a date: not over. Past and never ticked: over.
    for state, starts_at, ended in [
        (VisitState.ARRANGED, NOW + DAY, None),
        (VisitState.TO_ARRANGE, None, None),
        (VisitState.ARRANGED, NOW - 2 * DAY, TODAY - 2 * DAY),
        (VisitState.CANCELLED, NOW + DAY, TODAY - 3 * DAY),
    ]:
        later = make_visit(commission, starts_at=starts_at, state=state)
        assert job_ended_on(commission, workshop, NOW) == ended, (state, starts_at)
        later.delete()
    visit.delete()
    commission.closed_on = TODAY - DAY
    assert job_ended_on(commission, workshop, NOW) == TODAY - DAY


def test_a_job_with_a_step_open_or_without_steps_has_not_ended(commission, workshop):
    finish_all(commission, NOW - 30 * DAY)
    step = commission.steps.last()
    Step.objects.filter(pk=step.pk).update(finished_at=None)
    assert job_ended_on(commission, workshop, NOW) is None
    commission.steps.all().delete()
    assert job_ended_on(commission, workshop, NOW) is None


@pytest.mark.parametrize(("days_ago", "left"), [(0, 1), (6, 1), (7, 0), (400, 0)])
def test_codes_go_seven_days_after_the_job_ends(code, commission, workshop, days_ago, left):
    commission.closed_on = TODAY - days_ago * DAY
    commission.save()
    assert delete_codes_of_ended_jobs(workshop, NOW) == 1 - left
    assert AccessCode.objects.count() == left
    # Twice changes nothing more, and writes no second line.
    assert delete_codes_of_ended_jobs(workshop, NOW) == 0
    lines = DaybookLine.objects.filter(act="delete_codes")
    assert [line.facts for line in lines] == [{"codes": 1, "why": "job ended"}] * (1 - left)


def test_the_nightly_round_and_the_erasers_know_the_codes(code, commission, maker, workshop):
    assert nightly.get("codes") is delete_codes_of_ended_jobs and erasers.get("codes") is forget_codes
    elsewhere = keep(make_commission(maker=maker), workshop, maker)
    forget_codes(commission.client_id, NOW)
    assert list(AccessCode.objects.all()) == [elsewhere]


def test_the_round_runs_once_a_local_night(code, commission, workshop):
    """The clocks of 2027 go forward on 28 March at 01:00 UTC (Europe/London): two o'clock is then 01:00 UTC."""
    commission.closed_on = TODAY - 7 * DAY
    commission.save()
    two_gmt = dt.datetime(2027, 3, 11, 2, 0, tzinfo=dt.UTC)
    assert "codes" in run_if_due(workshop, NOW)  # the first time of all
    for now, runs in [
        (NOW, False),
        (two_gmt - dt.timedelta(seconds=1), False),
        (two_gmt, True),
        (two_gmt + dt.timedelta(hours=23), False),
        (dt.datetime(2027, 3, 29, 0, 59, tzinfo=dt.UTC), True),  # nights missed are made up for, once
        (dt.datetime(2027, 3, 29, 0, 59, 30, tzinfo=dt.UTC), False),
        (dt.datetime(2027, 3, 29, 1, 0, tzinfo=dt.UTC), True),
    ]:
        assert bool(run_if_due(workshop, now)) is runs, now


def test_a_duty_that_fails_does_not_stop_the_others(workshop, monkeypatch, caplog):
    done = []

    def fails(workshop, now):
        raise RuntimeError("disk full")

    monkeypatch.setattr(nightly, "entries", {"a": (1, fails), "b": (2, lambda shop, now: done.append(now))})
    assert run_if_due(workshop, NOW) == ["b"] and done == [NOW]
    assert "nightly round: a failed" in caplog.text
