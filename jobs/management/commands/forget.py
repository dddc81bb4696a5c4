from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from jobs.domain import keeping
from jobs.domain.forgetting import forget_again
from jobs.queries.workshop import the_workshop


class Command(BaseCommand):
    help = (
        "Delete what has been kept as long as it is needed, as each night does by itself. With --again: after a "
        "backup was put back, forget once more every client who had been forgotten."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--again", action="store_true", help="forget again whomever the ledger names")

    def handle(self, *args: Any, **options: Any) -> None:
        workshop, now = the_workshop(), timezone.now()
        if workshop is None:
            raise CommandError("There is no workshop in this database: nothing is kept, nothing is forgotten.")
        if options["again"]:
            done = forget_again(workshop=workshop, now=now)
            self.stdout.write(f"forgotten again: {', '.join(map(str, done)) or 'nobody'}")
        else:
            self.stdout.write(str(keeping.forget(workshop, now)))
