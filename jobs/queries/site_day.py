"""The site-day sheet: access, route, crew, loads, steps, method notes. Never a code."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jobs.carrying.lifting import SOURCE
from jobs.carrying.van import LoadLine
from jobs.models import AccessArrangement, Commission, Piece, Step, StepKind, Workshop
from jobs.queries.carry_page import Carry, carry_of
from jobs.queries.pieces_page import pieces_of
from jobs.queries.route_page import protection_or_fault, room_routes
from jobs.queries.route_values import sizes_in_words
from jobs.registries import site_day_sections

SITE_STEPS = (
    StepKind.LOAD,
    StepKind.DELIVER,
    StepKind.FIT,
    StepKind.SNAGS,
    StepKind.HANDOVER,
    StepKind.RETURN_VISIT,
)
# Four figures in a row may be a code of an alarm or a key safe; such a note stays off paper.
MAY_BE_A_CODE = re.compile(r"(?:\d[\s.-]?){4,}")
WITHHELD = "left off this sheet: it holds figures that may be a code. Look at the access page before you leave."


@dataclass(frozen=True)
class LoadRow:
    """One line of the load list: into the van in this order."""

    line: LoadLine
    piece: Piece
    lifters: str


@dataclass(frozen=True)
class LoadList:
    number: int
    rows: tuple[LoadRow, ...]
    weight_kg: float


def site_day(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Context of the page and of the PDF alike. A fixed number of queries besides those of registered parts."""
    pieces = pieces_of(commission)
    places = list(commission.route_places.select_related("room"))
    carry = carry_of(commission, workshop, now, pieces=pieces, places=places)
    protection, protection_fault = protection_or_fault(places)
    return {
        "commission": commission,
        "visit": carry.visit,
        "access": access_lines(carry.access),
        "places": [(place, sizes_in_words(place)) for place in places],
        "routes": room_routes(places, pieces),
        "carry": carry,
        "loads": load_lists(carry, pieces),
        "source": SOURCE,
        "protection": protection,
        "protection_fault": protection_fault,
        "steps": steps_of_the_day(commission),
        "parts": [
            {"template": section.template, "context": section.context(commission, now)}
            for section in site_day_sections.all()
        ],
        "sheet_at": now,
    }


def access_lines(access: AccessArrangement | None) -> list[tuple[str, str]]:
    """Who, when, how; telephone numbers yes, codes never."""
    if access is None:
        return []

    def person(name: str, phone: Any) -> str:
        return f"{name}, {phone.as_national}" if name and phone else name

    return [
        ("Who opens", person(access.opener_name, access.opener_phone)),
        ("Slot", f"{access.slot_starts:%H:%M} to {access.slot_ends:%H:%M}"),
        ("Mode", access.get_mode_display()),
        ("If nobody opens", person(access.fallback_name, access.fallback_phone)),
        ("Parking", without_code(access.parking)),
        ("Notes", without_code(access.notes)),
    ]


def without_code(text: str) -> str:
    return WITHHELD if MAY_BE_A_CODE.search(text) else text


def load_lists(carry: Carry, pieces: Sequence[Piece]) -> list[LoadList]:
    """The loads with each piece's row; [] where no van is chosen."""
    if carry.loads is None:
        return []
    by_label = {piece.label: piece for piece in pieces}
    lifters = {line.piece.pk: lifters_in_words(line.lift.lifters, line.lift.verdict) for line in carry.lifts}
    found = []
    for load in carry.loads.loads:
        rows = []
        for line in load.lines:
            piece = by_label[line.piece.key]
            rows.append(LoadRow(line, piece, lifters.get(piece.pk, "")))
        found.append(LoadList(load.number, tuple(rows), load.weight_kg))
    return found


def lifters_in_words(lifters: int | None, verdict: str) -> str:
    if lifters is None:
        return "not by hand" if verdict == "not_by_hand" else "not weighed"
    return "1 lifter" if lifters == 1 else f"{lifters} lifters"


def steps_of_the_day(commission: Commission) -> list[Step]:
    """What is still to do at the client's, in order."""
    return list(commission.steps.filter(kind__in=SITE_STEPS, finished_at__isnull=True))
