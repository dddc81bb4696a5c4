"""Permissions for the use of photographs: none is presumed, each is given and taken back by itself."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction

from aftercare.models import Permission, PermissionWay, PhotographUse
from jobs.domain.daybook import write_line
from jobs.models import Commission, Person
from jobs.refusal import Refusal

# Shown to the client word for word, and kept with each permission as it then read.
WORDINGS: dict[str, str] = {
    PhotographUse.RECORD: "You may keep photographs of my furniture in your own record, and show them to nobody.",
    PhotographUse.PORTFOLIO: "You may show photographs of my furniture to people who come to see you.",
    PhotographUse.WEB: "You may show photographs of my furniture on your own website, without my name and address.",
    PhotographUse.SOCIAL: "You may show photographs of my furniture on social media, without my name and address.",
    PhotographUse.PRESS: "You may give photographs of my furniture to newspapers, magazines and books.",
}


def give_permission(
    *, commission: Commission, use: str, given_by: str, way: str, now: dt.datetime, actor: Person | None
) -> Permission:
    """The client allows one use. Refused: no name, a use that is no use, one that is allowed already."""
    if use not in PhotographUse.values:
        raise Refusal("use", "For what: choose one of the uses listed.")
    if way not in PermissionWay.values:
        raise Refusal("way", "How: say how it was given: on the page, told, or in writing.")
    given_by = given_by.strip()
    if not given_by:
        raise Refusal("given_by", "Your name: write the name of the person who allows this.")
    if len(given_by) > 120:
        raise Refusal("given_by", f"Your name: write at most 120 signs; these are {len(given_by)}.")
    try:
        with transaction.atomic():
            permission = Permission.objects.create(
                commission=commission, use=use, wording=WORDINGS[use], given_by=given_by, given_at=now, way=way
            )
            write_line(
                act="give_permission", now=now, actor=actor, commission=commission, permission=permission.pk,
                use=use, way=way,
            )  # fmt: skip
    except IntegrityError as fault:
        raise Refusal("use", f"“{PhotographUse(use).label}” is allowed already; nothing was changed.") from fault
    return permission


@transaction.atomic
def withdraw_permission(*, permission: Permission, way: str, now: dt.datetime, actor: Person | None) -> None:
    """The client takes one use back. The row stays, with the day."""
    if way not in PermissionWay.values:
        raise Refusal("way", "How: say how it was taken back: on the page, told, or in writing.")
    standing = Permission.objects.filter(pk=permission.pk, withdrawn_at__isnull=True)
    if not standing.update(withdrawn_at=now, withdrawn_way=way):
        raise Refusal("", "This was taken back already; nothing was changed.")
    permission.refresh_from_db(fields=["withdrawn_at", "withdrawn_way"])
    write_line(
        act="withdraw_permission", now=now, actor=actor, commission=permission.commission, permission=permission.pk,
        use=permission.use, way=way,
    )  # fmt: skip


def is_allowed(commission: Commission, use: str) -> bool:
    """Whether this use stands allowed at present."""
    return Permission.objects.filter(commission=commission, use=use, withdrawn_at__isnull=True).exists()


def forget_permissions(client_id: int, now: dt.datetime) -> None:
    """Eraser: who allowed what. The photographs themselves go with the client too."""
    Permission.objects.filter(commission__client_id=client_id).delete()
