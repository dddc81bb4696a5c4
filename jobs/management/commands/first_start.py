from __future__ import annotations

import secrets
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_email
from django.db import transaction

from jobs.models import Person
from jobs.models.kinds import Role
from jobs.schedules import ensure_schedules

# No 0, O, 1, I or L: the password is read off a screen and typed once. 31 signs, 20 of them: 99 bits.
SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"
GROUPS, GROUP_SIZE = 4, 5


def new_password() -> str:
    return "-".join("".join(secrets.choice(SIGNS) for _ in range(GROUP_SIZE)) for _ in range(GROUPS))


def who_can_sign_in() -> list[Person]:
    """Everybody with an e-mail address and a password. One query."""
    people = Person.objects.filter(is_active=True, email__isnull=False).order_by("pk")
    return [person for person in people if person.has_usable_password()]


@transaction.atomic
def first_login(email: str, name: str) -> tuple[Person, str] | None:
    """Give one person a password where nobody can sign in yet: the first maker there is (the demo's), else a new one.

    Returns the person and the password, which is stored nowhere else; None where somebody can sign in already.

    Raises:
        CommandError: the e-mail belongs to somebody else, who left.
    """
    if who_can_sign_in():
        return None
    password = new_password()
    person = Person.objects.filter(is_active=True, role=Role.MAKER).order_by("pk").first()
    if person is None or not person.email:
        holder = Person.objects.filter(email__iexact=email).first()
        if holder is not None:
            raise CommandError(
                f"--email: {email} belongs to {holder.name}, who cannot sign in. Give another address."
            )
    if person is None:
        return Person.objects.create_user(email, password, name=name, role=Role.MAKER), password
    person.email = person.email or email
    person.set_password(password)
    person.save(update_fields=["email", "password"])
    return person, password


class Command(BaseCommand):
    help = "Make what a running Shutline needs: the worker's one schedule, and a first login (shown once)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--email", default="maker@example.org", help="of the first login, where nobody is there yet"
        )
        parser.add_argument("--name", default="Maker", help="of the first login, where nobody is there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            validate_email(options["email"])
        except ValidationError as error:
            raise CommandError(f"--email: {options['email']!r} is no e-mail address.") from error
        ensure_schedules()
        made = first_login(options["email"], options["name"])
        if made is None:
            known = ", ".join(str(person.email) for person in who_can_sign_in()[:3])
            self.stdout.write(f"Sign in as before: {known}")
            self.stdout.write("(Password lost? .venv/bin/python manage.py changepassword THE-E-MAIL)")
            return
        person, password = made
        self.stdout.write(f"Sign in with   {person.email}   ({person.name})")
        self.stdout.write(f"Password       {password}   (shown this once; write it down)")
