"""The site day as the phone shows it: rows with a state, and the buttons that lead from one state to the next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.urls import reverse

from jobs.models import (
    ActOutcome,
    Commission,
    DrawingVersion,
    HourEntry,
    HourKind,
    Person,
    PhotographPurpose,
    Piece,
    SiteAct,
    Snag,
    Step,
    Visit,
    VisitState,
    Workshop,
)
from jobs.queries.site_day import SITE_STEPS, site_day
from jobs.registries import phone_sections, site_acts

# What an hour on site goes into, in the order of the day.
SITE_HOURS = (
    HourKind.LOAD,
    HourKind.DRIVE,
    HourKind.PARK,
    HourKind.CARRY,
    HourKind.PROTECT,
    HourKind.FIT,
    HourKind.SNAGS,
    HourKind.TIDY,
    HourKind.HANDOVER,
    HourKind.RETURN_VISIT,
)
FACTS_SHOWN = 30
ACTS_SHOWN = 200
OTHERS_SHOWN = 60


@dataclass(frozen=True)
class Button:
    """`act` is what is sent; it is offered in the states `when` and leads to the state `gives`, in words `done`."""

    words: str
    act: str
    when: str
    gives: str
    done: str


@dataclass(frozen=True)
class Row:
    subject: str
    title: str
    detail: str
    state: str
    words: str
    buttons: tuple[Button, ...]
    label: str = ""
    at: dt.datetime | None = None


@dataclass(frozen=True)
class Told:
    """An act as the list of facts shows it."""

    act: SiteAct
    words: str
    was_late: bool


def phone_page(commission: Commission, person: Person, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Context of the phone's page of a commission. A fixed number of queries besides registered sections."""
    sheet = site_day(commission, workshop, now)
    steps = list(commission.steps.filter(kind__in=SITE_STEPS))
    rows = [step_row(step) for step in steps]
    return sheet | {
        "steps_rows": rows,
        "next_subject": next((row.subject for row in rows if row.state != "finished"), ""),
        "timer": timer_row(person),
        "piece_rows": [piece_row(piece) for piece in commission.pieces.select_related("room")],
        "snag_rows": [snag_row(snag) for snag in commission.snags.select_related("room")],
        "rooms": list(commission.rooms.all()),
        "purposes": PhotographPurpose.choices,
        "sections": [
            {"template": section.template, "context": section.context(commission, now)}
            for section in phone_sections.all()
        ],
        "facts": told(SiteAct.objects.filter(commission=commission).select_related("person"), FACTS_SHOWN),
        "drawings": drawings_kept(commission),
        "key": uuid4(),
        "pack": [reverse("site_today"), reverse("site_phone", args=[commission.number])],
    }


def step_row(step: Step) -> Row:
    if step.finished_at:
        state, words, at = "finished", "finished", step.finished_at
    elif step.started_at:
        state, words, at = "begun", "begun", step.started_at
    else:
        state, words, at = "waiting", "not begun", None
    detail = f"{step.allowance_hours.normalize():f} h allowed" if step.allowance_hours else ""
    buttons = (
        Button(f"Begin: {step.name}", f"start_step?step={step.pk}", "waiting", "begun", "begun"),
        Button(f"Finish: {step.name}", f"finish_step?step={step.pk}", "begun", "finished", "finished"),
        Button("Take it back", f"reopen_step?step={step.pk}", "finished", "begun", "taken back"),
        Button("Take it back", f"reopen_step?step={step.pk}", "begun", "waiting", "taken back"),
    )
    return Row(f"step:{step.pk}", step.name, detail, state, words, buttons, at=at)


def timer_row(person: Person) -> Row:
    entry = (
        HourEntry.objects.filter(person=person, started_at__isnull=False, ended_at__isnull=True)
        .select_related("commission")
        .first()
    )
    buttons = [
        Button(str(kind.label), f"start_timer?kind={kind.value}", "still", "running", f"{kind.label} runs")
        for kind in SITE_HOURS
    ]
    stop = Button("Stop the timer", "stop_timer?", "running", "still", "stopped")
    state, words, at = "still", "no timer runs", None
    if entry is not None:
        state, words, at = "running", f"{entry.get_kind_display()} runs on {entry.commission}", entry.started_at
    return Row("timer", "Your timer", "", state, words, (*buttons, stop), at=at)


