"""The acts of a site day that every commission knows, each done by the domain's own function at its own hour."""

from __future__ import annotations

import re
from typing import TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet

from jobs.domain import hours, pieces, snags, steps
from jobs.domain.photographs import describe_photograph
from jobs.models import HourKind, Photograph, Piece, Room, SitePhotograph, Snag, SnagCause, Step
from jobs.refusal import AlreadyTrue, Refusal
from jobs.registries import SiteActKind, SiteMoment, site_acts

M = TypeVar("M", bound=Model)
LABEL = re.compile(r"\s*[Pp]?\s*0*(\d{1,4})\s*", re.ASCII)
STAGE_WORDS = {"wrapped": "wrapped", "loaded": "in the van", "in_room": "in the room"}


def one_of(rows: QuerySet[M], pk: str, what: str) -> M:
    """The row with this id among those of the commission."""
    found = rows.filter(pk=int(pk)).first() if pk.isascii() and pk.isdigit() and len(pk) < 18 else None
    if found is None:
        raise Refusal("", f"This {what} is not of this commission any more: load the page again.")
    return found


def text(moment: SiteMoment, name: str, words: str, most: int) -> str:
    found = moment.payload.get(name, "").strip()
    if not found:
        raise Refusal(name, f"{words}: this is needed; fill it in.")
    if len(found) > most:
        raise Refusal(name, f"{words}: {len(found)} letters; {most} is the most.")
    return found


def the_step(moment: SiteMoment) -> Step:
    return one_of(moment.commission.steps.select_related("commission"), moment.payload.get("step", ""), "step")


def start_step(moment: SiteMoment) -> str:
    step = the_step(moment)
    if step.started_at is not None:
        raise AlreadyTrue(f"“{step.name}” was begun already.")
    steps.start_step(step=step, at=moment.happened_at, now=moment.happened_at, actor=moment.person)
    return f"“{step.name}” begun."


def finish_step(moment: SiteMoment) -> str:
    step = the_step(moment)
    if step.finished_at is not None:
        raise AlreadyTrue(f"“{step.name}” was finished already.")
    steps.finish_step(step=step, at=moment.happened_at, now=moment.happened_at, actor=moment.person)
    return f"“{step.name}” finished."


def reopen_step(moment: SiteMoment) -> str:
    step = the_step(moment)
    if step.started_at is None:
        raise AlreadyTrue(f"“{step.name}” was not begun.")
    steps.reopen_step(step=step, now=moment.happened_at, actor=moment.person)
    return f"“{step.name}” taken back."


def step_subject(moment: SiteMoment) -> str:
    return f"step:{the_step(moment).pk}"


def start_timer(moment: SiteMoment) -> str:
    kind = moment.payload.get("kind", "")
    hours.start_timer(
        person=moment.person,
        commission=moment.commission,
        kind=kind,
        workshop=moment.workshop,
        now=moment.happened_at,
        actor=moment.person,
    )
    return f"Timer begun: {HourKind(kind).label}."


def stop_timer(moment: SiteMoment) -> str:
    """The person's running timer: a phone that started one out of signal does not know its number."""
    entry = hours.running_timer(moment.person)
    if entry is None:
        raise AlreadyTrue("No timer was running.")
    if entry.started_at is not None and entry.started_at > moment.happened_at:
        raise Refusal("", "The timer that runs now was begun later: stop that one, or tell the hours.")
    words = entry.get_kind_display()
    kept = hours.stop_timer(entry=entry, now=moment.happened_at, actor=moment.person)
    return f"Timer stopped: {words}." if kept else f"Timer stopped: {words}, under half a minute, not kept."


def the_piece(moment: SiteMoment) -> Piece:
    rows = moment.commission.pieces.select_related("commission")
    if "label" not in moment.payload:
        return one_of(rows, moment.payload.get("piece", ""), "piece")
    label = LABEL.fullmatch(moment.payload["label"])
    found = rows.filter(number=int(label[1])).first() if label else None
    if found is None:
        raise Refusal("label", "Label: no piece of this commission has this label; write it as P07.")
    return found


def tick_piece(moment: SiteMoment) -> str:
    piece, stage = the_piece(moment), moment.payload.get("stage", "")
    present = moment.payload.get("present") == "1"
    if stage not in pieces.STAGES:
        raise Refusal("stage", "Count at wrap, at load or in the room.")
    words = f"{piece} is {'' if present else 'not '}{STAGE_WORDS[stage]}"
    if (getattr(piece, pieces.STAGES[stage][0]) is not None) == present:
        raise AlreadyTrue(f"{words}: known already.")
    pieces.tick_piece(piece=piece, stage=stage, present=present, now=moment.happened_at, actor=moment.person)
    return f"{words}."


