"""What aftercare adds to the pages of the desk: the day, what is missing, the reports."""

from __future__ import annotations

from aftercare.queries.day_lines import drives as drive_minutes
from aftercare.queries.day_lines import photo_window_lines
from aftercare.queries.missing import of_the_light, of_the_pack
from aftercare.queries.reports import returns_report
from jobs.registries import ReportSource, day_sources, drives, missing_facts, reports


def register() -> None:
    day_sources.add("photo windows", photo_window_lines, order=15)
    drives.add("drive", drive_minutes)
    missing_facts.add("light", of_the_light, order=70)
    missing_facts.add("pack", of_the_pack, order=80)
    reports.add("returns", ReportSource("reports", returns_report), order=40)
