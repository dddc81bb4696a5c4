from __future__ import annotations

import datetime as dt
from io import BytesIO

import pikepdf
import pytest
import vobject
from django.core import mail

from aftercare.domain.handover import hand_over, undo_handover
from aftercare.domain.light import note_light
from aftercare.domain.return_visit import book_return_visit
from aftercare.models import Handover, IssuedPack
from jobs.domain.calendar import close_workshop
from jobs.domain.clients import add_client_away
from jobs.domain.visits import book_visit
from jobs.models import DaybookLine, Message, Room, StepKind, Visit, VisitKind, VisitState
from jobs.refusal import Refusal
from jobs.sweep import sweep
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db
# 10 March 2027 is a Wednesday: day 42 is 21 April, day 56 is 5 May; 3 May is the early May bank holiday.
DAY_42, DAY_56 = dt.date(2027, 4, 21), dt.date(2027, 5, 5)


@pytest.fixture
def cast():
    workshop = make_workshop()
    maker = make_maker()
    commission = make_commission(
        maker=maker,
        done=up_to(StepKind.HANDOVER),
        done_at=NOW - dt.timedelta(hours=2),
        latitude_deg=52.5,
        longitude_deg=-1.5,
    )
    return workshop, maker, commission


def do(cast, **fields):
    workshop, maker, commission = cast
    return hand_over(
        **{"commission": commission, "at": NOW, "workshop": workshop, "now": NOW, "actor": maker} | fields
    )


def test_hand_over_books_the_return_visit_between_day_42_and_56(cast):
    workshop, maker, commission = cast
    visit = do(cast).return_visit
    start = workshop.local(visit.starts_at)
    assert (visit.state, visit.kind, visit.person) == (VisitState.ARRANGED, VisitKind.RETURN, maker)
    assert DAY_42 <= start.date() <= DAY_56
    assert (start.weekday() < 5, start.time()) == (True, workshop.return_default_time)
    assert visit.ends_at - visit.starts_at == dt.timedelta(minutes=90)
    assert commission.steps.get(kind=StepKind.HANDOVER).finished_at == NOW
    assert set(DaybookLine.objects.values_list("act", flat=True)) == {"hand_over", "finish_step", "book_visit"}


def test_hand_over_asks_for_the_invite_with_pack_and_our_own_copy(cast):
    handover = do(cast)
    visit = handover.return_visit
    assert list(Message.objects.order_by("key").values_list("key", "to_email")) == [
        (f"return_copy:{visit.pk}:0", "shop@example.org"),
        (f"return_invite:{visit.pk}:0", "quennell@example.org"),
    ]


