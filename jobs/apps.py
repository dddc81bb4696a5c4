from __future__ import annotations

from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        from jobs import checks, extensions, sign_in_log  # noqa: F401 (importing them registers what they hold)

        extensions.register()
