from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain import hours
from jobs.domain.hours import hours_in_words, remove_hours, start_timer, stop_timer, tell_hours
from jobs.models import DaybookLine, HourEntry, Workshop
from jobs.refusal import Refusal
from tests.factories import NOW, TODAY, make_commission, make_helper, make_maker, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission():
    make_workshop()
    return make_commission(maker=make_maker())


def start(commission, at=NOW, *, person=None, started_at=None, kind="wrap"):
    return start_timer(
        person=person or commission.maker, commission=commission, kind=kind, workshop=Workshop.objects.get(), now=at,
        actor=commission.maker, started_at=started_at,
    )  # fmt: skip


def tell(commission, minutes, *, worked_on=TODAY):
    return tell_hours(
        person=commission.maker, commission=commission, kind="fit", worked_on=worked_on, minutes=minutes, today=TODAY,
        now=NOW, actor=None,
    )  # fmt: skip


def test_two_running_timers_are_refused_with_a_sentence(commission):
    start(commission)
    with pytest.raises(Refusal) as refused:
        start(commission, NOW + dt.timedelta(minutes=5), kind="load")
    assert refused.value.sentence == (
        f"Robin Thorn has a timer running already: Wrapping on {commission}. Stop that one first."
    )
    assert HourEntry.objects.count() == 1


def test_another_person_may_have_their_own(commission):
    start(commission)
    start(commission, person=make_helper())
    assert HourEntry.objects.count() == 2


def test_the_database_itself_lets_one_person_have_one(commission):
    """Whoever comes past the domain function, or in the same instant, meets the unique row."""
    entry = start(commission)
    with pytest.raises(IntegrityError), transaction.atomic():
        HourEntry.objects.create(
            person=commission.maker, commission=commission, kind="load", worked_on=TODAY, started_at=NOW
        )
    stop_timer(entry=entry, now=NOW + dt.timedelta(minutes=9), actor=None)
    start(commission, NOW + dt.timedelta(minutes=9))


def test_two_taps_in_the_same_instant_start_one_timer(commission, monkeypatch):
    """The second tap looked before the first was written: the unique row decides, and the sentence is the same."""
    start(commission)
    answers = iter([None])
    really = hours.running_timer
    monkeypatch.setattr(hours, "running_timer", lambda person: next(answers, really(person)))
    with pytest.raises(Refusal, match="has a timer running already: Wrapping"):
        start(commission, NOW + dt.timedelta(seconds=40), kind="load")
    assert HourEntry.objects.count() == 1


EVENTS = st.lists(st.tuples(st.sampled_from(["start", "stop", "late"]), st.integers(0, 300)), max_size=25)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(EVENTS)
def test_whatever_is_tapped_intervals_never_overlap_for_one_person(commission, events):
    """Starts, stops, and starts said to lie back, at any minute: what is refused is refused, what stands does not
    overlap and its minutes are those between its ends, rounded."""
    HourEntry.objects.all().delete()
    now = NOW
    for act, minutes in events:
        now += dt.timedelta(minutes=minutes, seconds=7 * minutes)
        running = HourEntry.objects.filter(ended_at__isnull=True).first()
        try:
            if act == "stop" and running is not None:
                stop_timer(entry=running, now=now, actor=None)
            elif act == "start":
                start(commission, now)
            elif act == "late":
                start(commission, now, started_at=now - dt.timedelta(minutes=minutes))
        except Refusal:
            continue
    ends = sorted((one.started_at, one.ended_at or now) for one in HourEntry.objects.all())
    assert all(before[1] <= after[0] for before, after in pairwise(ends))
    for one in HourEntry.objects.filter(ended_at__isnull=False):
        assert abs(one.minutes * 60 - (one.ended_at - one.started_at).total_seconds()) <= 30


def test_a_start_that_reaches_into_noted_time_is_refused(commission):
    entry = start(commission)
    stop_timer(entry=entry, now=NOW + dt.timedelta(minutes=60), actor=None)
    later = NOW + dt.timedelta(minutes=90)
    with pytest.raises(Refusal, match="noted already"):
        start(commission, later, started_at=NOW + dt.timedelta(minutes=59))
    start(commission, later, started_at=NOW + dt.timedelta(minutes=60))


@pytest.mark.parametrize(
    ("started_at", "words"),
    [(NOW + dt.timedelta(minutes=1), "in the future"), (NOW - dt.timedelta(hours=17), "more than 16 hours ago")],
)
def test_a_start_at_no_possible_time_is_refused(commission, started_at, words):
    with pytest.raises(Refusal, match=words):
        start(commission, started_at=started_at)


def test_a_slip_of_the_finger_leaves_nothing(commission):
    entry = start(commission)
    assert stop_timer(entry=entry, now=NOW + dt.timedelta(seconds=29), actor=None) is None
    assert not HourEntry.objects.exists()


def test_stopping_twice_is_refused(commission):
    entry = start(commission)
    stale = HourEntry.objects.get()
    stop_timer(entry=entry, now=NOW + dt.timedelta(minutes=5), actor=None)
    for one in (entry, stale):
        with pytest.raises(Refusal, match="stopped already"):
            stop_timer(entry=one, now=NOW + dt.timedelta(minutes=6), actor=None)


def test_more_minutes_than_it_ran_are_refused(commission):
    entry = start(commission)
    with pytest.raises(Refusal, match="as many as the timer has run"):
        stop_timer(entry=entry, now=NOW + dt.timedelta(minutes=5), actor=None, minutes=6)


def test_a_day_holds_no_more_than_24_hours(commission):
    tell(commission, 16 * 60)
    with pytest.raises(Refusal, match="16 h are noted"):
        tell(commission, 8 * 60 + 1)
    tell(commission, 8 * 60)


def test_tomorrows_hours_are_refused_and_hours_can_be_taken_out(commission):
    with pytest.raises(Refusal, match="in the future"):
        tell(commission, 60, worked_on=TODAY + dt.timedelta(days=1))
    remove_hours(entry=tell(commission, 60), now=NOW, actor=None)
    assert not HourEntry.objects.exists()
    assert list(DaybookLine.objects.values_list("act", flat=True)) == ["tell_hours", "remove_hours"]


@given(st.integers(0, 6000))
def test_minutes_in_words_say_every_minute(minutes):
    words = hours_in_words(minutes)
    whole, _, rest = words.rpartition("h")
    assert int(whole or 0) * 60 + int(rest.replace("min", "").strip() or 0) == minutes
