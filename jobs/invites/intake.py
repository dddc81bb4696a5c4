"""One mail that may answer an invitation: read, judged, and either taken, or held for a person, or kept unheeded."""

from __future__ import annotations

import datetime as dt
import hashlib
import uuid

from django.db import transaction

from jobs.domain.attendance import note_attendance
from jobs.invites.replies import HeldReply as ReadHeld
from jobs.invites.replies import KnownVisit, Reply, Unreadable, Verdict, judge, read_reply
from jobs.models import Attendance, HeldReply, Person, ReplyState, Visit, VisitState, Workshop

KEPT_FOR = dt.timedelta(days=90)
RAW_LIMIT_BYTES = 200_000
STATES = {"accept": ReplyState.TAKEN, "hold": ReplyState.OPEN, "ignore": ReplyState.KEPT}

Read = Reply | ReadHeld | Unreadable


def take_mail(
    raw: bytes,
    *,
    arrived_at: dt.datetime,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None = None,
    whole: bool = True,
) -> HeldReply:
    """The record of this mail, made now or already there: a mail read twice has one effect.

    Never raises for what is in the mail. With `whole` False, `raw` is only its header.
    """
    read = read_reply(raw, organiser_base=workshop.email, arrived_at=arrived_at, whole=whole)
    digest = _digest(read, raw)
    with transaction.atomic():
        visit = _locked_visit(read)
        seen = HeldReply.objects.filter(digest=digest).first()
        if seen is not None:
            return seen
        verdict = _verdict(read, visit, workshop)
        row, is_new = HeldReply.objects.get_or_create(
            digest=digest, defaults=_columns(read, verdict, visit, raw, arrived_at, now)
        )
        if is_new and verdict.action == "accept" and visit is not None:
            note_attendance(
                visit=visit,
                attendance=str(verdict.attendance),
                reply_at=verdict.reply_at,
                tie_at=verdict.tie_at,
                now=now,
                actor=actor,
            )
    return row


def _digest(read: Read, raw: bytes) -> str:
    """A mail is known by its Message-ID and sender, a bare calendar file by its bytes."""
    name = read.envelope.message_id
    said = f"{name} {read.envelope.sender}".encode(errors="replace") if name else raw
    return hashlib.sha256(said).hexdigest()


def _locked_visit(read: Read) -> Visit | None:
    uid = None if isinstance(read, Unreadable) else read.uid
    try:
        name = uuid.UUID(uid or "")
    except ValueError:
        return _by_token(read)
    found = Visit.objects.select_for_update(of=("self",)).select_related("commission__client")
    return found.filter(uid=name).first()


def _by_token(read: Read) -> Visit | None:
    """A mail in their own words has no UID, but was sent to one visit's own address."""
    if isinstance(read, ReadHeld) and len(read.envelope.tokens) == 1:
        return (
            Visit.objects.select_related("commission__client").filter(organiser_token=read.envelope.tokens[0]).first()
        )
    return None


def _verdict(read: Read, visit: Visit | None, workshop: Workshop) -> Verdict:
    if isinstance(read, Unreadable):
        return Verdict("ignore", read.sentence)
    if isinstance(read, ReadHeld):
        return Verdict("hold", read.sentence)
    verdict = judge(read, _known(visit, workshop) if visit else None)
    if verdict.action == "accept" and visit is not None and visit.state != VisitState.ARRANGED:
        return Verdict("ignore", f"It answers a visit that is {visit.get_state_display().lower()}.")
    return verdict


def _known(visit: Visit, workshop: Workshop) -> KnownVisit:
    return KnownVisit(
        uid=str(visit.uid),
        sequence=visit.sequence,
        attendee_email=visit.commission.client.email,
        token=visit.organiser_token,
        attendance=visit.attendance,
        zone=workshop.zone,
        last_reply_at=visit.last_reply_at,
        last_tie_at=visit.last_tie_at,
        asked_at=visit.asked_at,
    )


def _columns(
    read: Read, verdict: Verdict, visit: Visit | None, raw: bytes, arrived_at: dt.datetime, now: dt.datetime
) -> dict[str, object]:
    state = STATES[verdict.action]
    words = "" if isinstance(read, Unreadable) else read.comment if isinstance(read, Reply) else read.words
    return {
        "visit": visit,
        "visit_sequence": visit.sequence if visit else None,
        "state": state,
        "sentence": verdict.sentence[:300],
        "words": words[:2000].replace("\x00", ""),
        "sender": (read.envelope.sender or "")[:254],
        "attendance": _answer(read),
        "stamped_at": read.stamped_at if isinstance(read, Reply) else None,
        "arrived_at": arrived_at,
        "size_bytes": len(raw),
        # The bytes serve a person who has to judge; of a taken answer nothing is left to judge.
        "raw": raw[:RAW_LIMIT_BYTES] if state != ReplyState.TAKEN else b"",
        "expires_at": now + KEPT_FOR,
    }


def _answer(read: Read) -> str:
    """The answer a person may take over; of a counter-proposal none, since it answers another time."""
    if not isinstance(read, Reply) or read.method == "COUNTER" or read.attendance == Attendance.NEEDS_ACTION:
        return ""
    return read.attendance if read.attendance in Attendance.values else ""