def test_the_sweep_sends_invite_and_pack_within_one_mail(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    handover = do(cast)
    assert sweep(NOW + dt.timedelta(minutes=1)).sent == 2
    sent = next(one for one in mail.outbox if "quennell@example.org" in one.to[0])
    names = [name for name, *_ in sent.attachments]
    assert names == ["invite.ics", "handover-pack.pdf"]
    event = vobject.readOne(sent.attachments[0][1].decode()).vevent
    assert event.dtstart.value == handover.return_visit.starts_at
    assert event.uid.value == str(handover.return_visit.uid)
    with pikepdf.open(BytesIO(sent.attachments[1][1])) as pdf:
        assert pdf.Root.MarkInfo.Marked
    pack = IssuedPack.objects.get()
    assert (pack.revision, pack.file.open("rb").read()) == (1, sent.attachments[1][1])


def test_with_a_light_note_the_visit_holds_the_photo_window(cast):
    """Worked case of the light maths: sun back at the bearing it had at 10:40 on 8 March."""
    workshop, maker, commission = cast
    room = Room.objects.create(commission=commission, name="study")
    noted = dt.datetime(2027, 3, 8, 10, 40, tzinfo=dt.UTC)
    note_light(room=room, noted_at=noted, person=maker, now=NOW, actor=maker)
    visit = do(cast).return_visit
    assert "photo window" in visit.reasons
    # British Summer Time: an hour later on the clock, less what the equation of time and the bearing make of it.
    assert dt.time(9, 0) <= workshop.local(visit.starts_at).time() <= dt.time(11, 30)


def test_client_away_and_closures_are_never_booked_over(cast):
    workshop, maker, commission = cast
    add_client_away(client=commission.client, first_day=DAY_42, last_day=dt.date(2027, 4, 27), now=NOW, actor=maker)
    close_workshop(
        first_day=dt.date(2027, 4, 28), last_day=dt.date(2027, 5, 2), reason="holiday", now=NOW, actor=maker
    )
    day = workshop.local(do(cast).return_visit.starts_at).date()
    # 3 May is a bank holiday (England and Wales, check table of the project), so only 4 and 5 May are left.
    assert day in (dt.date(2027, 5, 4), dt.date(2027, 5, 5))


def test_where_no_day_fits_handover_happens_and_the_visit_is_kept_to_arrange(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    workshop, maker, commission = cast
    add_client_away(
        client=commission.client,
        first_day=NOW.date(),
        last_day=NOW.date() + dt.timedelta(days=300),
        now=NOW,
        actor=maker,
    )
    handover = do(cast)
    visit = handover.return_visit
    assert (visit.state, visit.starts_at) == (VisitState.TO_ARRANGE, None)
    assert visit.reasons
    assert list(Message.objects.values_list("kind", flat=True)) == ["handover_pack"]
    assert sweep(NOW).sent == 1
    commission.client.away.all().delete()
    again = book_return_visit(handover=handover, workshop=workshop, now=NOW, actor=maker)
    assert (again.pk, again.state) == (visit.pk, VisitState.ARRANGED)


def test_other_visits_of_the_maker_are_gone_round(cast):
    workshop, maker, commission = cast
    first = do(cast).return_visit
    other = make_commission(
        maker=maker, client=commission.client, done=up_to(StepKind.HANDOVER), done_at=NOW - dt.timedelta(hours=2)
    )
    second = hand_over(commission=other, at=NOW, workshop=workshop, now=NOW, actor=maker).return_visit
    assert second.starts_at >= first.ends_at or second.ends_at <= first.starts_at


def test_a_second_handover_is_refused(cast):
    do(cast)
    with pytest.raises(Refusal, match="handed over already"):
        do(cast)
    assert Handover.objects.count() == 1


def test_a_handover_in_the_future_is_refused(cast):
    with pytest.raises(Refusal) as refusal:
        do(cast, at=NOW + dt.timedelta(minutes=1))
    assert refusal.value.field == "handed_over_at"
    assert (Handover.objects.count(), Visit.objects.count(), Message.objects.count()) == (0, 0, 0)


def test_a_handover_before_the_fitting_ended_is_refused(cast):
    with pytest.raises(Refusal, match="before the fitting was finished"):
        do(cast, at=NOW - dt.timedelta(days=2))


def test_a_handover_while_fitting_is_refused():
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(maker=maker, done=up_to(StepKind.FIT))
    with pytest.raises(Refusal, match="fitting is not finished"):
        hand_over(commission=commission, at=NOW, workshop=workshop, now=NOW, actor=maker)


def test_undo_cancels_the_return_visit_and_lets_us_hand_over_again(cast):
    workshop, maker, commission = cast
    handover = do(cast)
    visit = handover.return_visit
    Message.objects.update(state="sent")
    undo_handover(handover=handover, workshop=workshop, now=NOW, actor=maker)
    visit.refresh_from_db()
    assert (visit.state, visit.slots.count()) == (VisitState.CANCELLED, 0)
    assert visit.messages.filter(kind="visit_cancel").count() == 1
    assert commission.steps.get(kind=StepKind.HANDOVER).finished_at is None
    with pytest.raises(Refusal, match="undone already"):
        undo_handover(handover=handover, workshop=workshop, now=NOW, actor=maker)
    again = do(cast)
    assert again.return_visit.uid != visit.uid


def test_undo_after_the_return_visit_took_place_is_refused(cast):
    workshop, maker, _ = cast
    handover = do(cast)
    Visit.objects.filter(pk=handover.return_visit_id).update(state=VisitState.DONE)
    handover.refresh_from_db()
    with pytest.raises(Refusal, match="taken place"):
        undo_handover(handover=handover, workshop=workshop, now=NOW, actor=maker)
    assert Handover.objects.get().undone_at is None


def test_a_slot_taken_between_choice_and_booking_gives_the_next_best(cast, monkeypatch):
    """Somebody books the chosen quarter hour after the candidates were computed."""
    from aftercare.domain import handover as module

    workshop, maker, _ = cast
    other = make_commission(maker=maker, client=make_client())
    real = module.choose_return
    chosen = {}

    def choose(*args):
        chosen["choice"] = real(*args)
        best = chosen["choice"].best
        book_visit(
            commission=other, kind=VisitKind.OTHER, person=maker, starts_at=best.starts_at, ends_at=best.ends_at,
            workshop=workshop, now=NOW, actor=maker,
        )  # fmt: skip
        return chosen["choice"]

    monkeypatch.setattr(module, "choose_return", choose)
    visit = do(cast).return_visit
    assert visit.starts_at == chosen["choice"].alternatives[0].starts_at


def test_a_client_without_mail_is_to_be_rung_and_we_get_the_copy():
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(
        maker=maker, client=make_client(email=""), done=up_to(StepKind.HANDOVER), done_at=NOW - dt.timedelta(hours=2)
    )
    hand_over(commission=commission, at=NOW, workshop=workshop, now=NOW, actor=maker)
    assert dict(Message.objects.values_list("kind", "channel")) == {"return_invite": "call", "return_copy": "mail"}
