from __future__ import annotations

import datetime as dt

import pytest

from aftercare.domain.handover import hand_over
from aftercare.domain.journeys import keep_journey, remove_journey
from aftercare.domain.other_time import keep_wish, move_return_visit, on_declined
from aftercare.domain.return_visit import book_return_visit
from aftercare.models import ReturnWish, TravelTime
from aftercare.pack import mail
from aftercare.queries.alternatives import other_times, return_alternatives
from aftercare.queries.booking_facts import booking_facts, hours_at_the_door
from aftercare.queries.journeys import known_journeys, town_of
from jobs.domain.visits import book_visit, move_visit
from jobs.models import (
    Attendance,
    DaybookLine,
    Message,
    MessageState,
    Room,
    StepKind,
    VisitKind,
    VisitState,
)  # fmt: skip
from jobs.refusal import Refusal
from jobs.registries import reply_listeners
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db
NINE = dt.time(9, tzinfo=dt.UTC)  # ten o'clock of British summer time


@pytest.fixture
def cast():
    workshop, maker = make_workshop(), make_maker()
    return workshop, maker, handed_over(workshop, maker)


def handed_over(workshop, maker, **fields):
    commission = make_commission(
        maker=maker, done=up_to(StepKind.HANDOVER), done_at=NOW - dt.timedelta(hours=2),
        **{"latitude_deg": 52.5, "longitude_deg": -1.5} | fields,
    )  # fmt: skip
    return hand_over(commission=commission, at=NOW, workshop=workshop, now=NOW, actor=maker)


def at(month, day, hour=9, minute=0):
    return dt.datetime(2027, month, day, hour, minute, tzinfo=dt.UTC)


def test_the_two_offers_lie_on_the_next_days_at_the_usual_hour(cast):
    workshop, _, handover = cast
    # Booked is day 42, Wednesday 21 April; equal days rank by date, so Thursday and Friday come next.
    offers = return_alternatives(handover, workshop, NOW)
    assert [offer.starts_at for offer in offers] == [at(4, 22), at(4, 23)]
    assert other_times(handover, workshop, NOW).offers[0].when == "Thursday 22 April 2027, 10:00 to 11:30"
    assert all(offer.reasons for offer in offers)


def test_offers_take_nine_queries_with_one_visit_or_many(cast, django_assert_num_queries):
    workshop, maker, handover = cast
    with django_assert_num_queries(8):  # no room, so no notes are asked for
        return_alternatives(handover, workshop, NOW)
    Room.objects.create(commission=handover.commission, name="study", window_facing_deg=150)
    handed_over(workshop, maker)
    with django_assert_num_queries(9):
        return_alternatives(handover, workshop, NOW)


def test_moving_keeps_the_uid_asks_afresh_and_frees_the_old_hours(cast):
    workshop, maker, handover = cast
    uid = handover.return_visit.uid
    visit = move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
    visit.refresh_from_db()
    assert (visit.uid, visit.sequence, visit.starts_at) == (uid, 1, at(4, 22))
    assert visit.slots.count() == 6
    assert "usual hour" in visit.reasons


def test_while_the_first_mail_waits_its_successor_carries_the_pack(cast):
    workshop, maker, handover = cast
    move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
    waiting = Message.objects.filter(state=MessageState.WAITING).order_by("kind")
    assert [(one.kind, one.payload["sequence"]) for one in waiting] == [("return_copy", 1), ("return_invite", 1)]


def test_a_plain_move_by_hand_does_not_lose_the_pack_either(cast):
    workshop, maker, handover = cast
    visit = handover.return_visit
    move_visit(visit=visit, starts_at=at(4, 22), ends_at=at(4, 22, 10, 30), workshop=workshop, now=NOW, actor=maker)
    invite = Message.objects.get(state=MessageState.WAITING, kind__endswith="_invite")
    assert (invite.kind, invite.payload) == ("return_invite", {"sequence": 1, "handover": handover.pk})


