from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from jobs import sweep


class Command(BaseCommand):
    help = "Send every message that is due. The worker does this each minute; cron can do it instead."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(sweep.run())
