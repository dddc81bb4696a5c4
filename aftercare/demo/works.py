"""The sheets of the demo: doors away at a sprayer with a name, stage payments, hours, kit and keys."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from aftercare.demo.cast import Cast
from aftercare.demo.days import DemoDays
from aftercare.demo.records import count_in_a_first_load, fill_records
from jobs.domain.consignments import save_consignment, save_item, send_consignment
from jobs.domain.hours import tell_hours
from jobs.domain.keys import take_keys
from jobs.domain.kit import save_kit_list, save_kit_list_item, save_load_item, take_kit_list
from jobs.domain.payments import USUAL_SHARES, agree_stage_payments, note_receipt
from jobs.domain.subcontractors import save_subcontractor
from jobs.models import (
    Commission,
    Consignment,
    ConsignmentItem,
    KitList,
    KitListItem,
    LoadItem,
    StepKind,
    Subcontractor,
)
from jobs.words import money_in_words, short_day

LINES = (
    ("Door, hinged left", 5, 2100, 497, 2, 5),
    ("Door, hinged right", 4, 2100, 497, 2, 5),
    ("Plinth", 2, 100, 1800, 1, 0),
)
KIT = (("Track saw", "tool", 1), ("Plaster fixings, 60 mm", "fixing", 48), ("Corner guards", "protection", 6))
HOURS = (("wrap", 95), ("quote", 180), ("order", 40))
PRICE_PENCE = 1_186_450


def fill_sheets(upstairs: Commission, live: list[Commission], cast: Cast, days: DemoDays) -> Iterator[str]:
    """Yields a sentence for each thing done."""
    act: Any = {"now": days.now, "actor": cast.maker}
    sprayer = save_subcontractor(subcontractor=Subcontractor(name="Hollin Lane Spray Shop", turnaround_days=9), **act)
    for commission in live:
        step = commission.steps.filter(
            kind=StepKind.SPRAYER_BACK, started_at__isnull=False, finished_at__isnull=True
        ).first()
        if step is not None and step.started_at is not None:
            promised_on = cast.workshop.local_day(step.started_at) + dt.timedelta(days=14)
            _send_doors(commission, sprayer, step.started_at, promised_on, cast, days)
            yield f"{commission.nickname}: eleven pieces are with {sprayer}, promised back {short_day(promised_on)}."
    yield count_in_a_first_load(next(one for one in live if one.nickname == "Tannery"), cast, days)
    yield from fill_records(upstairs, sprayer, cast, days)
    yield _agree_money(upstairs, cast, days)
    yield _agree_money(next(one for one in live if one.nickname == "Tannery"), cast, days, 742_000)
    today = cast.workshop.local_day(days.now)
    for kind, minutes in HOURS:
        tell_hours(
            person=cast.maker, commission=upstairs, kind=kind, worked_on=today, minutes=minutes, today=today, **act
        )
    kit_list = save_kit_list(kit_list=KitList(name="Fitting kit"), **act)
    for words, kind, count in KIT:
        save_kit_list_item(item=KitListItem(kit_list=kit_list, words=words, kind=kind, count=count), **act)
    take_kit_list(commission=upstairs, kit_list=kit_list, **act)
    save_load_item(
        item=LoadItem(commission=upstairs, words="Shelf pins, nickel", kind="part", needed=48, in_hand=30), **act
    )
    yield f"{upstairs.nickname}: the fitting kit is listed; of 48 shelf pins 30 are here."
    take_keys(
        commission=upstairs, tag="K-27", count=2, received_from="the client", holder=cast.maker, at=days.now, **act
    )
    yield f"{upstairs.nickname}: two keys on tag K-27, held by {cast.maker}."


def _send_doors(
    commission: Commission, sprayer: Subcontractor, at: dt.datetime, promised_on: dt.date, cast: Cast, days: DemoDays
) -> None:
    act: Any = {"now": days.now, "actor": cast.maker}
    finish = commission.finishes.get()
    consignment = save_consignment(
        consignment=Consignment(
            commission=commission,
            subcontractor=sprayer,
            product=finish.product,
            colour=finish.colour,
            sheen_percent=finish.sheen_percent,
            sample=finish.sample,
        ),
        **act,
    )
    for words, count, height_mm, width_mm, faces, cups in LINES:
        save_item(
            item=ConsignmentItem(
                consignment=consignment, words=words, count=count, height_mm=height_mm, width_mm=width_mm,
                thickness_mm=22, faces=faces, masked_cups=cups,
            ),
            **act,
        )  # fmt: skip
    send_consignment(consignment=consignment, at=at, promised_on=promised_on, workshop=cast.workshop, **act)


def _agree_money(commission: Commission, cast: Cast, days: DemoDays, price_pence: int = PRICE_PENCE) -> str:
    act: Any = {"now": days.now, "actor": cast.maker}
    payments = agree_stage_payments(commission=commission, total_pence=price_pence, shares=USUAL_SHARES, **act)
    today = cast.workshop.local_day(days.now)
    paid_on = today - dt.timedelta(days=30)
    note_receipt(
        payment=payments[0], amount_pence=payments[0].amount_pence, received_on=paid_on,
        cleared_on=paid_on + dt.timedelta(days=2), evidence="bank statement", today=today, **act,
    )  # fmt: skip
    return (
        f"{commission.nickname}: {money_in_words(payments[0].amount_pence)} of {money_in_words(price_pence)} is in."
    )
