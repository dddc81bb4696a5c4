"""The mails that carry a handover pack."""

from __future__ import annotations

import datetime as dt

from django.core.mail import EmailMultiAlternatives

from aftercare.domain.hinge_check import standing_handover
from aftercare.domain.packs import pack_after_check, pack_for_sending
from aftercare.models import Handover, HingeCheck, IssuedPack
from aftercare.pack.stored import stored_bytes
from jobs.invites.mail import Attachment
from jobs.invites.visit_mail import invite_of, letter, visit_mail
from jobs.models import Message, MessageState, VisitState, Workshop


def compose_return_invite(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """Invite to the return visit, with the pack: one mail, one thing to do."""
    handover = _standing_handover(message)
    visit = message.visit
    if handover is None or visit is None or not _is_present(message):
        return None
    return visit_mail(
        "return_invite",
        message,
        workshop,
        now,
        invite=invite_of(visit, workshop, now),
        attachments=[_paper(pack_for_sending(handover, now))],
        is_change=visit.sequence > 0,
    )


def compose_return_copy(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The workshop's own copy of invite and pack."""
    handover = _standing_handover(message)
    visit = message.visit
    if handover is None or visit is None or not _is_present(message):
        return None
    has_pack = _copy_has_gone(handover)
    papers = [] if has_pack else [_paper(pack_for_sending(handover, now))]
    if invite := invite_of(visit, workshop, now):
        papers.append(Attachment("invite.ics", invite.body, "application/ics"))
    return visit_mail(
        "return_copy",
        message,
        workshop,
        now,
        attachments=papers,
        reasons=visit.reasons.splitlines(),
        has_pack=has_pack,
    )


def compose_pack(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The pack alone, where no day for the return visit was found."""
    handover = _standing_handover(message)
    if handover is None:
        return None
    context = {"workshop": workshop, "commission": handover.commission, "to_name": message.to_name}
    return letter(
        "handover_pack", message, workshop, now, context, attachments=[_paper(pack_for_sending(handover, now))]
    )


def compose_revision(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The pack with the settings of a hinge check: to the client, or to us where the client has no e-mail."""
    check = HingeCheck.objects.select_related("visit").filter(pk=message.payload["check"]).first()
    handover = standing_handover(check.visit) if check is not None else None
    if check is None or handover is None:
        return None
    pack = pack_after_check(check, handover, now)
    context = {
        "workshop": workshop,
        "commission": handover.commission,
        "client_name": handover.commission.client.name,
        "to_name": message.to_name,
        "to_client": message.payload["to_client"],
        "revision": pack.revision,
    }
    return letter("pack_revision", message, workshop, now, context, attachments=[_paper(pack)])


def _standing_handover(message: Message) -> Handover | None:
    return (
        Handover.objects.select_related("commission__client", "commission__maker", "return_visit")
        .filter(pk=message.payload["handover"], undone_at__isnull=True)
        .first()
    )


def _copy_has_gone(handover: Handover) -> bool:
    """Whether our own copy with the pack was sent before: a move brings the new time alone."""
    return Message.objects.filter(
        kind="return_copy",
        state=MessageState.SENT,
        commission=handover.commission_id,
        payload__handover=handover.pk,
    ).exists()


def _is_present(message: Message) -> bool:
    """Whether the message speaks of the visit as it now stands; a later version sends its own."""
    visit = message.visit
    return visit is not None and visit.state == VisitState.ARRANGED and visit.sequence == message.payload["sequence"]


def _paper(pack: IssuedPack) -> Attachment:
    return Attachment("handover-pack.pdf", stored_bytes(pack), "application/pdf")
