"""What the jobs app puts on the page of a day; registered from `extensions.register()`."""

from __future__ import annotations

from jobs.queries import day_lines
from jobs.queries.the_day import visit_lines
from jobs.registries import day_sources


def register() -> None:
    day_sources.add("visits", visit_lines, order=10)
    day_sources.add("loads", day_lines.load_lines, order=20)
    day_sources.add("consignments", day_lines.consignment_lines, order=30)
    day_sources.add("steps", day_lines.step_lines, order=40)
    day_sources.add("calls", day_lines.call_lines, order=50)
    day_sources.add("parking", day_lines.parking_lines, order=60)
    day_sources.add("access", day_lines.access_lines, order=70)
    day_sources.add("running", day_lines.running_lines, order=80)
