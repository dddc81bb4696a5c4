from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.messages import was_told
from jobs.domain.visits import SlotTaken, book_visit, cancel_visit, finish_visit, keep_to_arrange, move_visit
from jobs.models import Attendance, DaybookLine, Message, MessageState, Visit, VisitKind, VisitSlot, VisitState
from jobs.refusal import Refusal
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db
START = dt.datetime(2027, 3, 18, 9, 0, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)


@pytest.fixture
def cast():
    workshop = make_workshop()
    maker = make_maker()
    return workshop, maker, make_commission(maker=maker)


def book(cast, starts_at=START, ends_at=None, **fields):
    workshop, maker, commission = cast
    return book_visit(
        **{
            "commission": commission,
            "kind": VisitKind.FITTING,
            "person": maker,
            "starts_at": starts_at,
            "ends_at": ends_at or starts_at + HOUR,
            "workshop": workshop,
            "now": NOW,
            "actor": maker,
        }
        | fields
    )


def test_book_visit_takes_every_quarter_hour_and_asks_for_one_invite(cast):
    visit = book(cast)
    quarters = [START + dt.timedelta(minutes=15 * n) for n in range(4)]
    assert list(visit.slots.order_by("starts_at").values_list("starts_at", flat=True)) == quarters
    message = Message.objects.get()
    assert (message.key, message.state, message.due_at) == (f"visit_invite:{visit.pk}:0", MessageState.WAITING, NOW)
    assert list(DaybookLine.objects.values_list("act", flat=True)) == ["book_visit"]


def test_book_visit_refuses_a_quarter_hour_that_is_taken_and_changes_nothing(cast):
    book(cast)
    with pytest.raises(SlotTaken, match="booked already") as refusal:
        book(cast, START + dt.timedelta(minutes=45))
    assert refusal.value.field == "starts_at"
    assert (Visit.objects.count(), VisitSlot.objects.count(), Message.objects.count()) == (1, 4, 1)
    assert DaybookLine.objects.count() == 1


def test_book_visit_of_another_person_at_the_same_time_is_free(cast):
    book(cast)
    book(cast, person=make_maker())
    assert Visit.objects.count() == 2


def test_visits_that_touch_do_not_overlap(cast):
    book(cast)
    book(cast, START + HOUR)
    assert VisitSlot.objects.count() == 8


@pytest.mark.parametrize(
    ("starts_at", "ends_at", "field"),
    [
        (START, START, "ends_at"),
        (START, START - HOUR, "ends_at"),
        (START, START + 15 * HOUR, "ends_at"),
        (START + dt.timedelta(minutes=7), START + HOUR, "starts_at"),
        (START, START + dt.timedelta(minutes=50), "ends_at"),
    ],
)
def test_book_visit_refuses_an_impossible_time(cast, starts_at, ends_at, field):
    with pytest.raises(Refusal) as refusal:
        book(cast, starts_at, ends_at)
    assert refusal.value.field == field
    assert Visit.objects.count() == 0


def test_a_past_visit_is_recorded_as_done_and_nobody_is_written_to(cast):
    visit = book(cast, NOW - dt.timedelta(days=3, minutes=42), NOW - dt.timedelta(days=3, minutes=-18))
    assert visit.state == VisitState.DONE
    assert Message.objects.count() == 0


def test_a_client_without_mail_becomes_a_call_to_make(cast):
    _, maker, _ = cast
    silent = make_commission(maker=maker, client=make_client(email=""))
    visit = book(cast, commission=silent)
    assert visit.messages.get().channel == "call"


