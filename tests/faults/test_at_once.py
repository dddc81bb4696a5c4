"""Each function of the post twice, and at the same time: one effect. Threads on a database in a file, as in life."""

from __future__ import annotations

import datetime as dt
from collections import Counter

import pytest
from django.core.mail import EmailMessage

from jobs.domain import sending
from jobs.domain.attendance import accept_reply
from jobs.domain.feeds import revoke_feed
from jobs.domain.messages import queue_message
from jobs.domain.reminders import queue_daily_reminders, queue_reminders
from jobs.invites.intake import take_mail
from jobs.models import DaybookLine, Feed, HeldReply, Message, MessageState, StepKind, VisitKind
from jobs.refusal import Refusal
from jobs.registries import MessageKind, message_kinds
from jobs.sweep import sweep
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop, up_to
from tests.jobs.invites.replies_as_sent import first_program
from tests.jobs.invites.samples import ATTENDEE, BASE, TOKEN, UID
from tests.threads import THREADS
from tests.threads import all_at_once as at_once

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.service, pytest.mark.usefixtures("file_database")]
DAY = dt.timedelta(days=1)


@pytest.fixture
def shop(file_database):
    return make_workshop(email=BASE)


def reply_visit(maker):
    client = make_client(name="Ada Quill", email=ATTENDEE)
    commission = make_commission(maker=maker, client=client)
    return make_visit(commission, kind=VisitKind.RETURN, uid=UID, organiser_token=TOKEN, starts_at=NOW + 20 * DAY)


def test_asking_for_a_message(shop):
    at_once(lambda: queue_message(key="one", kind="visit_invite", workshop=shop, now=NOW, to_email="a@example.org"))
    assert Message.objects.count() == 1


def test_queueing_reminders(shop):
    # Hands and floor for all three at once, so that each is planned to be cut within the fortnight.
    shop.hands, shop.floor_places = 9, 9
    shop.save()
    maker = make_maker()
    for n in range(3):
        commission = make_commission(maker=maker, done=up_to(StepKind.DOORS))
        make_visit(
            commission,
            kind=VisitKind.RETURN,
            starts_at=NOW + 6 * DAY + n * dt.timedelta(hours=3),
            changed_at=NOW - 9 * DAY,
        )
    at_once(lambda: queue_reminders(NOW, workshop=shop))
    at_once(lambda: queue_daily_reminders(shop, NOW))
    assert Counter(Message.objects.values_list("kind", flat=True)) == {
        "return_reminder": 3, "nothing_changed_cutting": 3,
    }  # fmt: skip


def test_sweeping(shop, monkeypatch):
    went: list[str] = []

    class Mail(EmailMessage):
        def send(self, fail_silently: bool = False) -> int:
            went.append(self.extra_headers["Message-ID"])
            return 1

    def compose(message, workshop, now):
        return Mail("Words", "Text", to=[message.to_email], headers={"Message-ID": message.message_id})

    monkeypatch.setitem(message_kinds.entries, "plain", (1, MessageKind("Plain", compose)))
    for n in range(10):
        queue_message(key=f"plain:{n}", kind="plain", workshop=shop, now=NOW, to_email="a@example.org")
    at_once(lambda: sweep(NOW))
    assert len(went) == len(set(went)) == 10
    assert set(Message.objects.values_list("state", "attempts")) == {("sent", 1)}


def test_taking_an_answer(shop):
    visit = reply_visit(make_maker())
    at_once(lambda: take_mail(first_program(), arrived_at=NOW, workshop=shop, now=NOW))
    visit.refresh_from_db()
    assert visit.attendance == "ACCEPTED"
    assert (HeldReply.objects.count(), DaybookLine.objects.filter(act="note_attendance").count()) == (1, 1)


def test_a_person_taking_a_held_answer(shop):
    maker = make_maker()
    visit = reply_visit(maker)
    reply = take_mail(first_program(sender="partner@example.org"), arrived_at=NOW, workshop=shop, now=NOW)
    got = at_once(lambda: accept_reply(reply=HeldReply.objects.get(pk=reply.pk), now=NOW, actor=maker))
    assert sum(isinstance(one, Refusal) for one in got) == THREADS - 1
    visit.refresh_from_db()
    assert visit.attendance == "ACCEPTED"
    assert DaybookLine.objects.filter(act="note_attendance").count() == 1


@pytest.mark.parametrize("state", [MessageState.FAILED, MessageState.UNKNOWN])
def test_trying_again(shop, state):
    message = queue_message(key="one", kind="visit_invite", workshop=shop, now=NOW, to_email="a@example.org")
    Message.objects.update(state=state)
    assert sorted(at_once(lambda: sending.retry_message(message=message, now=NOW))) == [False] * 3 + [True]
    assert DaybookLine.objects.filter(act="retry_message").count() == 1


def test_a_call_made(shop):
    maker = make_maker()
    message = queue_message(key="one", kind="visit_invite", workshop=shop, now=NOW)
    got = at_once(lambda: sending.make_call(message=message, now=NOW, actor=maker))
    assert sum(isinstance(one, Refusal) for one in got) == THREADS - 1
    assert DaybookLine.objects.filter(act="make_call").count() == 1


def test_taking_an_address_back(shop):
    feed = Feed.objects.create(person=make_maker(), token_hash="0", created_at=NOW)
    got = at_once(lambda: revoke_feed(feed=feed, now=NOW, actor=None))
    assert sum(isinstance(one, Refusal) for one in got) == THREADS - 1
