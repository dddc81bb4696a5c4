"""What aftercare adds to the page of a day; registered from `extensions.register()`."""

from __future__ import annotations

from aftercare.queries.day_lines import drives as drive_minutes
from aftercare.queries.day_lines import photo_window_lines
from jobs.registries import day_sources, drives


def register() -> None:
    day_sources.add("photo windows", photo_window_lines, order=15)
    drives.add("drive", drive_minutes)
