"""What two commissions of the demo have on record: contract, variation, drawings, photographs, consignments out and
back, parking, carries and hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

from aftercare.demo.cast import Cast
from aftercare.demo.days import DemoDays
from aftercare.demo.pictures import elevation_png, room_jpeg, stairs_jpeg
from aftercare.models import Handover
from jobs.domain.consignments import receive_consignment, save_consignment, save_item, send_consignment
from jobs.domain.contracts import answer_variation, ask_variation, record_contract
from jobs.domain.drawings import add_drawing, approve_drawing
from jobs.domain.hours import tell_hours
from jobs.domain.parking import plan_parking, save_parking_rule
from jobs.domain.photographs import add_photographs
from jobs.domain.route import record_carry
from jobs.models import (
    CarryRecord,
    Commission,
    Consignment,
    ConsignmentItem,
    Contract,
    ParkingPlan,
    ParkingRule,
    StepKind,
    Subcontractor,
)
from jobs.words import short_day

HOURS = (("doors", 11, 480), ("carcasses", 10, 450), ("carcasses", 9, 510), ("finish", 4, 390), ("office", 3, 50))


def fill_records(commission: Commission, sprayer: Subcontractor, cast: Cast, days: DemoDays) -> Iterator[str]:
    """For a commission whose doors have been away and come back. Yields a sentence for each thing done."""
    act: Any = {"now": days.now, "actor": cast.maker}
    today = cast.workshop.local_day(days.now)
    for kind, days_ago, minutes in HOURS:
        worked_on = today - dt.timedelta(days=days_ago)
        tell_hours(
            person=cast.maker, commission=commission, kind=kind, worked_on=worked_on, minutes=minutes, today=today,
            **act,
        )  # fmt: skip
    _draw_and_agree(commission, cast, days)
    yield f"{commission.nickname}: drawing version 2 is approved, and a variation has put a day into fitting."
    _photograph(commission, cast, days)
    yield f"{commission.nickname}: way and room are photographed as they were, the survey wall by wall."
    back = _send_and_count_in(commission, sprayer, cast, days)
    yield f"{commission.nickname}: seven pieces came back whole from {sprayer} on {short_day(back.date())}."
    rule = ParkingRule(council="Wethermoor", zone="B", notice_working_days=5, fee_pence=4_200, checked_on=today)
    save_parking_rule(rule=rule, today=today, **act)
    plan_parking(plan=ParkingPlan(commission=commission, rule=rule, day=days.day(9)), **act)
    yield f"{commission.nickname}: a bay in zone B costs £42.00 and five working days of notice."


def _draw_and_agree(commission: Commission, cast: Cast, days: DemoDays) -> None:
    act: Any = {"actor": cast.maker}
    title, client = f"{commission.what.capitalize()}, elevation", commission.client.name
    drawing = None
    for number, note, widths in (
        (1, "", (800, 800, 800)),
        (2, "left unit narrower, clear of the sill", (740, 830, 830)),
    ):
        at = days.at(-38 + number, 11)
        data = elevation_png(title, widths, 2330, f"version {number}")
        name = f"elevation-{number}.png"
        drawing = add_drawing(commission=commission, title=title, note=note, name=name, data=data, now=at, **act)
    assert drawing is not None
    approve_drawing(drawing=drawing, name=client, now=days.at(-35, 17), **act)
    agreed_at = days.at(-35, 18)
    contract = Contract(
        commission=commission, quote_reference="Q-108", quote_version="2", price_pence=1_186_450, drawing=drawing,
        agreed_on=agreed_at.date(), agreed_by_name=client, where_agreed="home", how_agreed="signed on paper",
        notice_on=agreed_at.date(), notice_how="printed sheet with the quote",
        exclusions="wiring; making good of walls",
    )  # fmt: skip
    record_contract(contract=contract, today=agreed_at.date(), now=agreed_at, **act)
    words = "Tie rail and shoe shelf added to the left unit."
    variation = ask_variation(
        commission=commission, words=words, price_pence=18_500, days=1, now=days.at(-4, 9), **act
    )
    step = commission.steps.get(kind=StepKind.FIT)
    answer_variation(
        variation=variation, is_agreed=True, name=client, how="by mail", step=step, now=days.at(-3, 9), **act
    )


def _photograph(commission: Commission, cast: Cast, days: DemoDays) -> None:
    room = commission.rooms.get()
    survey = room.surveys.first()
    shots = (
        ("route_before", "First flight: old dent in the third riser", stairs_jpeg("First flight"), None, ""),
        ("room_before", "Scuff on the back wall, there already", room_jpeg("Bedroom", mark=True), None, ""),
        ("survey", "Back wall, sill on the right", room_jpeg("Back wall"), survey, "back"),
        ("work", "Dry fit in the workshop", room_jpeg("Dry fit", fitted=True), None, ""),
    )
    for purpose, words, data, of_survey, wall in shots:
        add_photographs(
            commission=commission, files=[(f"{purpose}.jpg", data)], purpose=purpose, words=words, room=room,
            zone=cast.workshop.tz, now=days.now, actor=cast.maker, survey=of_survey, wall=wall,
        )  # fmt: skip


def _send_and_count_in(commission: Commission, sprayer: Subcontractor, cast: Cast, days: DemoDays) -> dt.datetime:
    """The six wardrobe doors and their plinth, out and back whole; when they came."""
    act: Any = {"actor": cast.maker}
    sent_at, back_at = days.at(-22, 9), days.at(-11, 15)
    finish = commission.finishes.get()
    consignment = save_consignment(
        consignment=Consignment(
            commission=commission, subcontractor=sprayer, product=finish.product, colour=finish.colour,
            sheen_percent=finish.sheen_percent, sample=finish.sample, batch="batch 3",
        ),
        now=sent_at, **act,
    )  # fmt: skip
    lines = (("Door 1 to 6", 6, 2010, 396, 2, 4), ("Plinth front", 1, 100, 2400, 1, 0))
    items = [
        save_item(
            item=ConsignmentItem(
                consignment=consignment, words=words, count=count, height_mm=height_mm, width_mm=width_mm,
                thickness_mm=22, faces=faces, masked_cups=cups,
            ),
            now=sent_at, **act,
        )
        for words, count, height_mm, width_mm, faces, cups in lines
    ]  # fmt: skip
    promised_on = days.day(-12)
    send_consignment(
        consignment=consignment, at=sent_at, promised_on=promised_on, workshop=cast.workshop, now=sent_at, **act
    )
    counts = {item.pk: {"good": item.count} for item in items}
    receive_consignment(consignment=consignment, counts=counts, at=back_at, now=back_at, **act)
    return back_at


def count_in_a_first_load(commission: Commission, cast: Cast, days: DemoDays) -> str:
    """Some of what is still out came with another load, one door with a run in the paint."""
    consignment = commission.consignments.get()
    first = consignment.items.order_by("pk")[0]
    at = days.at(-1, 15)
    counts = {first.pk: {"good": first.count - 2, "damaged": 1}}
    receive_consignment(consignment=consignment, counts=counts, at=at, now=at, actor=cast.maker)
    return f"{commission.nickname}: {first.count - 1} doors came with another load, one with a run in the paint."


def note_carries(handed_over: Sequence[Handover], cast: Cast, days: DemoDays) -> str:
    """Carries of past commissions, from which the minutes of the next one come, and their hours."""
    today = cast.workshop.local_day(days.now)
    for handover, minutes, trips in zip(handed_over, (46, 58, 52), (21, 26, 24), strict=True):
        done_on = cast.workshop.local_day(handover.handed_over_at) - dt.timedelta(days=8)
        record = CarryRecord(done_on=done_on, minutes=minutes, trips=trips, floors=0)
        record_carry(
            commission=handover.commission, record=record, carriers=[cast.maker, cast.helper], today=today,
            now=days.now,
            actor=cast.maker,
        )  # fmt: skip
    return f"Carries of {len(handed_over)} past commissions are noted, with the hours of both who carried."
