"""Facts and rows that the tests of the handover pack share. Names, places and telephone numbers are invented."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from aftercare.models import FittedFacts, Handover
from aftercare.pack.facts import (
    CheckFact,
    DoorFact,
    FinishFact,
    KeepFact,
    LightFact,
    PackFacts,
    RevisionFact,
    ShelfFact,
    VisitFact,
)
from jobs.models import Commission, FinishRecord, Room, SurfaceKind, VisitKind
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop

ISSUED_AT = dt.datetime(2027, 3, 10, 16, 5, tzinfo=dt.UTC)
LONDON = ZoneInfo("Europe/London")
BLANK_FINISH: dict[str, Any] = {
    "product": "",
    "colour": "",
    "sheen_percent": None,
    "batch": "",
    "applied_on": None,
    "applied_by": "",
    "sample": "",
    "touch_up": "",
    "tin_place": "",
    "full_cure_days": None,
}


def finish(surface: str = "Doors", kind: str = "painted", **fields: Any) -> FinishFact:
    words = SurfaceKind(kind).label
    return FinishFact(**{"surface": surface, "kind": kind, "kind_words": words} | BLANK_FINISH | fields)


def facts(**fields: Any) -> PackFacts:
    """A pack of which little is recorded, unless `fields` say more."""
    return PackFacts(
        **{
            "workshop_name": "Fieldgate Joinery",
            "workshop_town": "Fieldgate",
            "workshop_phone": "01632 960 010",
            "workshop_email": "shop@example.org",
            "maker_name": "Robin Thorn",
            "maker_phone": "01632 960 011",
            "client_name": "Priscilla Quennell",
            "commission_number": 104,
            "what": "Library wall",
            "rooms": (),
            "handed_over_on": dt.date(2027, 3, 10),
            "things_to_know": (),
            "agreed": "",
            "existing_marks": "",
            "finishes": (),
            "visit": None,
            "return_days": (42, 56),
            "lights": (),
            "shelves": (),
            "photographs": (),
            "revisions": (RevisionFact(1, dt.date(2027, 3, 10), ""),),
        }
        | fields
    )


def full_facts() -> PackFacts:
    """A pack with everything that the record can hold today, one surface of every kind."""
    painted = {
        "product": "Topcoat WT-20",
        "colour": "Winter Reed W-114",
        "sheen_percent": 20,
        "batch": "26-0714",
        "applied_on": dt.date(2027, 2, 18),
        "applied_by": "Harrow Lane Spray Shop",
        "sample": "Sample 3",
        "touch_up": "Small brush, thin coats",
        "tin_place": "Boiler cupboard",
        "full_cure_days": 28,
    }
    return facts(
        rooms=("Study", "Landing"),
        things_to_know=("Leave the doors ajar.", "The plinth lifts out.", "Heavy books at the bottom."),
        agreed="The left-hand door is adjusted at the return visit.",
        existing_marks="Scuff on the skirting, 40 mm.",
        finishes=(
            finish("Doors", "painted", **painted),
            *(finish(f"{kind.label} part", kind.value) for kind in SurfaceKind if kind != SurfaceKind.PAINTED),
        ),
        visit=VisitFact(
            dt.datetime(2027, 4, 27, 9, 30, tzinfo=LONDON), dt.datetime(2027, 4, 27, 11, 0, tzinfo=LONDON)
        ),
        lights=(LightFact("Study", dt.datetime(2027, 3, 10, 11, 15, tzinfo=LONDON), "soft from the left"),),
        fitted={field.name: f"What is on record of {field.verbose_name}" for field in FittedFacts._meta.fields},
        doors=tuple(door(number) for number in range(1, 9)),
        shelves=(
            ShelfFact("Bays 1 to 3", 800, 300, 25, "MDF", 10, "calculated, rounded down", SHELF_GROUNDS),
            ShelfFact("Window seat", 1200, 450, 36, "oak", 90, "stated by the maker"),
        ),
        check=CheckFact(dt.date(2027, 4, 27), (("Relative humidity", "38 %"), ("Doors adjusted", "D1, D4"))),
        snags=("Door D3: bowed: put right on 6 May 2027", "Cornice: open joint: to be put right"),
        permissions=(("Our own website", "allowed on 10 March 2027"),),
        keep=KeepFact(365, 30, 6),
        client_page="https://shutline.example.org/your-furniture/",
    )


SHELF_GROUNDS = (
    "MDF: evenly spread, resting on both ends",
    "MDF: sag at most span/200 in the long run: common practice, no source",
    "MDF: sag grows by 225 % in time: kdef 2.25 of EN 1995-1-1",
)


def door(number: int) -> DoorFact:
    hung = "right" if number % 2 else "left"
    gaps = "top 2.5, bottom 2.5, left 2.2, right 2.4 mm"
    return DoorFact(
        f"D{number}", "Study", 497, 1980, hung, None, 100, 4, "at least 4", "16.0 kg", gaps, "As fitted: nothing done"
    )


def make_handover(**fields: Any) -> Handover:
    """A handover with a commission, two rooms, one finish and a return visit."""
    make_workshop(phone="+441632960010")
    commission: Commission = make_commission(
        maker=make_maker(phone="+441632960011"), client=make_client(), what="Library wall"
    )
    Room.objects.bulk_create(Room(commission=commission, name=name) for name in ("Study", "Landing"))
    FinishRecord.objects.create(
        commission=commission, surface="Doors", colour="Winter Reed W-114", tin_place="Boiler cupboard"
    )
    visit = make_visit(commission, kind=VisitKind.RETURN, starts_at=NOW + dt.timedelta(days=48))
    return Handover.objects.create(
        **{
            "commission": commission,
            "handed_over_at": NOW,
            "by": commission.maker,
            "return_visit": visit,
            "know_first": "Leave the doors ajar.",
            "agreed": "The left-hand door is adjusted at the return visit.",
        }
        | fields
    )
