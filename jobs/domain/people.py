from __future__ import annotations

import datetime as dt

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.domain.sign_in import withdraw_invitations
from jobs.models import Person, Role
from jobs.refusal import Refusal


@transaction.atomic
def save_person(*, person: Person, now: dt.datetime, actor: Person | None) -> Person:
    """Somebody of the workshop, new or changed. Nobody gets a sign-in by this; who leaves loses theirs at once.

    Refused: taking the workshop from the last maker who can sign in.
    """
    is_new = person.pk is None
    if is_new and not person.password:
        person.set_unusable_password()
    person.email = person.email or None
    if not is_new:
        _keep_one_maker(person)
    person.save()
    if not person.is_active:
        withdraw_invitations(person=person, now=now)
    # The sign-in library keeps addresses of its own; an old one would go on signing the person in.
    EmailAddress.objects.filter(user=person).exclude(email__iexact=person.email or "").delete()
    write_line(act="add_person" if is_new else "edit_person", now=now, actor=actor, person=person.pk)
    return person


@transaction.atomic
def forget_factors(*, person: Person, now: dt.datetime, actor: Person | None) -> int:
    """A lost telephone: the person's second factors, passkeys and codes for a lost telephone are gone, so that the
    password alone signs in and new ones can be set up. Refused: one's own, and where there are none."""
    if actor is not None and actor.pk == person.pk:
        raise Refusal("", "Your own second factor is taken out under “Signed in as”, where you give it once more.")
    taken_out, _ = Authenticator.objects.filter(user=person).delete()
    if not taken_out:
        raise Refusal("", f"{person} has no second factor; nothing was changed.")
    write_line(act="forget_factors", now=now, actor=actor, person=person.pk)
    return taken_out


def _keep_one_maker(person: Person) -> None:
    before = Person.objects.get(pk=person.pk)
    if not _can_run_the_workshop(before) or _can_run_the_workshop(person):
        return
    others = Person.objects.exclude(pk=person.pk).filter(role=Role.MAKER, is_active=True, email__isnull=False)
    if not any(_can_run_the_workshop(other) for other in others):
        raise Refusal(
            "",
            f"{person} is the only maker who can sign in; without one nobody could change the workshop any more. "
            "Let another maker choose a password first.",
        )


def _can_run_the_workshop(person: Person) -> bool:
    return person.role == Role.MAKER and person.is_active and bool(person.email) and person.has_usable_password()
