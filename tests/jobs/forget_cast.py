"""A client whose name, address and telephones are planted wherever this program can hold them."""

from __future__ import annotations

import datetime as dt
from typing import Any

import time_machine
from django.core.files.base import ContentFile

from aftercare.domain.handover import hand_over
from aftercare.domain.permissions import give_permission
from aftercare.models import Door, DoorCheck, FittedFacts, FutureWork, HingeCheck, LightNote, Shelf
from jobs.domain.codes import keep_code
from jobs.domain.commissions import close_commission
from jobs.models import (
    Client,
    ClientAway,
    Commission,
    Contract,
    DrawingVersion,
    FinishRecord,
    GateOverride,
    HeldReply,
    Message,
    Photograph,
    Piece,
    Room,
    Snag,
    StepKind,
    Survey,
    Variation,
    VisitState,
)
from jobs.sweep import sweep
from tests.factories import NOW, make_access, make_client, make_commission, make_maker, make_workshop, up_to
from tests.jobs.documents.test_fetcher import jpeg

NAME, SURNAME = "Ottoline Vexworthy", "Vexworthy"
EMAIL = "ottoline.vexworthy@example.org"
PHONE, PHONE_TYPED = "+441632960777", "01632 960777"
STREET, HOUSE = "41 Pargeter Row", "Sundial Cottage"
OPENER, OPENER_PHONE = "Barnaby Thistlewood", "01632 960888"
CODE = "Hx#90417"
NEEDLES = (NAME, SURNAME, EMAIL, PHONE, PHONE_TYPED, "01632960777", STREET, HOUSE, OPENER, "Thistlewood", "ZQ9 9ZQ")
ENDED = NOW + dt.timedelta(days=49)


