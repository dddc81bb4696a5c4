from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from jobs.domain import people
from jobs.models import Person
from jobs.refusal import Refusal


class Command(BaseCommand):
    help = "Take out the second factors of somebody whose telephone is lost, when no other maker can do it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email", help="the e-mail address the person signs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(email__iexact=options["email"]).first()
        if person is None:
            raise CommandError(f"Nobody signs in with {options['email']!r}: see the page Workshop.")
        try:
            people.forget_factors(person=person, now=timezone.now(), actor=None)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"{person} signs in with the password alone now. Set up a new second factor soon.")
