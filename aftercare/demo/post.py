"""What the post leaves for a person in the demo: a call to make, and an answer that did not come from the client."""

from __future__ import annotations

import datetime as dt

from aftercare.demo.cast import Cast
from aftercare.demo.days import DemoDays
from jobs.domain.visits import SlotTaken, book_visit
from jobs.invites.intake import take_mail
from jobs.invites.organiser import organiser_address
from jobs.models import Commission, Visit, VisitKind, VisitState

# From another address of the house than the one that was invited; as calendar programs write it (RFC 6047 section 4).
ANSWER = """\
From: Tamblyn at the harbour office <harbour-office@example.org>
To: <{to}>
Subject: Accepted: {summary}
Message-ID: <demo.answer@example.org>
MIME-Version: 1.0
Content-Type: text/calendar; method=REPLY; charset=utf-8

BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//example//calendar//EN
METHOD:REPLY
BEGIN:VEVENT
UID:{uid}
SEQUENCE:{sequence}
DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}
ATTENDEE;PARTSTAT=ACCEPTED:mailto:harbour-office@example.org
END:VEVENT
END:VCALENDAR
"""


def fill_post(by_nickname: dict[str, Commission], cast: Cast, days: DemoDays) -> list[str]:
    """A visit to a client without e-mail, and a held answer; returns what was done, a sentence each."""
    visit = _visit_without_mail(by_nickname["Lamb Lane"], cast, days)
    return [
        f"{visit.commission.client} has no e-mail: the visit to {visit.commission} is a call to make, on the board.",
        _hold_an_answer(by_nickname["Quay House"], cast, days.now),
    ]


def _visit_without_mail(commission: Commission, cast: Cast, days: DemoDays) -> Visit:
    """To choose the handles, on the first afternoon that is free."""
    for ahead in range(4, 30):
        day = days.day(ahead)
        try:
            return book_visit(
                commission=commission,
                kind=VisitKind.OTHER,
                person=cast.maker,
                starts_at=days.on(day, 16),
                ends_at=days.on(day, 17),
                workshop=cast.workshop,
                now=days.now,
                actor=cast.maker,
            )
        except SlotTaken:
            continue
    raise RuntimeError("No free afternoon in five weeks: the demo's own visits have grown too many.")


def _hold_an_answer(commission: Commission, cast: Cast, now: dt.datetime) -> str:
    visit = commission.visits.filter(kind=VisitKind.DELIVERY, state=VisitState.ARRANGED).get()
    raw = ANSWER.format(
        to=organiser_address(cast.workshop.email, visit.organiser_token),
        summary=visit,
        uid=visit.uid,
        sequence=visit.sequence,
        stamp=now,
    )
    mail = raw.replace("\n", "\r\n").encode()
    reply = take_mail(mail, arrived_at=now, workshop=cast.workshop, now=now)
    return f"An answer about {commission} is held for you: {reply.sentence}"
