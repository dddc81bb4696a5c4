"""The versions of the plan: what is on offer, and what has been in force."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.models import PlanState, PlanVersion, Workshop
from jobs.planning.solve import solver_present
from jobs.queries.plan_page import steps_by_pk
from jobs.queries.plan_words import Move, moves_in_words, say_terms

VERSIONS_SHOWN = 10
MOVES_SHOWN = 8


@dataclass(frozen=True)
class VersionLine:
    pk: int
    made_at: dt.datetime
    method: str
    terms: str
    cost: int
    seed: str
    solver: str
    moved: int
    told: int
    state: str
    is_cut_short: bool


@dataclass(frozen=True)
class Offer:
    pk: int
    moves: tuple[Move, ...]
    more: int
    told: int
    terms: str
    terms_now: str


def versions_part(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Three queries at most: the versions, the one on offer, the steps it would move."""
    listed = PlanVersion.objects.exclude(state=PlanState.OFFERED).defer("places", "forecast", "remedies")
    versions = list(listed[:VERSIONS_SHOWN])
    offered = PlanVersion.objects.filter(state=PlanState.OFFERED).defer("places", "forecast", "remedies").first()
    current = next((one for one in versions if one.state == PlanState.CURRENT), None)
    return {
        "versions": [version_line(one) for one in versions],
        "offer": None if offered is None else _offer(offered, current, workshop.local_day(now)),
        "has_improver": solver_present(),
        "is_kept": current is not None,
    }


def version_line(one: PlanVersion) -> VersionLine:
    return VersionLine(
        one.pk,
        one.made_at,
        one.method,
        say_terms(one.terms),
        one.cost,
        "none" if one.seed is None else str(one.seed),
        one.solver_version or "none",
        len(one.moved),
        sum(1 for row in one.moved if row[5]),
        PlanState(one.state).label,
        one.hit_time_limit,
    )


def _offer(offered: PlanVersion, current: PlanVersion | None, today: dt.date) -> Offer:
    moves = moves_in_words(offered.moved, steps_by_pk(row[0] for row in offered.moved), today)
    return Offer(
        offered.pk,
        tuple(moves[:MOVES_SHOWN]),
        max(0, len(moves) - MOVES_SHOWN),
        sum(1 for move in moves if move.is_told),
        say_terms(offered.terms),
        say_terms(current.terms) if current else "",
    )


def version_page(version: PlanVersion, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """One version with all that it moved. One query."""
    today = workshop.local_day(now)
    return {
        "version": version,
        "line": version_line(version),
        "moves": moves_in_words(version.moved, steps_by_pk(row[0] for row in version.moved), today),
        "refused": [sentence for _key, sentence in version.refused],
    }
