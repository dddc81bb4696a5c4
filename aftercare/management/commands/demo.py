from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from aftercare.demo.story import tell
from jobs.models import Commission, Person, Role


class Command(BaseCommand):
    help = "Make the demo workshop: six live and three past commissions, one of them handed over while you watch."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--out", default=str(settings.VAR_DIR / "demo"), help="folder for invite, pack and board")

    def handle(self, *args: Any, **options: Any) -> None:
        if Commission.objects.exists():
            raise CommandError("There are commissions already: the demo is only made in an empty workshop.")
        if settings.MAIL_IS_CONFIGURED:
            raise CommandError("A mail server is set: the demo would write to people. Take EMAIL_URL out first.")
        maker = Person.objects.filter(is_active=True, role=Role.MAKER).order_by("pk").first()
        with transaction.atomic():
            tell(timezone.now(), Path(options["out"]), lambda line: self.stdout.write(line), maker)