def test_move_visit_keeps_the_uid_raises_the_sequence_and_asks_afresh(cast):
    workshop, maker, _ = cast
    visit = book(cast)
    uid = visit.uid
    Visit.objects.filter(pk=visit.pk).update(attendance=Attendance.ACCEPTED)
    move_visit(
        visit=visit, starts_at=START + 2 * HOUR, ends_at=START + 3 * HOUR, workshop=workshop, now=NOW, actor=maker
    )
    assert (visit.uid, visit.sequence, visit.attendance) == (uid, 1, Attendance.NEEDS_ACTION)
    assert visit.slots.order_by("starts_at")[0].starts_at == START + 2 * HOUR
    states = dict(Message.objects.values_list("key", "state"))
    assert states == {
        f"visit_invite:{visit.pk}:0": MessageState.WITHDRAWN,
        f"visit_invite:{visit.pk}:1": MessageState.WAITING,
    }


def test_move_visit_to_a_taken_time_leaves_it_where_it_was(cast):
    workshop, maker, _ = cast
    visit, other = book(cast), book(cast, START + 2 * HOUR)
    with pytest.raises(SlotTaken):
        move_visit(
            visit=visit,
            starts_at=other.starts_at,
            ends_at=other.ends_at,
            workshop=workshop,
            now=NOW,
            actor=maker,
        )
    visit.refresh_from_db()
    assert (visit.starts_at, visit.sequence, visit.slots.count()) == (START, 0, 4)


def test_move_visit_may_overlap_its_own_old_time(cast):
    workshop, maker, _ = cast
    visit = book(cast)
    later = START + dt.timedelta(minutes=15)
    move_visit(visit=visit, starts_at=later, ends_at=later + HOUR, workshop=workshop, now=NOW, actor=maker)
    assert visit.starts_at == later


def test_move_visit_refuses_the_past(cast):
    workshop, maker, _ = cast
    visit = book(cast)
    past = START - dt.timedelta(days=30)
    with pytest.raises(Refusal, match="gone by"):
        move_visit(visit=visit, starts_at=past, ends_at=past + HOUR, workshop=workshop, now=NOW, actor=maker)


def test_cancel_visit_nobody_heard_of_tells_nobody(cast):
    workshop, maker, _ = cast
    visit = book(cast)
    cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=maker)
    assert (visit.state, visit.slots.count(), visit.sequence) == (VisitState.CANCELLED, 0, 1)
    assert list(Message.objects.values_list("state", flat=True)) == [MessageState.WITHDRAWN]


@pytest.mark.parametrize("state", [MessageState.SENT, MessageState.SENDING, MessageState.UNKNOWN])
def test_cancel_visit_tells_whoever_may_have_heard_of_it(cast, state):
    workshop, maker, _ = cast
    visit = book(cast)
    visit.messages.update(state=state)
    assert was_told(visit)
    cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=maker)
    assert visit.messages.get(kind="visit_cancel").payload == {"sequence": 1}


def test_cancel_visit_twice_is_refused(cast):
    workshop, maker, _ = cast
    visit = book(cast)
    cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=maker)
    with pytest.raises(Refusal, match="cancelled already"):
        cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=maker)
    assert visit.sequence == 1


def test_a_cancelled_time_can_be_booked_again(cast):
    workshop, maker, _ = cast
    cancel_visit(visit=book(cast), workshop=workshop, now=NOW, actor=maker)
    assert book(cast).state == VisitState.ARRANGED


def test_a_visit_to_arrange_gets_its_time_by_being_moved(cast):
    workshop, maker, commission = cast
    visit = keep_to_arrange(
        commission=commission, kind=VisitKind.RETURN, person=maker, reasons="No day fits.", now=NOW, actor=maker
    )
    assert (visit.state, visit.starts_at, visit.messages.count()) == (VisitState.TO_ARRANGE, None, 0)
    move_visit(visit=visit, starts_at=START, ends_at=START + HOUR, workshop=workshop, now=NOW, actor=maker)
    assert (visit.state, visit.slots.count()) == (VisitState.ARRANGED, 4)


def test_finish_visit_only_once(cast):
    _, maker, _ = cast
    visit = book(cast)
    finish_visit(visit=visit, now=START + HOUR, actor=maker)
    assert visit.state == VisitState.DONE
    with pytest.raises(Refusal):
        finish_visit(visit=visit, now=START + HOUR, actor=maker)
