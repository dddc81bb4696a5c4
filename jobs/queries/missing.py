"""What the record of a commission still lacks: small functions in a registry, each line with where it is mended.

What is wanted for a step that is near comes first; the rest is said too, folded. A fixed number of queries.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.urls import reverse

from jobs.models import (
    Commission,
    Contract,
    FinishRecord,
    Step,
    StepKind,
    VisitKind,
    VisitState,
    Workshop,
)
from jobs.pure_errors import MeasureError
from jobs.queries.cutting_gate import cutting_gate
from jobs.queries.kit_page import pressing_shortages
from jobs.queries.money_page import payment_rows
from jobs.queries.piece_values import weight_of
from jobs.registries import Missing, missing_facts
from jobs.words import joined, money_in_words

ORDER = {kind.value: place for place, kind in enumerate(StepKind)}
# Once fitting is done nobody wants these any more.
OVER_WITH_FITTING = {
    StepKind.DRAWING, StepKind.APPROVAL, StepKind.DOORS, StepKind.CARCASSES, StepKind.SPRAYER_OUT, StepKind.WRAP,
    StepKind.LOAD,
}  # fmt: skip
# A fact is wanted now for the first step that is not finished, and for the two kinds after it; judgement, no source.
AHEAD = 2
NAMED_AT_MOST = 5


@dataclass(frozen=True)
class MissingFacts:
    now: tuple[Missing, ...]
    later: tuple[Missing, ...]


def missing_now_and_later(
    commission: Commission, workshop: Workshop, now: dt.datetime, steps: Iterable[Step]
) -> MissingFacts:
    """In the order of the work; nothing of a commission that is closed."""
    if commission.closed_on is not None:
        return MissingFacts((), ())
    steps = list(steps)
    is_fitted = any(step.kind == StepKind.FIT and step.finished_at is not None for step in steps)
    places = [ORDER[step.kind] for step in steps if step.finished_at is None and step.kind in ORDER]
    near = min(places, default=len(ORDER)) + AHEAD
    every = [one for source in missing_facts.all() for one in source(commission, workshop, now)]
    if is_fitted:
        every = [one for one in every if one.wanted_for not in OVER_WITH_FITTING]
    every.sort(key=lambda one: ORDER.get(one.wanted_for, 0))
    return MissingFacts(
        tuple(one for one in every if ORDER.get(one.wanted_for, 0) <= near),
        tuple(one for one in every if ORDER.get(one.wanted_for, 0) > near),
    )


def _at(name: str, commission: Commission) -> str:
    return reverse(name, args=[commission.number])


def of_client_and_site(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    client = reverse("edit_client", args=[commission.client_id])
    if not commission.client.email:
        yield Missing("No e-mail of the client: each message becomes a call to make.", client, StepKind.SURVEY)
    if not commission.client.phone:
        yield Missing("No telephone number of the client.", client, StepKind.SURVEY)
    if not commission.address.strip():
        yield Missing("No address of the site.", _at("edit_commission", commission), StepKind.SURVEY)
    if not commission.has_place:
        words = "No coordinates of the site: no travel times, and no photo window."
        yield Missing(words, _at("edit_commission", commission), StepKind.SURVEY)


def of_the_rooms(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """Rooms, which way they look, and what holds cutting: readings, age, the client's word, the sign-off."""
    gate = cutting_gate(commission, now)
    if not gate.rooms:
        words = "No room yet: add the room, and which way its window faces."
        yield Missing(words, _at("add_room", commission), StepKind.SURVEY)
        return
    for standing in gate.rooms:
        if standing.room.window_facing_deg is None:
            words = f"{standing.room}: nobody noted which way the window faces."
            yield Missing(words, reverse("edit_room", args=[standing.room.pk]), StepKind.DRAWING)
    if not gate.still_to_cut:
        return
    for hold in gate.holds:
        of_room = next((one for one in gate.rooms if hold.startswith(f"{one.room}")), None)
        url = reverse("room", args=[of_room.room.pk]) if of_room else _at("changes", commission)
        yield Missing(hold, url, StepKind.DRAWING if of_room else StepKind.DOORS)