def piece_row(piece: Piece) -> Row:
    base = f"tick_piece?piece={piece.pk}"
    if piece.in_room_at:
        state, words, at = "in_room", "in the room", piece.in_room_at
    elif piece.loaded_at:
        state, words, at = "loaded", "in the van", piece.loaded_at
    else:
        state, words, at = "absent", "not counted yet", None
    before = "loaded" if piece.loaded_at else "absent"
    buttons = (
        Button("Into the van", f"{base}&stage=loaded&present=1", "absent", "loaded", "in the van"),
        Button("In the room", f"{base}&stage=in_room&present=1", "absent loaded", "in_room", "in the room"),
        Button("Take it back", f"{base}&stage=loaded&present=0", "loaded", "absent", "taken back"),
        Button("Take it back", f"{base}&stage=in_room&present=0", "in_room", before, "taken back"),
    )
    detail = ", ".join(filter(None, [str(piece.room or ""), "fragile" if piece.fragile else ""]))
    return Row(f"piece:{piece.pk}", str(piece), detail, state, words, buttons, piece.label, at)


def snag_row(snag: Snag) -> Row:
    state, words = ("right", "put right") if snag.done_at else ("open", "open")
    if snag.agreed_at:
        state, words = "agreed", f"agreed by {snag.agreed_by}"
    buttons = (
        Button("Put right", f"finish_snag?snag={snag.pk}", "open", "right", "put right"),
        Button("Open again", f"reopen_snag?snag={snag.pk}", "right", "open", "open again"),
    )
    return Row(
        f"snag:{snag.pk}", f"{snag.place}: {snag.words}", str(snag.room or ""), state, words, buttons, at=snag.done_at
    )


def told(acts: Any, most: int) -> list[Told]:
    """The newest by the phone's clock first; those that came in much later than they happened are marked."""
    rows = list(acts[:most])
    return [Told(act, kind.words if (kind := site_acts.get(act.kind)) else act.kind, _late(act)) for act in rows]


def _late(act: SiteAct) -> bool:
    return act.received_at - act.happened_at > dt.timedelta(minutes=5)


def drawings_kept(commission: Commission) -> list[DrawingVersion]:
    """The latest version of every drawing that is a picture; a PDF is opened by another program, with signal."""
    latest: dict[str, DrawingVersion] = {}
    for drawing in commission.drawings.order_by("added_at", "pk"):
        latest[drawing.title] = drawing
    return [one for one in latest.values() if one.media_type.startswith("image/")]


def today_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Visits of today by time, then the other open commissions. Three queries."""
    day = workshop.local_day(now)
    start = dt.datetime.combine(day, dt.time(), workshop.tz)
    visits = list(
        Visit.objects.filter(starts_at__gte=start, starts_at__lt=start + dt.timedelta(days=1))
        .exclude(state=VisitState.CANCELLED)
        .select_related("commission__client", "person")
    )
    numbers: Sequence[int] = list(dict.fromkeys(visit.commission.number for visit in visits))
    others = Commission.objects.filter(closed_on__isnull=True).exclude(number__in=numbers).select_related("client")
    return {
        "day": day,
        "visits": visits,
        "others": list(others.order_by("-number")[:OTHERS_SHOWN]),
        "refused": SiteAct.objects.filter(outcome=ActOutcome.REFUSED, seen_at__isnull=True).count(),
        "pack": [reverse("site_today"), *(reverse("site_phone", args=[number]) for number in numbers)],
    }


def acts_page() -> dict[str, Any]:
    """What phones told that was not done and nobody has seen to, then all of it, newest first. Two queries."""
    acts = SiteAct.objects.select_related("person", "commission", "seen_by")
    refused = acts.filter(outcome=ActOutcome.REFUSED, seen_at__isnull=True)
    return {"refused": told(refused, ACTS_SHOWN), "facts": told(acts, ACTS_SHOWN), "shown": ACTS_SHOWN}
