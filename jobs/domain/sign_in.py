"""How people and wall screens get in. What opens a door is shown once and kept as a hash only."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from allauth.account.models import EmailAddress
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.crypto import salted_hmac

from jobs.domain.daybook import write_line
from jobs.domain.messages import queue_message
from jobs.models import Device, Invitation, Person, SendPolicy, Workshop
from jobs.refusal import Refusal

INVITATION_LASTS = dt.timedelta(days=3)
PAIRING_LASTS = dt.timedelta(minutes=10)
SEEN_EVERY = dt.timedelta(hours=1)
# No 0, O, 1, I or L: read off one screen and typed on another. 31 signs, 8 of them: 39 bits for ten minutes, with the
# tries limited.
SIGNS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
PAIRING_SIGNS = 8
GONE = "This invitation has run out or was used already. Ask whoever sent it for a new one."


def hash_of(token: str) -> str:
    """SHA-256 of a 256-bit token: nothing slower is needed, nobody can try them all."""
    return hashlib.sha256(token.encode(errors="replace")).hexdigest()


@transaction.atomic
def invite_person(*, person: Person, workshop: Workshop, now: dt.datetime, actor: Person | None) -> Invitation:
    """Ask for the mail with a one-time link to set a password; earlier links stop working."""
    if not person.email:
        raise Refusal("", f"{person} has no e-mail; note one first, then invite.")
    if not person.is_active:
        raise Refusal("", f"{person} no longer works here; tick “works here” first, then invite.")
    withdraw_invitations(person=person, now=now)
    invitation = Invitation.objects.create(
        person=person, made_by=actor, made_at=now, expires_at=now + INVITATION_LASTS
    )
    queue_message(
        key=f"invitation:{invitation.pk}",
        kind="invitation",
        workshop=workshop,
        now=now,
        to_name=person.name,
        to_email=person.email,
        payload={"invitation": invitation.pk},
        # Access: a doubt is shown to a person, not settled by sending twice.
        policy=SendPolicy.AT_MOST_ONCE,
    )
    write_line(act="invite_person", now=now, actor=actor, person=person.pk, invitation=invitation.pk)
    return invitation


def withdraw_invitations(*, person: Person, now: dt.datetime) -> int:
    return _open_ones(now).filter(person=person).update(withdrawn_at=now)


def new_invitation_token(invitation_id: int, *, now: dt.datetime) -> str | None:
    """A fresh token for the mail being written, good for three days; None where the invitation no longer stands."""
    token = secrets.token_urlsafe(32)
    standing = Invitation.objects.filter(pk=invitation_id, used_at__isnull=True, withdrawn_at__isnull=True)
    standing = standing.filter(person__is_active=True)
    return token if standing.update(token_hash=hash_of(token), expires_at=now + INVITATION_LASTS) else None


def standing_invitation(token: str, *, now: dt.datetime) -> Invitation | None:
    """The invitation this token opens. One query, no write."""
    found = _open_ones(now).filter(token_hash=hash_of(token), person__is_active=True)
    return found.select_related("person").first()


@transaction.atomic
def accept_invitation(*, token: str, password: str, now: dt.datetime) -> Person:
    """The invited person sets their password; the link is used up. Their mail address is then known to be theirs."""
    invitation = standing_invitation(token, now=now)
    if invitation is None:
        raise Refusal("", GONE)
    person = invitation.person
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refusal("password", f"Password: {' '.join(fault.messages)}") from fault
    if not _open_ones(now).filter(pk=invitation.pk).update(used_at=now):
        raise Refusal("", GONE)
    person.set_password(password)
    person.save(update_fields=["password"])
    EmailAddress.objects.filter(user=person).exclude(email__iexact=person.email).delete()
    EmailAddress.objects.update_or_create(
        user=person, email=person.email, defaults={"verified": True, "primary": True}
    )
    write_line(act="accept_invitation", now=now, actor=person, person=person.pk, invitation=invitation.pk)
    return person


@transaction.atomic
def add_wall_screen(*, name: str, now: dt.datetime, actor: Person | None) -> tuple[Device, str]:
    """A wall screen waiting to be paired, and the code to type on it, shown once and good for ten minutes."""
    name = name.strip()
    if not name:
        raise Refusal("name", "Which screen: give it a name, as in “over the bench”.")
    code = "".join(secrets.choice(SIGNS) for _ in range(PAIRING_SIGNS))
    device = Device.objects.create(
        name=name[:60],
        pairing_hash=_pairing_hash(code),
        pairing_until=now + PAIRING_LASTS,
        made_by=actor,
        made_at=now,
    )
    write_line(act="add_wall_screen", now=now, actor=actor, device=device.pk)
    return device, f"{code[:4]}-{code[4:]}"


@transaction.atomic
def pair_wall_screen(*, code: str, now: dt.datetime) -> tuple[Device, str]:
    """The screen on which the code was typed becomes the device; returns the token for its cookie."""
    typed = "".join(sign for sign in code.upper() if sign in SIGNS)
    waiting = Device.objects.filter(
        pairing_hash=_pairing_hash(typed), pairing_until__gt=now, token_hash__isnull=True, revoked_at__isnull=True
    )
    device = waiting.first() if len(typed) == PAIRING_SIGNS else None
    token = secrets.token_urlsafe(32)
    if device is None or not waiting.filter(pk=device.pk).update(
        token_hash=hash_of(token), paired_at=now, last_seen_at=now, pairing_hash=""
    ):
        raise Refusal("code", "Code: this is not a code that waits for a screen. A maker makes one under Workshop.")
    device.refresh_from_db()
    write_line(act="pair_wall_screen", now=now, actor=device, device=device.pk)
    return device, token


@transaction.atomic
def revoke_wall_screen(*, device: Device, now: dt.datetime, actor: Person | None) -> None:
    """From this moment the screen sees nothing more."""
    if not Device.objects.filter(pk=device.pk, revoked_at__isnull=True).update(revoked_at=now, pairing_hash=""):
        raise Refusal("", "This screen was taken out already; nothing was changed.")
    write_line(act="revoke_wall_screen", now=now, actor=actor, device=device.pk)


def device_of(token: str, *, now: dt.datetime) -> Device | None:
    """The wall screen with this cookie, or None: unknown or revoked. Notes once an hour that it was seen."""
    device = Device.objects.filter(token_hash=hash_of(token), revoked_at__isnull=True).first()
    if device is not None and (device.last_seen_at is None or now - device.last_seen_at > SEEN_EVERY):
        Device.objects.filter(pk=device.pk).update(last_seen_at=now)
    return device


def _open_ones(now: dt.datetime) -> QuerySet[Invitation]:
    return Invitation.objects.filter(used_at__isnull=True, withdrawn_at__isnull=True, expires_at__gt=now)


def _pairing_hash(code: str) -> str:
    # Short, so keyed: a copy of the database alone must not be enough to try all codes.
    return salted_hmac("jobs.wall.pairing", code, algorithm="sha256").hexdigest()
