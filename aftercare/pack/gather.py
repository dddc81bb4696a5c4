"""The only place where a pack reads the database.

It reads the handover, the commission, its rooms, finishes, doors, shelves and light notes, the last hinge check, the
return visit, the earlier revisions, snags, photographs and permissions (see also `gather_*.py`). It reads no address,
no access arrangement and none of the client's away dates.
"""

from __future__ import annotations

import datetime as dt

from aftercare.models import Door, FittedFacts, Handover, LightNote, Shelf
from aftercare.pack import gather_fitted as fitted
from aftercare.pack.facts import (
    FinishFact,
    LightFact,
    PackFacts,
    PhotographFact,
    RevisionFact,
    VisitFact,
)
from aftercare.pack.gather_pictures import Pictures, permission_rows, pictures_of
from jobs.models import Commission, FinishRecord, Visit, VisitKind, VisitState, Workshop
from jobs.queries.workshop import the_workshop
from jobs.refusal import Refusal


def finish_fact(finish: FinishRecord) -> FinishFact:
    return FinishFact(
        surface=finish.surface,
        kind=finish.kind,
        kind_words=finish.get_kind_display(),
        product=finish.product,
        colour=finish.colour,
        sheen_percent=finish.sheen_percent,
        batch=finish.batch,
        applied_on=finish.applied_on,
        applied_by=finish.applied_by,
        sample=finish.sample,
        touch_up=finish.touch_up,
        tin_place=finish.tin_place,
        full_cure_days=finish.full_cure_days,
    )


def visit_fact(visit: Visit | None, workshop: Workshop) -> VisitFact | None:
    """None where no visit was ever made; a cancelled one, or one without a day, is still to be arranged."""
    if visit is None:
        return None
    if visit.state == VisitState.CANCELLED or visit.starts_at is None or visit.ends_at is None:
        return VisitFact(starts_at=None, ends_at=None)
    took_place = visit.state == VisitState.DONE
    return VisitFact(workshop.local(visit.starts_at), workshop.local(visit.ends_at), took_place)


def next_visit(handover: Handover) -> Visit | None:
    """The return visit of the handover; once it has taken place, a further one that is arranged or owed."""
    visit = handover.return_visit
    if visit is None or visit.state != VisitState.DONE:
        return visit
    open_states = (VisitState.ARRANGED, VisitState.TO_ARRANGE)
    further = Visit.objects.filter(
        commission=handover.commission_id, kind=VisitKind.RETURN, state__in=open_states
    ).order_by("pk")
    return further.last() or visit


def light_facts(commission: Commission, workshop: Workshop) -> tuple[LightFact, ...]:
    notes = LightNote.objects.filter(room__commission=commission).select_related("room")
    return tuple(
        LightFact(room=note.room.name, noted_at=workshop.local(note.noted_at), words=note.words) for note in notes
    )


def revision_facts(
    handover: Handover, workshop: Workshop, now: dt.datetime, revision: int, reason: str
) -> tuple[RevisionFact, ...]:
    """Earlier revisions as they were issued, then the one being made."""
    earlier = [
        RevisionFact(pack.revision, workshop.local_day(pack.issued_at), pack.reason)
        for pack in handover.packs.filter(revision__lt=revision).order_by("revision")
    ]
    return (*earlier, RevisionFact(revision, workshop.local_day(now), reason))


def gather(
    handover: Handover,
    now: dt.datetime,
    *,
    revision: int,
    reason: str = "",
    photographs: tuple[PhotographFact, ...] = (),
    pictures: Pictures = Pictures.NONE,
) -> PackFacts:
    """A dozen small queries, whatever the size of the commission. `now` is aware, UTC."""
    workshop = the_workshop()
    if workshop is None:
        raise Refusal("", "There is no workshop yet: enter its name and telephone under Workshop first.")
    commission = Commission.objects.select_related("client", "maker").get(pk=handover.commission_id)
    maker = commission.maker
    check = fitted.last_check(commission)
    finished, hidden = pictures_of(commission, pictures)
    doors = fitted.door_facts(list(Door.objects.filter(commission=commission).select_related("room")), check)
    return PackFacts(
        workshop_name=workshop.name,
        workshop_town=workshop.town,
        workshop_phone=phone_words(workshop.phone),
        workshop_email=workshop.email,
        maker_name=maker.name,
        maker_phone=phone_words(maker.phone or workshop.phone),
        client_name=commission.client.name,
        commission_number=commission.number,
        what=commission.what,
        rooms=tuple(room.name for room in commission.rooms.all()),
        handed_over_on=workshop.local_day(handover.handed_over_at),
        things_to_know=tuple(handover.things_to_know),
        agreed=handover.agreed,
        existing_marks=handover.existing_marks,
        finishes=tuple(finish_fact(finish) for finish in commission.finishes.all()),
        visit=visit_fact(next_visit(handover), workshop),
        return_days=(
            commission.return_first_day or workshop.return_first_day,
            commission.return_last_day or workshop.return_last_day,
        ),
        lights=light_facts(commission, workshop),
        shelves=fitted.shelf_facts(list(Shelf.objects.filter(commission=commission))),
        photographs=photographs or finished,
        hidden_photographs=hidden,
        permissions=permission_rows(commission, workshop),
        revisions=revision_facts(handover, workshop, now, revision, reason),
        fitted=fitted.fitted_words(FittedFacts.objects.filter(commission=commission).first(), workshop)
        | fitted.drawing_words(commission, workshop),
        doors=doors,
        pieces=() if doors else fitted.piece_facts(commission),
        check=fitted.check_fact(check, workshop),
        snags=fitted.snag_facts(commission, check, workshop),
        keep=fitted.keep_fact(workshop),
        client_page=fitted.client_page_root(),
    )


def phone_words(phone: object) -> str:
    """As people write it in their own country: 01632 960 123, not +441632960123."""
    if not phone:
        return ""
    return str(getattr(phone, "as_national", phone))
