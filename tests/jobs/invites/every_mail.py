"""One message of every kind that the program knows, each as the domain asks for it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from aftercare.domain.handover import hand_over
from aftercare.domain.hinge_check import RoomFound, finish_check, record_room
from aftercare.domain.light import note_light
from jobs.domain.messages import queue_message
from jobs.domain.reminders import queue_daily_reminders, queue_reminders
from jobs.domain.sign_in import invite_person
from jobs.domain.visits import book_visit, cancel_visit, finish_visit
from jobs.models import (
    ClientDecision,
    Message,
    MessageState,
    ParkingPlan,
    ParkingRule,
    Room,
    StepKind,
    Subcontractor,
    VisitKind,
    Workshop,
)
from jobs.registries import message_kinds
from tests.factories import NOW, make_access, make_client, make_commission, make_helper, make_maker, up_to

DAY = dt.timedelta(days=1)
HOUR = dt.timedelta(hours=1)
AT = NOW.replace(minute=0) + 20 * DAY


def every_message(workshop: Workshop, **words: Any) -> dict[str, Message]:
    """Kind -> a message. `words` may give client_name, what, nickname, opener_name, opener_email, email."""
    maker = make_maker()
    client = make_client(
        name=words.get("client_name", "Priscilla Quennell"),
        email=words.get("email", "quennell@example.org"),
        may_be_asked_for_review=True,
    )
    about = {"what": words.get("what", "boot room"), "nickname": words.get("nickname", "Tannery"), "client": client}
    commission = make_commission(
        maker=maker, done=up_to(StepKind.DOORS), latitude_deg=52.5, longitude_deg=-1.5, **about
    )
    make_access(
        commission,
        opener_name=words.get("opener_name", "Wilfred Marchbanks"),
        opener_email=words.get("opener_email", "porter@example.org"),
        notes="The key hangs behind the shed. Alarm 4711.",
    )
    _photo_window(workshop, maker, about)
    _sprayer(maker, about)
    _visits(workshop, commission)
    _handovers(workshop, maker, about)
    helper = make_helper(email="ashby@example.org")
    invite_person(person=helper, workshop=workshop, now=NOW, actor=maker)
    _from_the_client_page(workshop, commission)
    _parking(workshop, commission)
    _hinge_check(workshop, maker, about)
    found = {}
    for message in Message.objects.order_by("pk"):
        found.setdefault(message.kind, message)
    missing = set(message_kinds.entries) - set(found)
    assert not missing, f"a sample is missing here for {missing}"
    return found


def compose(message: Message, workshop: Workshop, now: dt.datetime | None = None) -> Any:
    """As the sweep writes it, at the hour it is due; for CALLs too."""
    kind = message_kinds.get(message.kind)
    assert kind is not None
    message.state = MessageState.SENDING
    mail = kind.compose(message, workshop, now or max(message.due_at, NOW))
    assert mail is not None, f"{message.kind} was not written"
    return mail


def _visits(workshop: Workshop, commission: Any) -> None:
    def book(kind: str, at: dt.datetime) -> Any:
        return book_visit(
            commission=commission, kind=kind, person=commission.maker, starts_at=at, ends_at=at + HOUR,
            workshop=workshop, now=NOW, actor=None,
        )  # fmt: skip

    book(VisitKind.SURVEY, AT)
    book(VisitKind.FITTING, AT + DAY)
    book(VisitKind.FITTING, AT + 2 * DAY)
    book(VisitKind.RETURN, AT + 10 * DAY)
    off = book(VisitKind.OTHER, AT + 11 * DAY)
    Message.objects.filter(visit=off).update(state=MessageState.SENT)
    cancel_visit(visit=off, workshop=workshop, now=NOW, actor=None)
    back = book(VisitKind.RETURN, NOW.replace(minute=0) + 2 * HOUR)
    finish_visit(visit=back, now=NOW + 4 * HOUR, actor=None)
    for days in range(32):
        queue_reminders(NOW + days * DAY, workshop=workshop)
    queue_daily_reminders(workshop, NOW)
    Message.objects.filter(state=MessageState.WITHDRAWN).update(state=MessageState.WAITING)


def _sprayer(maker: Any, about: dict[str, Any]) -> None:
    sprayer = Subcontractor.objects.create(name="Harrow Spray Shop", email="spray@example.org")
    away = make_commission(maker=maker, done=up_to(StepKind.SPRAYER_BACK), done_at=NOW - DAY, **about)
    away.steps.filter(kind=StepKind.SPRAYER_BACK).update(subcontractor=sprayer, lead_days=2)


def _handovers(workshop: Workshop, maker: Any, about: dict[str, Any]) -> None:
    done = make_commission(maker=maker, done=up_to(StepKind.HANDOVER), done_at=NOW - 2 * HOUR, **about)
    handover = hand_over(commission=done, at=NOW, workshop=workshop, now=NOW, actor=maker)
    queue_message(
        key="handover_pack:sample", kind="handover_pack", workshop=workshop, now=NOW, commission=done,
        to_name=done.client.name, to_email=done.client.email, payload={"handover": handover.pk},
    )  # fmt: skip


def _photo_window(workshop: Workshop, maker: Any, about: dict[str, Any]) -> None:
    lit = make_commission(maker=maker, latitude_deg=52.5, longitude_deg=-1.5, **about)
    room = Room.objects.create(commission=lit, name="Boot room", window_facing_deg=135)
    note_light(room=room, noted_at=NOW - 2 * DAY, now=NOW, person=maker, actor=maker)
    at = NOW.replace(minute=0) + 3 * HOUR
    book_visit(
        commission=lit, kind=VisitKind.RETURN, person=maker, starts_at=at, ends_at=at + HOUR, workshop=workshop,
        now=NOW, actor=None,
    )  # fmt: skip
    queue_reminders(NOW, workshop=workshop)


def _from_the_client_page(workshop: Workshop, commission: Any) -> None:
    said = ClientDecision.objects.create(commission=commission, kind="away", said=commission.what, decided_at=NOW)
    for kind, payload in (("client_link", {}), ("client_receipt", {"decision": said.pk})):
        queue_message(
            key=f"{kind}:sample", kind=kind, workshop=workshop, now=NOW, commission=commission,
            to_name=commission.client.name, to_email=commission.client.email, payload=payload,
        )  # fmt: skip


def _parking(workshop: Workshop, commission: Any) -> None:
    rule = ParkingRule.objects.create(council="Fieldgate", notice_working_days=5, checked_on=NOW.date())
    ParkingPlan.objects.create(commission=commission, rule=rule, day=NOW.date() + 12 * DAY)
    queue_daily_reminders(workshop, NOW + 2 * DAY)


def _hinge_check(workshop: Workshop, maker: Any, about: dict[str, Any]) -> None:
    """A return visit with its check finished; the pack's new revision waits to be sent."""
    done = make_commission(maker=maker, done=up_to(StepKind.HANDOVER), done_at=NOW - 46 * DAY, **about)
    hand_over(commission=done, at=NOW - 45 * DAY, workshop=workshop, now=NOW - 45 * DAY, actor=maker)
    visit = done.visits.get(kind=VisitKind.RETURN)
    now = max(NOW, visit.starts_at) + HOUR
    check = record_room(visit=visit, found=RoomFound(), workshop=workshop, now=now, actor=maker)
    finish_check(check=check, second_visit=False, workshop=workshop, now=now, actor=maker)
