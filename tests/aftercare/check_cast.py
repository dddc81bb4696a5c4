"""A commission with doors, shelves, a handover and a return visit that is today. Names are invented."""

from __future__ import annotations

import datetime as dt
from typing import Any

from aftercare.models import Door, Handover, Shelf
from jobs.models import Commission, Room, StepKind, Visit, VisitKind
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop, up_to

# 48 days after handover, in British summer time: 10:00 on the wall.
VISIT_AT = dt.datetime(2027, 4, 27, 9, 0, tzinfo=dt.UTC)
ON_THE_DAY = VISIT_AT + dt.timedelta(minutes=20)
AFTER = VISIT_AT + dt.timedelta(minutes=70)


def checked_commission(**fields: Any) -> Commission:
    """Handed over at NOW; D1 has two hinges where four are asked for, D2 five, D3 no weight."""
    make_workshop(phone="+441632960010")
    commission = make_commission(
        maker=make_maker(phone="+441632960011"),
        client=make_client(**fields),
        done=up_to(StepKind.RETURN_VISIT),
        what="library wall",
    )
    room = Room.objects.create(commission=commission, name="Study")
    common = {"commission": commission, "room": room, "width_mm": 450}
    Door.objects.create(
        label="D1", position=1, height_mm=2000, thickness_mm=22, board="mdf", hinges_fitted=2, **common
    )
    Door.objects.create(
        label="D2", position=2, height_mm=2000, thickness_mm=18, board="mdf", hinges_fitted=5, hung="right", **common
    )
    Door.objects.create(label="D3", position=3, height_mm=700, hinges_fitted=2, **common)
    Shelf.objects.create(
        commission=commission,
        room=room,
        place="Bays 1 to 3",
        span_mm=800,
        depth_mm=300,
        thickness_mm=25,
        board="mdf",
    )
    return commission


def return_visit_of(commission: Commission, *, starts_at: dt.datetime = VISIT_AT, **fields: Any) -> Visit:
    step = commission.steps.get(kind=StepKind.RETURN_VISIT)
    return make_visit(commission, kind=VisitKind.RETURN, starts_at=starts_at, step=step, **fields)


def handed_over(commission: Commission, visit: Visit | None) -> Handover:
    return Handover.objects.create(
        commission=commission,
        handed_over_at=NOW,
        by=commission.maker,
        return_visit=visit,
        know_first="Leave the doors ajar.",
    )


def found(**fields: Any) -> dict[str, Any]:
    """A door's form as typed on the telephone: top and left measured and set."""
    return {
        "before_top_tenths_mm": "1.5",
        "before_left_tenths_mm": "3,1",
        "after_top_tenths_mm": "2.5",
        "after_left_tenths_mm": "2.5 mm",
        "bow_tenths_mm": "0.5",
        "screws": "good",
        "dampers": "none",
        "verdict": "adjusted",
        "words": "",
    } | fields
