"""Issue a handover pack: made once, kept byte for byte."""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Callable

from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from aftercare.models import Handover, HingeCheck, IssuedPack
from aftercare.pack.contents import pack_contents
from aftercare.pack.facts import PhotographFact
from aftercare.pack.gather_pictures import Pictures
from aftercare.pack.render import PackFile, render_pack
from jobs.domain.daybook import write_line
from jobs.models import Person
from jobs.refusal import Refusal

TRIES = 5
AFTER_CHECK = "after the hinge check"


def issue_pack(
    *,
    handover: Handover,
    now: dt.datetime,
    reason: str = "",
    actor: Person | None = None,
    photographs: tuple[PhotographFact, ...] = (),
    check: HingeCheck | None = None,
) -> IssuedPack:
    """Make the next revision from the record as it stands and keep it. Takes seconds: call it outside a transaction.

    From revision 2 on, `reason` says what changed; it is printed in the revision log. Raises `Refusal`, and
    `PackNotMade` where the document cannot be made; then nothing is kept.
    """
    _check(handover, reason)
    for _ in range(TRIES):
        last = handover.packs.order_by("revision").last()
        revision = last.revision + 1 if last else 1
        if revision > 1 and not reason.strip():
            raise Refusal("reason", "Say what changed since the last pack; it is printed in the revision log.")
        # The number is printed inside, so whoever loses the race to it makes the document again with the next.
        pack = _make_and_keep(handover, revision, now, reason.strip(), actor, photographs, check)
        if pack is not None:
            return pack
    raise Refusal("", "Other packs for this handover were being issued at the same moment; please try again.")


def pack_for_sending(handover: Handover, now: dt.datetime) -> IssuedPack:
    """Revision 1, made now if it is not there yet. Called twice at the same time it gives the same row to both."""
    first = handover.packs.filter(revision=1).first()
    if first is None:
        _check(handover, "")
        first = _make_and_keep(handover, 1, now, "", None, (), None)
    return first or handover.packs.get(revision=1)


def pack_after_check(check: HingeCheck, handover: Handover, now: dt.datetime) -> IssuedPack:
    """The revision with the settings of this check; made now if it is not there yet, and made once."""
    made = IssuedPack.objects.filter(hinge_check=check).first()
    if made is None:
        pack_for_sending(handover, now)  # revision 1 is what was handed over; it never carries a reason
        try:
            made = issue_pack(handover=handover, now=now, reason=AFTER_CHECK, check=check)
        except IntegrityError:  # another process made it at the same moment
            made = IssuedPack.objects.get(hinge_check=check)
    return made


def _check(handover: Handover, reason: str) -> None:
    if handover.undone_at is not None:
        raise Refusal("", "This handover was undone; hand over again before issuing a pack.")
    longest = IssuedPack._meta.get_field("reason").max_length or 0
    if len(reason.strip()) > longest:
        raise Refusal("reason", f"Say what changed in at most {longest} characters; these are {len(reason.strip())}.")


def _make_and_keep(
    handover: Handover,
    revision: int,
    now: dt.datetime,
    reason: str,
    actor: Person | None,
    photographs: tuple[PhotographFact, ...],
    check: HingeCheck | None,
) -> IssuedPack | None:
    """None where somebody else kept this revision first."""
    contents = pack_contents(
        handover, now, revision=revision, reason=reason, photographs=photographs, pictures=Pictures.BYTES
    )
    made = render_pack(contents)
    pack = IssuedPack(
        handover=handover,
        revision=revision,
        issued_at=now,
        reason=reason,
        sha256=made.sha256,
        page_count=made.page_count,
        hinge_check=check,
    )
    discard = _store(pack, made)
    try:
        with transaction.atomic():
            pack.save()
            _write(pack, now, actor)
    except IntegrityError:
        discard()
        if handover.packs.filter(revision=revision).exists():
            return None
        raise
    except BaseException:
        discard()
        raise
    return pack


def _store(pack: IssuedPack, made: PackFile) -> Callable[[], None]:
    """Write the file under a name that says nothing of the client; returns the way to take it back."""
    storage = pack.file.storage
    wanted = pack.file.field.generate_filename(pack, f"{secrets.token_hex(16)}.pdf")
    name = storage.save(wanted, ContentFile(made.data))
    pack.file.name = name
    return lambda: storage.delete(name)


def _write(pack: IssuedPack, now: dt.datetime, actor: Person | None) -> None:
    write_line(
        act="issue_pack",
        now=now,
        actor=actor,
        commission=pack.handover.commission,
        handover=pack.handover_id,
        revision=pack.revision,
        sha256=pack.sha256,
        pages=pack.page_count,
    )
