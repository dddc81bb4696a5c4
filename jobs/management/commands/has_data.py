from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand

from jobs.models import Person
from jobs.queries.workshop import the_workshop

EMPTY = 3


class Command(BaseCommand):
    help = "End with 0 where a person or a workshop is in the database, else with 3; script/start asks this."

    def handle(self, *args: Any, **options: Any) -> None:
        if the_workshop() is None and not Person.objects.exists():
            self.stdout.write("empty")
            sys.exit(EMPTY)
        self.stdout.write("in use")
