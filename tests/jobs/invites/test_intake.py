"""What becomes of a mail: taken, held for a person, or kept unheeded; and that it happens once."""

from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.attendance import accept_reply, dismiss_reply, forget_replies
from jobs.domain.visits import cancel_visit, move_visit
from jobs.invites.intake import KEPT_FOR, RAW_LIMIT_BYTES, take_mail
from jobs.models import DaybookLine, HeldReply, Message, VisitKind, VisitSlot
from jobs.refusal import Refusal
from tests.factories import make_client, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.invites.replies_as_sent import OFFICE, counter, first_program, mail, second_program, third_program
from tests.jobs.invites.samples import ATTENDEE, BASE, TOKEN, UID

pytestmark = pytest.mark.django_db
ARRIVED = dt.datetime(2026, 9, 1, 10, 0, tzinfo=dt.UTC)
START = dt.datetime(2026, 10, 24, 8, 30, tzinfo=dt.UTC)


@pytest.fixture
def shop():
    return make_workshop(email=BASE)


@pytest.fixture
def visit(shop):
    commission = make_commission(maker=make_maker(), client=make_client(name="Ada Quill", email=ATTENDEE))
    return make_visit(
        commission, kind=VisitKind.RETURN, starts_at=START, uid=UID, organiser_token=TOKEN,
        asked_at=dt.datetime(2026, 9, 1, 8, 50, tzinfo=dt.UTC),
    )  # fmt: skip


def take(shop, raw, arrived_at=ARRIVED, **fields):
    return take_mail(raw, arrived_at=arrived_at, workshop=shop, now=arrived_at, **fields)


def facts(visit):
    visit.refresh_from_db()
    return (visit.starts_at, visit.ends_at, visit.sequence, visit.state, visit.attendance)


@pytest.mark.parametrize("program", [first_program, second_program, third_program])
@pytest.mark.parametrize("answer", ["ACCEPTED", "DECLINED", "TENTATIVE"])
def test_the_answer_of_each_program_lands_on_the_visit_and_in_the_daybook(shop, visit, program, answer):
    before = facts(visit)
    reply = take(shop, program(answer))
    assert (reply.state, facts(visit)) == ("taken", (*before[:4], answer))
    line = DaybookLine.objects.get(act="note_attendance")
    assert (line.facts["attendance"], line.facts["visit"]) == (answer, visit.pk)
    assert visit.last_reply_at is not None and visit.last_tie_at is not None
    assert bytes(reply.raw) == b""
    assert (Message.objects.count(), VisitSlot.objects.count()) == (0, 0)


def test_the_same_mail_twice_has_one_effect(shop, visit):
    first = take(shop, first_program())
    assert take(shop, first_program()).pk == first.pk
    assert DaybookLine.objects.filter(act="note_attendance").count() == 1


@pytest.mark.parametrize(
    ("raw", "state"),
    [
        (first_program(sender="mallory@example.org"), "open"),  # not the attendee
        (first_program(to="office@example.org"), "open"),  # no token
        (first_program(to="office+ffffffffffffffffffffffffffffffff@example.org"), "open"),  # another visit's token
        (counter(), "open"),
        (first_program().replace(b"Message-ID", b"X-Nothing")[:400], "open"),  # cut off: its words are read
        (b"\x00\xff" * 4000, "kept"),
        (b"", "kept"),
        (mail("Content-Type: text/calendar; method=REPLY", "BEGIN:VCALENDAR\nTHIS IS NOT ONE\n"), "open"),
    ],
    ids=["sender", "no token", "other token", "counter", "cut off", "noise", "empty", "damaged"],
)
def test_what_is_forged_or_mangled_changes_nothing_and_is_kept(shop, visit, raw, state):
    before = facts(visit)
    reply = take(shop, raw)
    assert (reply.state, facts(visit)) == (state, before)
    assert reply.sentence and bytes(reply.raw) == raw[:RAW_LIMIT_BYTES]
    assert not DaybookLine.objects.exists()


def test_a_stale_answer_changes_nothing(shop, visit):
    later = START + dt.timedelta(days=7)
    move_visit(
        visit=visit, starts_at=later, ends_at=later + dt.timedelta(hours=1), workshop=shop, now=ARRIVED, actor=None
    )
    before = facts(visit)
    # The first program numbers its answer with the version before; the second and third leave the number out.
    assert take(shop, first_program(), ARRIVED + dt.timedelta(minutes=5)).state == "kept"
    assert facts(visit) == before
    assert before[4] == "NEEDS-ACTION"


def test_an_answer_to_a_cancelled_visit_changes_nothing(shop, visit):
    cancel_visit(visit=visit, workshop=shop, now=ARRIVED, actor=None)
    before = facts(visit)
    raw = first_program().replace(b"SEQUENCE:0", b"SEQUENCE:1")
    assert take(shop, raw).state in ("kept", "open")
    assert facts(visit) == before


def test_a_person_takes_a_held_answer_once(shop, visit):
    reply = take(shop, first_program(sender="partner@example.org"))
    accept_reply(reply=reply, now=ARRIVED, actor=visit.person)
    assert facts(visit)[4] == "ACCEPTED"
    line = DaybookLine.objects.get(act="note_attendance")
    assert line.actor == visit.person
    with pytest.raises(Refusal, match="dealt with"):
        accept_reply(reply=reply, now=ARRIVED, actor=visit.person)
    with pytest.raises(Refusal, match="dealt with"):
        dismiss_reply(reply=reply, now=ARRIVED, actor=visit.person)


def test_a_held_answer_to_the_date_before_is_not_taken(shop, visit):
    reply = take(shop, first_program(sender="partner@example.org"))
    later = START + dt.timedelta(days=7)
    move_visit(
        visit=visit, starts_at=later, ends_at=later + dt.timedelta(hours=1), workshop=shop, now=ARRIVED, actor=None
    )
    with pytest.raises(Refusal, match="earlier date"):
        accept_reply(reply=reply, now=ARRIVED, actor=visit.person)
    assert facts(visit)[4] == "NEEDS-ACTION"


def test_a_counter_proposal_can_only_be_put_aside(shop, visit):
    reply = take(shop, counter())
    assert (reply.attendance, reply.visit) == ("", visit)
    with pytest.raises(Refusal, match="no answer that could be noted"):
        accept_reply(reply=reply, now=ARRIVED, actor=visit.person)
    dismiss_reply(reply=reply, now=ARRIVED, actor=visit.person)
    reply.refresh_from_db()
    assert (reply.state, bytes(reply.raw)) == ("dismissed", b"")


def test_a_mail_in_their_own_words_is_held_with_its_visit(shop, visit):
    raw = (
        f"From: {ATTENDEE}\r\nTo: {OFFICE}\r\nMessage-ID: <own.words@example.org>\r\n\r\n"
        "Could you come an hour later?\r\n"
    ).encode()
    reply = take(shop, raw)
    assert (reply.state, reply.visit, reply.words.strip()) == ("open", visit, "Could you come an hour later?")


def test_raw_bytes_are_limited_and_go_when_their_time_is_over(shop, visit):
    reply = take(shop, b"From: a@example.org\r\n\r\n" + b"x" * 900_000)
    assert (len(reply.raw), reply.size_bytes > 900_000) == (RAW_LIMIT_BYTES, True)
    forget_replies(shop, ARRIVED + KEPT_FOR)
    assert HeldReply.objects.count() == 1
    forget_replies(shop, ARRIVED + KEPT_FOR + dt.timedelta(seconds=1))
    assert HeldReply.objects.count() == 0