def of_the_agreement(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """Contract, drawing, stage payments. Five queries."""
    contract = Contract.objects.filter(commission=commission).first()
    if contract is None:
        yield Missing("No contract recorded.", _at("contract", commission), StepKind.DEPOSIT)
    elif contract.lacks_notice:
        words = "The contract says nothing of a notice of cancellation rights."
        yield Missing(words, _at("contract", commission), StepKind.DEPOSIT)
    drawing = commission.drawings.order_by("-added_at", "-pk").first()
    if drawing is None:
        yield Missing("No drawing yet.", _at("drawings", commission), StepKind.DRAWING)
    elif drawing.approved_at is None:
        words = f"{drawing} is not approved by the client."
        yield Missing(words, _at("drawings", commission), StepKind.APPROVAL)
    rows = payment_rows(commission, commission.steps.all(), workshop.local_day(now))
    if not rows:
        yield Missing("No stage payments are agreed.", _at("money", commission), StepKind.DEPOSIT)
    for row in rows:
        if row.is_late:
            words = f"{row.payment}: {money_in_words(row.open_pence)} is due and not in."
            yield Missing(words, _at("money", commission), StepKind.DEPOSIT)


def of_the_pieces(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """Pieces, their weights, the way in. Two queries."""
    pieces = list(commission.pieces.all())
    if not pieces:
        words = "No piece is entered: no weights, no labels, no loads."
        yield Missing(words, _at("add_piece", commission), StepKind.CARCASSES)
        return
    unweighed = [piece.label for piece in pieces if not _is_weighed(piece)]
    if unweighed:
        named = unweighed[:NAMED_AT_MOST] + (
            [f"{len(unweighed) - NAMED_AT_MOST} more"] if unweighed[NAMED_AT_MOST:] else []
        )
        words = f"No weight of {joined(named)}: lifters and loads cannot be worked out."
        yield Missing(words, _at("pieces", commission), StepKind.WRAP)
    if not commission.route_places.exists():
        words = "Nothing noted of the way in: will every piece go up and round?"
        yield Missing(words, _at("route", commission), StepKind.CARCASSES)


def _is_weighed(piece: object) -> bool:
    try:
        return weight_of(piece).weight_kg is not None  # type: ignore[arg-type]
    except MeasureError:
        return False


def of_the_finish(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """One query."""
    finishes = list(commission.finishes.all())
    if not finishes:
        words = "No finish recorded: the handover pack will say “not recorded”."
        yield Missing(words, _at("add_finish", commission), StepKind.SPRAYER_OUT)
    for finish in finishes:
        blanks = [words for words, value in _finish_facts(finish) if not value]
        if blanks:
            words = f"Finish of {finish}: {joined(blanks)} not recorded."
            yield Missing(words, reverse("edit_finish", args=[finish.pk]), StepKind.HANDOVER)


def _finish_facts(finish: FinishRecord) -> list[tuple[str, object]]:
    return [
        ("product and code", finish.product),
        ("colour", finish.colour),
        ("batch", finish.batch),
        ("date", finish.applied_on),
        ("touch-up", finish.touch_up),
        ("where the tin is", finish.tin_place),
    ]


def of_the_door(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """Access, the visit it is for, parking, kit. At most eight queries."""
    access = commission.access_arrangements.filter(visit__isnull=True).first()
    if access is None:
        words = "No access arrangement: who lets us in, and when?"
        yield Missing(words, _at("arrange_access", commission), StepKind.LOAD)
    elif not access.opener_phone:
        words = f"No telephone number of {access.opener_name}, who lets us in."
        yield Missing(words, _at("arrange_access", commission), StepKind.LOAD)
    to_bring = commission.steps.filter(kind=StepKind.DELIVER, finished_at__isnull=True).exists()
    coming = commission.visits.filter(
        state=VisitState.ARRANGED, kind__in=[VisitKind.DELIVERY, VisitKind.FITTING], starts_at__gte=now
    ).exists()
    if to_bring and not coming:
        yield Missing("No delivery or fitting is booked.", _at("book_visit", commission), StepKind.LOAD)
    if to_bring and not commission.parking_plans.exists():
        words = "No parking is planned: may the van stand there?"
        yield Missing(words, _at("parking", commission), StepKind.LOAD)
    short = pressing_shortages(commission, workshop, now)
    if short:
        words = f"Short for loading: {joined([item.words for item in short[:NAMED_AT_MOST]])}."
        yield Missing(words, _at("kit", commission), StepKind.WRAP)