def test_once_the_pack_has_gone_an_update_carries_the_invite_alone(cast):
    workshop, maker, handover = cast
    Message.objects.update(state=MessageState.SENT)
    move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
    kinds = Message.objects.filter(state=MessageState.WAITING).values_list("kind", flat=True)
    assert sorted(kinds) == ["return_copy", "visit_invite"]


@pytest.mark.parametrize(
    ("state", "papers"),
    [(MessageState.SENT, ["invite.ics"]), (MessageState.WITHDRAWN, ["handover-pack.pdf", "invite.ics"])],
)
def test_our_own_copy_carries_the_pack_once(cast, monkeypatch, state, papers):
    """The pack itself is made elsewhere (tests/aftercare/pack); here it matters only whether it is asked for."""
    workshop, maker, handover = cast
    monkeypatch.setattr(mail, "pack_for_sending", lambda handover, now: None)
    monkeypatch.setattr(mail, "stored_bytes", lambda pack: b"%PDF-")
    Message.objects.update(state=state)
    move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
    copy = Message.objects.get(kind="return_copy", state=MessageState.WAITING)
    sent = mail.compose_return_copy(copy, workshop, NOW)
    assert [name for name, *_ in sent.attachments] == papers
    assert ("You have the pack already" in sent.body) == (state == MessageState.SENT)


@pytest.mark.parametrize(
    ("starts_at", "reason"),
    [
        (at(4, 24), "Saturday 24 April, 10:00 cannot be: Saturday"),
        (at(5, 3), "Monday 3 May, 10:00 cannot be: "),
        (at(4, 22, 22), "Thursday 22 April, 23:00 cannot be: at that hour"),
        (at(3, 9), "Tuesday 9 March, 09:00 cannot be: already past"),
    ],
)
def test_an_impossible_time_is_refused_with_the_rule(cast, starts_at, reason):
    workshop, maker, handover = cast
    with pytest.raises(Refusal) as refusal:
        move_return_visit(handover=handover, starts_at=starts_at, workshop=workshop, now=NOW, actor=maker)
    assert refusal.value.field == "starts_at"
    assert reason.lower() in refusal.value.sentence.lower()
    assert handover.return_visit.sequence == 0


def test_a_declined_visit_is_kept_and_its_day_is_not_offered_again(cast):
    workshop, maker, handover = cast
    visit = handover.return_visit
    visit.attendance = Attendance.DECLINED
    visit.save()
    for listener in reply_listeners.all():
        listener(visit, NOW)
    assert (visit.state, visit.slots.count()) == (VisitState.ARRANGED, 6)
    assert DaybookLine.objects.filter(act="return_declined").count() == 1
    assert not Message.objects.filter(state=MessageState.WAITING).exists()
    assert at(4, 21) not in [offer.starts_at for offer in other_times(handover, workshop, NOW).offers]
    again = book_return_visit(handover=handover, workshop=workshop, now=NOW, actor=maker)
    assert (again.pk, again.starts_at, again.attendance) == (visit.pk, at(4, 22), Attendance.NEEDS_ACTION)


def test_an_accepted_visit_and_other_kinds_are_left_alone_by_the_listener(cast):
    workshop, maker, handover = cast
    on_declined(handover.return_visit, NOW)
    other = book_visit(
        commission=handover.commission, kind=VisitKind.OTHER, person=maker, starts_at=at(4, 1), ends_at=at(4, 1, 10),
        workshop=workshop, now=NOW, actor=maker,
    )  # fmt: skip
    other.attendance = Attendance.DECLINED
    on_declined(other, NOW)
    assert not DaybookLine.objects.filter(act="return_declined").exists()


def test_the_latest_wish_counts_and_can_be_taken_back(cast):
    workshop, maker, handover = cast
    commission = handover.commission
    keep_wish(commission=commission, weekday=0, time=None, now=NOW, actor=maker)
    keep_wish(commission=commission, weekday=4, time=dt.time(14), now=NOW, actor=maker)
    # Friday at two, summer time: 23 April is the first Friday of the range.
    assert return_alternatives(handover, workshop, NOW)[0].starts_at == at(4, 23, 13)
    keep_wish(commission=commission, weekday=None, time=None, now=NOW, actor=maker)
    assert ReturnWish.objects.count() == 0
    with pytest.raises(Refusal, match="from Monday to Sunday"):
        keep_wish(commission=commission, weekday=7, time=None, now=NOW, actor=maker)


