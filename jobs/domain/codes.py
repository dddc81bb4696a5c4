"""Alarm, key-safe and gate codes: kept sealed, shown seldom, deleted seven days after the job ends."""

from __future__ import annotations

import datetime as dt
import logging
import re
from dataclasses import dataclass, field

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import AccessCode, CodeKind, Commission, Person, RevealLog, Workshop
from jobs.queries.codes import codes_go_on, commissions_whose_codes_go, may_see_codes_of
from jobs.refusal import Refusal
from jobs.secrets.field import Sealed
from jobs.secrets.sealing import SealBroken

log = logging.getLogger(__name__)
LONGEST_CODE = 60
LONGEST_PLACE = 120
# How long a second factor counts: time to read a code and no more.
RECENT = dt.timedelta(minutes=5)
SHOWN_SECONDS = 30


@dataclass(frozen=True)
class ShownCode:
    """A code in the clear, for one page and thirty seconds. Its repr tells nothing."""

    opens: str
    code: str = field(repr=False)
    place: str = field(repr=False)


@transaction.atomic
def keep_code(
    *,
    commission: Commission,
    opens: str,
    code: str,
    workshop: Workshop,
    now: dt.datetime,
    actor: Person | None,
    place: str = "",
) -> AccessCode:
    """Keep a code, sealed. Refused: blank, too long, a job whose codes are deleted already."""
    code, place = _plain("code", "Code", code, LONGEST_CODE), _plain("place", "Where it is", place, LONGEST_PLACE)
    if not code:
        raise Refusal("code", "Code: this is needed; type the code as the client gave it.")
    if opens not in CodeKind.values:
        raise Refusal("opens", "What it opens: choose one of the list.")
    gone_from = codes_go_on(commission, workshop, now)
    if gone_from is not None and gone_from <= workshop.local_day(now):
        raise Refusal(
            "", "This job has ended, so no code is kept for it any more; book a visit or open it again first."
        )
    kept = AccessCode(commission=commission, opens=opens, kept_by=actor, kept_at=now)
    kept.code = Sealed.of(code, row=kept.row("code"))
    kept.place = Sealed.of(place, row=kept.row("place")) if place else None
    kept.save(force_insert=True)
    write_line(act="keep_code", now=now, actor=actor, commission=commission, code=str(kept.pk), opens=opens)
    return kept


def reveal_code(
    *,
    code: AccessCode,
    person: Person,
    second_factor_at: dt.datetime | None,
    workshop: Workshop,
    now: dt.datetime,
) -> ShownCode:
    """The code in the clear, with a line in the log of showings and in the daybook, or nothing at all.

    Refused: to who may not, without a second factor in the last five minutes, a code gone meanwhile, a broken seal.
    """
    if not may_see_codes_of(person, code.commission, workshop):
        raise Refusal("", "Codes are shown to makers, and to helpers who were given them and go there themselves.")
    if second_factor_at is None or not dt.timedelta(0) <= now - second_factor_at <= RECENT:
        raise Refusal("", "Give your second factor again first: it counts for five minutes.")
    with transaction.atomic():
        kept = AccessCode.objects.select_for_update().filter(pk=code.pk).first()
        if kept is None or kept.code is None:
            raise Refusal("", "This code has been deleted meanwhile.")
        # The log first: what cannot be logged is not shown.
        RevealLog.objects.create(
            code_id=kept.pk,
            opens=kept.opens,
            commission=code.commission,
            person=person,
            at=now,
            second_factor_at=second_factor_at,
        )
        write_line(
            act="reveal_code", now=now, actor=person, commission=code.commission, code=str(kept.pk), opens=kept.opens
        )
        return _opened(kept)


@transaction.atomic
def delete_code(*, code: AccessCode, now: dt.datetime, actor: Person | None) -> None:
    """The code is gone; the daybook keeps that there was one, not what it was."""
    deleted, _ = AccessCode.objects.filter(pk=code.pk).delete()
    if not deleted:
        raise Refusal("", "This code has been deleted already; nothing was changed.")
    write_line(
        act="delete_code", now=now, actor=actor, commission=code.commission, code=str(code.pk), opens=code.opens
    )


@transaction.atomic
def delete_codes_of(commission: Commission, *, now: dt.datetime, why: str) -> int:
    """Every code of a commission, with one line in the daybook. Returns how many went."""
    deleted, _ = AccessCode.objects.filter(commission=commission).delete()
    if deleted:
        write_line(act="delete_codes", now=now, actor=None, commission=commission, codes=deleted, why=why)
    return deleted


def delete_codes_of_ended_jobs(workshop: Workshop, now: dt.datetime) -> int:
    """The nightly round: codes of jobs that ended seven days ago or earlier. Running it twice changes nothing."""
    ended = commissions_whose_codes_go(workshop, now)
    return sum(delete_codes_of(commission, now=now, why="job ended") for commission in ended)


def forget_codes(client_id: int, now: dt.datetime) -> None:
    """The codes' part of forgetting a client, for the registry of erasers: at once, whatever the job's state."""
    for commission in Commission.objects.filter(client_id=client_id, access_codes__isnull=False).distinct():
        delete_codes_of(commission, now=now, why="client forgotten")


def _opened(kept: AccessCode) -> ShownCode:
    assert kept.code is not None
    try:
        place = kept.place.open(row=kept.row("place")) if kept.place else ""
        return ShownCode(kept.get_opens_display(), kept.code.open(row=kept.row("code")), place)
    except SealBroken as fault:
        log.error("access code %s does not open: %s", kept.pk, fault)
        raise Refusal(
            "",
            "This code does not open: it was moved, altered, or sealed with a key that is no longer in FIELD_KEYS. "
            "Delete it and ask for the code again.",
        ) from None


def _plain(name: str, label: str, text: str, longest: int) -> str:
    text = text.strip()
    if len(text) > longest:
        raise Refusal(name, f"{label}: at most {longest} signs; this has {len(text)}.")
    if re.search(r"[\x00-\x1f\x7f]", text):
        raise Refusal(name, f"{label}: one line only, without signs that cannot be seen.")
    return text
