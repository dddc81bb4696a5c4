from __future__ import annotations

from django.apps import AppConfig


class AftercareConfig(AppConfig):
    name = "aftercare"
    verbose_name = "Aftercare"

    def ready(self) -> None:
        from aftercare import extensions

        extensions.register()
