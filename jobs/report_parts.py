"""The reports of the jobs app; registered from `extensions.register()`."""

from __future__ import annotations

from jobs.queries import reports as made
from jobs.registries import ReportSource, reports


def register() -> None:
    reports.add("hours", ReportSource("reports", made.hours_report), order=10)
    reports.add("promises", ReportSource("reports", made.promises_report), order=20)
    reports.add("turnaround", ReportSource("reports", made.turnaround_report), order=30)
    reports.add("money", ReportSource("money", made.money_report), order=50)