def test_a_visit_without_a_photo_window_says_why(cast):
    workshop, maker, _ = cast
    nowhere = handed_over(workshop, maker, latitude_deg=None, longitude_deg=None)
    Room.objects.create(commission=nowhere.commission, name="study", window_facing_deg=150)
    visit = book_return_visit(handover=nowhere, workshop=workshop, now=NOW, actor=maker)
    assert visit.state == VisitState.ARRANGED
    assert "No photo window (the site has no coordinates); near the usual hour 10:00." in visit.reasons


def test_the_makers_day_at_the_door_is_shorter_by_the_journeys():
    """By hand: 8:00 and 47 minutes is 8:47; 17:00 less 47 is 16:13. Six hours each way leave no day at all."""
    workshop = make_workshop()
    assert hours_at_the_door(workshop, 47) == (dt.time(8, 47), dt.time(16, 13))
    assert hours_at_the_door(workshop, 360) == (dt.time(8), dt.time(17))


@pytest.mark.parametrize(
    ("address", "town"),
    [
        ("7 Tannery Lane\nFieldgate", "Fieldgate"),
        ("7 Tannery Lane, Fieldgate.", "Fieldgate"),
        ("7 Tannery Lane", ""),
        ("The Old Forge\nFG1 2AB", ""),
        ("7 Tannery Lane\nc/o Quennell", ""),
        ("", ""),
    ],
)
def test_only_a_town_passes_as_a_town(address, town):
    client = make_client(address=address)
    assert town_of(make_commission(maker=make_maker(), client=client)) == town


def test_no_reason_a_client_reads_names_another_client(cast):
    workshop, maker, _ = cast
    neighbour = handed_over(
        workshop, maker, client=make_client(name="Ada Marl", address="3 Long Row\nAldermere"), longitude_deg=-1.505
    )
    facts = booking_facts(neighbour.commission, handed_over_at=NOW, workshop=workshop, now=NOW)
    assert {visit.label for visit in facts.busy} == {"Fieldgate"}


def test_a_journey_typed_in_beats_the_reckoned_one_both_ways(cast):
    workshop, maker, _ = cast
    keep_journey(here=" Zennow ", there="Fieldgate", minutes=55, now=NOW, actor=maker)
    keep_journey(here="fieldgate", there="zennow", minutes=58, now=NOW, actor=maker)
    journey = TravelTime.objects.get()
    assert (journey.here, journey.there, journey.minutes) == ("Fieldgate", "Zennow", 58)
    far = make_commission(maker=maker, client=make_client(address="1 Quay\nZennow"))
    assert known_journeys().from_workshop(workshop, far) == 58
    facts = booking_facts(far, handed_over_at=NOW, workshop=workshop, now=NOW)
    assert (facts.earliest, facts.busy[0].known_minutes) == (dt.time(8, 58), 58)
    remove_journey(journey=journey, now=NOW, actor=maker)
    assert known_journeys().from_workshop(workshop, far) is None


@pytest.mark.parametrize(
    ("there", "minutes", "field"), [(" fieldgate", 5, "there"), ("Zennow", 721, "minutes"), ("Zennow", -1, "minutes")]
)
def test_an_impossible_journey_is_refused(there, minutes, field):
    with pytest.raises(Refusal) as refusal:
        keep_journey(here="Fieldgate", there=there, minutes=minutes, now=NOW, actor=None)
    assert refusal.value.field == field


def test_a_visit_that_took_place_or_an_undone_handover_cannot_be_moved(cast):
    workshop, maker, handover = cast
    handover.return_visit.state = VisitState.DONE
    with pytest.raises(Refusal, match="taken place"):
        move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
    assert return_alternatives(handover, workshop, NOW) == []
    handover.undone_at = NOW
    with pytest.raises(Refusal, match="undone"):
        move_return_visit(handover=handover, starts_at=at(4, 22), workshop=workshop, now=NOW, actor=maker)
