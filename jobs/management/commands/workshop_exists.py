from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand

from jobs.queries.workshop import the_workshop


class Command(BaseCommand):
    help = "End with 0 where a workshop is in the database and with 3 where it is empty; script/start asks this."

    def handle(self, *args: Any, **options: Any) -> None:
        workshop = the_workshop()
        if workshop is None:
            sys.exit(3)
        self.stdout.write(workshop.name)
