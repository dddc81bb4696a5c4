"""Any story of booking, moving, cancelling, answering, sweeping, dying and clocks that change: what must always hold.

A state machine (hypothesis) with a small model beside it: intervals compared pair by pair, versions remembered, mails
counted by Message-ID. The clock starts two days before the clocks go forward and runs over that night.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter

import pytest
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from jobs.domain.messages import queue_message
from jobs.domain.visits import SlotTaken, book_visit, cancel_visit, move_visit
from jobs.invites.intake import take_mail
from jobs.invites.organiser import organiser_address
from jobs.models import Message, MessageState, SendPolicy, Visit, VisitKind, VisitState, Workshop
from jobs.refusal import Refusal
from jobs.registries import MessageKind, message_kinds
from jobs.sweep import sweep
from tests.factories import make_client, make_commission, make_maker, make_workshop
from tests.faults.post_office import CalendarObject, Killed, PostOffice

START = dt.datetime(2027, 3, 26, 8, 0, tzinfo=dt.UTC)
QUARTER = dt.timedelta(minutes=15)
KINDS = st.sampled_from([VisitKind.SURVEY, VisitKind.FITTING, VisitKind.RETURN, VisitKind.DELIVERY])
REPLY = """From: <quennell@example.org>
To: <{to}>
Message-ID: <{name}@example.org>
Content-Type: text/calendar; method=REPLY; charset=utf-8

