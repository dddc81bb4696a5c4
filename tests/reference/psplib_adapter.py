"""Published project-scheduling and job-shop instances as `Instance`s of the planner: one slot is one period."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from jobs.planning.calendars import HalfDayAxis
from jobs.planning.network import Commission, Instance, Link, Resource, Step

ROOT = Path(__file__).resolve().parents[2]


def psplib_directory() -> Path:
    """Where the files lie: SHUTLINE_PSPLIB, else beside the repository."""
    named = os.environ.get("SHUTLINE_PSPLIB")
    return Path(named) if named else ROOT.parent / "shared" / "data" / "psplib"


def axis_of(periods: int) -> HalfDayAxis:
    first = date(2026, 1, 1)
    return HalfDayAxis(tuple(first + timedelta(days=n) for n in range((periods + 1) // 2)))


def read_psplib(path: Path) -> Instance:
    """A single-mode file (.sm). The dummy first and last job, of no length, are left out."""
    lines = path.read_text().splitlines()
    successors = _rows(lines, "PRECEDENCE RELATIONS:", 2)
    requests = _rows(lines, "REQUESTS/DURATIONS:", 3)
    capacities = _rows(lines, "RESOURCEAVAILABILITIES:", 2)[0]
    durations = {row[0]: row[2] for row in requests}
    axis = axis_of(sum(durations.values()) + 2)
    real = {job for job, periods in durations.items() if periods > 0}
    steps = [
        Step(
            id=f"j{row[0]:03d}",
            commission_id="project",
            kind="job",
            words=f"job {row[0]}",
            duration_half_days=row[2],
            demands={f"R{n + 1}": amount for n, amount in enumerate(row[3:]) if amount},
        )
        for row in requests
        if row[0] in real
    ]
    links = [
        Link(f"j{row[0]:03d}", f"j{after:03d}")
        for row in successors
        for after in row[3:]
        if row[0] in real and after in real
    ]
    resources = [
        Resource(f"R{n + 1}", f"R{n + 1}", (amount,) * axis.slot_count) for n, amount in enumerate(capacities)
    ]
    return Instance(
        axis, 0, (Commission("project", path.stem),), tuple(steps), tuple(links), resources=tuple(resources)
    )


def _rows(lines: Sequence[str], heading: str, skip: int) -> list[list[int]]:
    """Rows of whole numbers under a heading, up to the next line of asterisks."""
    start = next(n for n, line in enumerate(lines) if line.startswith(heading)) + skip
    found = []
    for line in lines[start:]:
        if line.startswith(("*", "-")):
            if found:
                break
            continue
        found.append([int(word) for word in line.split()])
    return found


def job_shop(jobs: Sequence[Sequence[tuple[int, int]]], separate: bool = False) -> Instance:
    """Rows of (machine, periods), one row a job; each machine takes one job at a time.

    `separate`: each job is a commission of its own, so that the neighbourhood search can be tried on it.
    """
    axis = axis_of(sum(periods for job in jobs for _machine, periods in job) + 2)
    steps, links = [], []
    for j, job in enumerate(jobs):
        for n, (machine, periods) in enumerate(job):
            steps.append(
                Step(
                    id=f"j{j:02d}.{n}",
                    commission_id=f"job{j:02d}" if separate else "shop",
                    kind="job",
                    words=f"job {j} on machine {machine}",
                    duration_half_days=periods,
                    demands={f"M{machine}": 1},
                )
            )
            if n:
                links.append(Link(f"j{j:02d}.{n - 1}", f"j{j:02d}.{n}"))
    machines = sorted({machine for job in jobs for machine, _periods in job})
    ids = sorted({step.commission_id for step in steps})
    return Instance(
        axis,
        0,
        tuple(Commission(id, id) for id in ids),
        tuple(steps),
        tuple(links),
        resources=tuple(Resource(f"M{m}", f"machine {m}", (1,) * axis.slot_count) for m in machines),
    )