def piece_subject(moment: SiteMoment) -> str:
    return f"piece:{the_piece(moment).pk}:{moment.payload.get('stage', '')}"[:40]


def photograph_of(moment: SiteMoment) -> tuple[Photograph | None, str]:
    """The photograph sent with the act, and a sentence where there should be one and is none."""
    key = moment.payload.get("photograph", "")
    if not key:
        return None, ""
    try:
        rows = SitePhotograph.objects.filter(key=UUID(key), commission=moment.commission)
    except ValueError as fault:
        raise Refusal("photograph", "The photograph has no proper key: take it again.") from fault
    sent = rows.select_related("photograph").first()
    if sent is None or (sent.photograph is None and not sent.refused):
        raise Refusal("photograph", "The photograph has not come through whole: take it again.")
    return sent.photograph, f" Its photograph was not taken: {sent.refused}" if sent.photograph is None else ""


def the_room(moment: SiteMoment) -> Room | None:
    pk = moment.payload.get("room", "")
    return one_of(moment.commission.rooms.all(), pk, "room") if pk else None


def note_snag(moment: SiteMoment) -> str:
    photograph, fault = photograph_of(moment)
    cause = moment.payload.get("cause") or SnagCause.UNKNOWN
    if cause not in SnagCause.values:
        raise Refusal("cause", "Cause: choose one of the list.")
    today = moment.workshop.local_day(moment.happened_at)
    snag = Snag(
        commission=moment.commission,
        place=text(moment, "place", "Place", 80),
        words=text(moment, "words", "What is wrong", 200),
        room=the_room(moment),
        cause=cause,
        photograph=photograph,
        seen_on=today,
    )
    snags.save_snag(snag=snag, today=today, now=moment.happened_at, actor=moment.person)
    return f"Snag noted: {snag.place}.{fault}"


def the_snag(moment: SiteMoment) -> Snag:
    return one_of(moment.commission.snags.select_related("commission"), moment.payload.get("snag", ""), "snag")


def finish_snag(moment: SiteMoment) -> str:
    snag = the_snag(moment)
    if snag.done_at is not None:
        raise AlreadyTrue(f"The snag “{snag.place}” was put right already.")
    photograph, fault = photograph_of(moment)
    snags.finish_snag(snag=snag, photograph=photograph, now=moment.happened_at, actor=moment.person)
    return f"Snag put right: {snag.place}.{fault}"


def reopen_snag(moment: SiteMoment) -> str:
    snag = the_snag(moment)
    if snag.done_at is None:
        raise AlreadyTrue(f"The snag “{snag.place}” is open already.")
    snags.reopen_snag(snag=snag, now=moment.happened_at, actor=moment.person)
    return f"Snag open again: {snag.place}."


def add_photograph(moment: SiteMoment) -> str:
    """The photograph came before its act; this gives it its words and its room."""
    photograph, fault = photograph_of(moment)
    if photograph is None:
        raise Refusal("photograph", fault.strip() or "Photograph: choose one.")
    photograph.words, photograph.room = moment.payload.get("words", "").strip()[:200], the_room(moment)
    describe_photograph(photograph=photograph, now=moment.happened_at, actor=moment.person)
    return "Photograph added."


def register() -> None:
    def by_snag(moment: SiteMoment) -> str:
        return f"snag:{the_snag(moment).pk}"

    site_acts.add("start_step", SiteActKind("Step begun", start_step, step_subject))
    site_acts.add("finish_step", SiteActKind("Step finished", finish_step, step_subject))
    site_acts.add("reopen_step", SiteActKind("Step taken back", reopen_step, step_subject))
    site_acts.add("start_timer", SiteActKind("Timer begun", start_timer))
    site_acts.add("stop_timer", SiteActKind("Timer stopped", stop_timer))
    site_acts.add("tick_piece", SiteActKind("Piece counted", tick_piece, piece_subject))
    site_acts.add("note_snag", SiteActKind("Snag noted", note_snag))
    site_acts.add("finish_snag", SiteActKind("Snag put right", finish_snag, by_snag))
    site_acts.add("reopen_snag", SiteActKind("Snag open again", reopen_snag, by_snag))
    site_acts.add("add_photograph", SiteActKind("Photograph added", add_photograph))