BEGIN:VCALENDAR
VERSION:2.0
PRODID:any
METHOD:REPLY
BEGIN:VEVENT
UID:{uid}
DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}
SEQUENCE:{sequence}
ATTENDEE;PARTSTAT={answer}:mailto:quennell@example.org
END:VEVENT
END:VCALENDAR
"""


class Story(RuleBasedStateMachine):
    @initialize()
    def begin(self) -> None:
        self.outer = transaction.atomic()
        self.outer.__enter__()
        PostOffice.accepted.clear()
        PostOffice.calendars.clear()
        self.now = START
        self.kills_after_yes: Counter[str] = Counter()
        self.sequences: dict[int, int] = {}
        self.mails = self.asked = 0
        self.shop = make_workshop()
        self.maker = make_maker()
        self.commissions = [make_commission(maker=self.maker, client=make_client()) for _ in range(2)]

    def teardown(self) -> None:
        if not hasattr(self, "outer"):
            return
        try:
            self.nothing_is_lost()
        finally:
            transaction.set_rollback(True)
            self.outer.__exit__(None, None, None)

    def slot(self, days: int, quarter: int, length: int) -> tuple[dt.datetime, dt.datetime]:
        begins = self.now.replace(hour=0, minute=0, second=0) + dt.timedelta(days=days) + quarter * QUARTER
        return begins, begins + length * QUARTER

    def is_free(self, begins: dt.datetime, ends: dt.datetime, but: int | None = None) -> bool:
        held = Visit.objects.exclude(state__in=[VisitState.CANCELLED, VisitState.TO_ARRANGE]).exclude(pk=but)
        return not any(begins < other.ends_at and other.starts_at < ends for other in held)

    @rule(
        days=st.integers(1, 9),
        quarter=st.integers(28, 60),
        length=st.integers(1, 16),
        kind=KINDS,
        which=st.integers(0, 1),
    )
    def book(self, days: int, quarter: int, length: int, kind: str, which: int) -> None:
        begins, ends = self.slot(days, quarter, length)
        free = self.is_free(begins, ends)
        try:
            book_visit(
                commission=self.commissions[which], kind=kind, person=self.maker, starts_at=begins, ends_at=ends,
                workshop=self.shop, now=self.now, actor=self.maker,
            )  # fmt: skip
        except SlotTaken:
            assert not free
        else:
            assert free

    @precondition(lambda self: Visit.objects.exists())
    @rule(data=st.data(), days=st.integers(1, 9), quarter=st.integers(28, 60), length=st.integers(1, 16))
    def move(self, data: st.DataObject, days: int, quarter: int, length: int) -> None:
        visit = self.any_visit(data)
        version = visit.sequence
        begins, ends = self.slot(days, quarter, length)
        free = self.is_free(begins, ends, visit.pk)
        try:
            move_visit(
                visit=visit, starts_at=begins, ends_at=ends, workshop=self.shop, now=self.now, actor=self.maker
            )
        except SlotTaken:
            assert not free
        except Refusal:
            assert visit.state in (VisitState.CANCELLED, VisitState.DONE)
        else:
            assert free
            assert visit.sequence == version + 1

    @precondition(lambda self: Visit.objects.exists())
    @rule(data=st.data())
    def cancel(self, data: st.DataObject) -> None:
        visit = self.any_visit(data)
        version = visit.sequence
        try:
            cancel_visit(visit=visit, workshop=self.shop, now=self.now, actor=self.maker)
        except Refusal:
            assert visit.state == VisitState.CANCELLED
        else:
            assert visit.sequence == version + 1

    @precondition(lambda self: Visit.objects.exists())
    @rule(
        data=st.data(),
        answer=st.sampled_from(["ACCEPTED", "DECLINED", "TENTATIVE", "BANANA"]),
        behind=st.integers(-1, 2),
        twice=st.booleans(),
    )
    def reply(self, data: st.DataObject, answer: str, behind: int, twice: bool) -> None:
        visit = self.any_visit(data)
        before = Visit.objects.filter(pk=visit.pk).values().get()
        self.mails += 1
        raw = REPLY.format(
            to=organiser_address(self.shop.email, visit.organiser_token), name=f"reply{self.mails}", uid=visit.uid,
            stamp=self.now, sequence=max(0, visit.sequence - behind), answer=answer,
        ).replace("\n", "\r\n").encode()  # fmt: skip
        for _ in range(2 if twice else 1):
            state = take_mail(raw, arrived_at=self.now, workshop=self.shop, now=self.now).state
        after = Visit.objects.filter(pk=visit.pk).values().get()
        changed = {name for name in before if before[name] != after[name]}
        assert changed <= {"attendance", "last_reply_at", "last_tie_at"}
        if state != "taken":
            assert not changed
        if state == "taken":
            assert visit.state == VisitState.ARRANGED and after["attendance"] == answer
            # RFC 5546 2.1.5: an answer to an earlier or a later version than stands is no answer to this one.
            assert max(0, visit.sequence - behind) == visit.sequence

    @rule()
    def ask_for_what_goes_once(self) -> None:
        self.asked += 1
        queue_message(
            key=f"once:{self.asked}", kind="once", workshop=self.shop, now=self.now, to_email="quennell@example.org",
            policy=SendPolicy.AT_MOST_ONCE,
        )  # fmt: skip

    @rule(fault=st.sampled_from(PostOffice.FAULTS))
    def sweep(self, fault: str) -> None:
        PostOffice.fault = fault
        known = len(PostOffice.accepted)
        try:
            sweep(self.now)
        except Killed:
            self.kills_after_yes.update(PostOffice.accepted[known:][-1:] if fault == "killed after yes" else [])
        finally:
            PostOffice.fault = ""

    @rule(minutes=st.sampled_from([1, 2, 6, 61, 60 * 7, 60 * 24, 60 * 24 * 3, -5]))
    def wait(self, minutes: int) -> None:
        self.now += dt.timedelta(minutes=minutes)

    def any_visit(self, data: st.DataObject) -> Visit:
        return data.draw(st.sampled_from(list(Visit.objects.order_by("pk"))))

    @invariant()
    def no_two_visits_overlap(self) -> None:
        if not hasattr(self, "now"):
            return
        held = list(Visit.objects.exclude(state__in=[VisitState.CANCELLED, VisitState.TO_ARRANGE]))
        for i, one in enumerate(held):
            for other in held[i + 1 :]:
                assert one.ends_at <= other.starts_at or other.ends_at <= one.starts_at

    @invariant()
    def versions_never_fall(self) -> None:
        if not hasattr(self, "now"):
            return
        for pk, sequence in Visit.objects.values_list("pk", "sequence"):
            assert sequence >= self.sequences.get(pk, 0)
            self.sequences[pk] = sequence

    @invariant()
    def one_effect_a_key(self) -> None:
        """A mail comes twice only where the program died between the server's yes and its own record of it, and an
        access mail not even then."""
        if not hasattr(self, "now"):
            return
        policies = dict(Message.objects.values_list("message_id", "policy"))
        for name, times in Counter(PostOffice.accepted).items():
            once = policies[name] == SendPolicy.AT_MOST_ONCE
            assert times <= 1 + (0 if once else self.kills_after_yes[name])

    @invariant()
    def a_calendar_program_could_follow(self) -> None:
        """RFC 5546 2.1.4: by the mails in their order a version never falls, another time is a higher version, and
        so is calling the visit off."""
        if not hasattr(self, "now"):
            return
        last: dict[str, CalendarObject] = {}
        for sent in PostOffice.calendars:
            before = last.get(sent.uid)
            if before is not None:
                same = (before.method, before.starts_at) == (sent.method, sent.starts_at)
                assert sent.sequence > before.sequence or (same and sent.sequence == before.sequence), (before, sent)
            last[sent.uid] = sent

    def the_client_knows(self) -> None:
        """What the last mail about a visit says is what stands, unless its mail was refused for good."""
        last = {sent.uid: sent for sent in PostOffice.calendars}
        for visit in Visit.objects.filter(state__in=[VisitState.ARRANGED, VisitState.CANCELLED]):
            known, is_off = last.get(str(visit.uid)), visit.state == VisitState.CANCELLED
            kind = "visit_cancel" if is_off else "visit_invite"
            mail = Message.objects.filter(key=f"{kind}:{visit.pk}:{visit.sequence}").first()
            if mail is None:
                assert is_off and known is None, "called off, and the client was not told"
            elif mail.state != MessageState.FAILED:
                method = "CANCEL" if is_off else "REQUEST"
                assert known is not None and visit.starts_at is not None
                assert (known.method, known.sequence, known.starts_at) == (method, visit.sequence, visit.starts_at)

    def nothing_is_lost(self) -> None:
        """With a mail server that works, all that is due goes; nothing is left between two states."""
        self.now += dt.timedelta(days=1)
        for _ in range(3):
            sweep(self.now)
            self.now += dt.timedelta(minutes=10)
        self.one_effect_a_key()
        left = Message.objects.filter(due_at__lte=self.now).exclude(channel="call")
        assert not left.filter(state__in=[MessageState.WAITING, MessageState.SENDING]).exists()
        for message in Message.objects.filter(state=MessageState.SENT):
            assert message.message_id in PostOffice.accepted
        for visit in Visit.objects.filter(state=VisitState.ARRANGED):
            invite = Message.objects.get(key=f"visit_invite:{visit.pk}:{visit.sequence}")
            assert invite.state in (MessageState.SENT, MessageState.FAILED)  # refused for good: shown to a person
        self.the_client_knows()


def compose_once(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives:
    """A mail about money, say: sent twice it is worse than not sent."""
    headers = {"Message-ID": message.message_id}
    return EmailMultiAlternatives("Words", "Text", workshop.email, [message.to_email], headers=headers)


@pytest.mark.django_db
@pytest.mark.timeout(600)  # a machine with other work takes minutes
def test_any_story(settings, monkeypatch):
    monkeypatch.setitem(message_kinds.entries, "once", (1, MessageKind("Once", compose_once)))
    settings.EMAIL_BACKEND = "tests.faults.post_office.PostOffice"
    run_state_machine_as_test(Story, settings=STORIES)


STORIES = settings(
    max_examples=20, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)