def planted(settings: Any, tmp_path: Any) -> Client:
    """Told through the real acts where there is one: handover, pack, mails to the outbox, code, permission."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.OUTBOX_DIR = tmp_path / "outbox"
    settings.ERASURES_FILE = tmp_path / "erasures.jsonl"
    settings.EMAIL_BACKEND = "jobs.outbox.OutboxBackend"
    with time_machine.travel(NOW - dt.timedelta(days=90), tick=False):
        client = make_client(
            name=NAME, email=EMAIL, phone=PHONE, address=f"{STREET}\nFieldgate", postcode="ZQ9 9ZQ",
            notes=f"{NAME} prefers the telephone",
        )  # fmt: skip
    workshop, maker = make_workshop(phone="+441632960010"), make_maker()
    commission = make_commission(
        maker=maker, client=client, done=up_to(StepKind.HANDOVER), done_at=NOW - dt.timedelta(hours=2),
        nickname=HOUSE, what=f"library for {SURNAME}", site_address=f"{HOUSE}, {STREET}",
        latitude_deg=52.5, longitude_deg=-1.5,
    )  # fmt: skip
    code = {"commission": commission, "opens": "alarm", "code": CODE, "place": f"behind {SURNAME}'s coats"}
    keep_code(workshop=workshop, now=NOW, actor=maker, **code)
    _plant_site(commission, maker)
    with time_machine.travel(NOW, tick=False):
        handover = hand_over(
            commission=commission, at=NOW, workshop=workshop, now=NOW, actor=maker,
            know_first=f"Ring before you come, {SURNAME}", agreed=f"{NAME} keeps the tin",
        )  # fmt: skip
        for use in ("record", "web"):
            give_permission(commission=commission, use=use, given_by=NAME, way="told", now=NOW, actor=maker)
        sweep(NOW + dt.timedelta(minutes=1))
    _plant_aftercare(commission, maker, handover.return_visit)
    return client


def end(commission: Commission) -> None:
    """The return visit is over and the commission closed, at ENDED."""
    commission.visits.update(state=VisitState.DONE)
    close_commission(commission=commission, today=ENDED.date(), now=ENDED, actor=commission.maker)


def _plant_site(commission: Commission, maker: Any) -> None:
    make_access(commission, opener_name=OPENER, opener_phone=OPENER_PHONE, notes=f"{SURNAME} is at work")
    ClientAway.objects.create(client=commission.client, first_day=NOW.date(), last_day=NOW.date())
    room = Room.objects.create(commission=commission, name=f"{SURNAME} study")
    Room.objects.create(commission=commission, name="Ottoline study")
    Survey.objects.create(room=room, taken_on=NOW.date(), notes=f"{NAME} showed us round")
    Piece.objects.create(
        commission=commission, number=1, name=f"Wall of {SURNAME}", width_mm=900, height_mm=2200, depth_mm=400
    )
    FinishRecord.objects.create(commission=commission, surface=f"Doors, {SURNAME}", tin_place="boiler cupboard")
    Snag.objects.create(
        commission=commission, place=SURNAME, words=f"as {NAME} saw", seen_on=NOW.date(), done_at=NOW,
        agreed_at=NOW, agreed_by="Cousin Hugo",
    )  # fmt: skip
    step = commission.steps.get(kind=StepKind.FIT)
    step.name = f"Fit for {SURNAME}"
    step.save()
    GateOverride.objects.create(step=step, at=NOW, person=maker, sentences="x", reason=f"{SURNAME} said so")
    Contract.objects.create(
        commission=commission, quote_reference="Q-1", price_pence=900_000, agreed_on=NOW.date(), agreed_by_name=NAME,
        where_agreed="home", exclusions=f"{SURNAME} paints the wall",
    )  # fmt: skip
    Variation.objects.create(
        commission=commission, number=1, words=f"{NAME} wants a light", price_pence=10_000, asked_at=NOW
    )
    photograph = Photograph(
        commission=commission, purpose="finished", words=f"At {HOUSE}", sha256="0", width_px=8, height_px=6
    )
    photograph.added_at = NOW
    for file in (photograph.file, photograph.small):
        file.save("p.jpg", ContentFile(jpeg((80, 60))), save=False)
    photograph.save()
    drawing = DrawingVersion(
        commission=commission, title=f"Library {SURNAME}", version=1, sha256="0", media_type="application/pdf",
        added_at=NOW, approved_by_name=NAME,
    )  # fmt: skip
    drawing.file.save("d.pdf", ContentFile(f"drawn for {NAME}".encode()), save=False)
    drawing.save()
    HeldReply.objects.create(
        digest="0" * 64, state="open", sentence="x", words=f"Regards, {NAME}", sender=EMAIL, arrived_at=NOW,
        raw=f"From: {EMAIL}".encode(), expires_at=NOW + dt.timedelta(days=900),
    )  # fmt: skip


def _plant_aftercare(commission: Commission, maker: Any, visit: Any) -> None:
    room = commission.rooms.order_by("pk")[0]
    door = Door.objects.create(commission=commission, room=room, label="D1", width_mm=450, height_mm=2000)
    Shelf.objects.create(
        commission=commission, place=f"{SURNAME}'s shelf", span_mm=800, depth_mm=300, thickness_mm=22
    )
    LightNote.objects.create(room=room, noted_at=NOW, words=f"{SURNAME} likes it", person=maker)
    check = HingeCheck.objects.create(visit=visit, by=maker, begun_at=NOW, notes=f"{NAME} was there")
    DoorCheck.objects.create(
        check_of=check, door=door, verdict="adjusted", words=f"as {SURNAME} asked", after_top_tenths_mm=25
    )
    FittedFacts.objects.create(commission=commission, signed_by=NAME, handles=f"chosen by {SURNAME}")
    FutureWork.objects.create(
        commission=commission, what=f"a desk for {NAME}", next_contact_on=dt.date(2028, 1, 10), may_write="yes",
        noted_on=NOW.date(), noted_by=maker,
    )  # fmt: skip
    for message in Message.objects.all():
        message.error = f"refused for {EMAIL}"
        message.save()
