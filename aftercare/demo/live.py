"""Six live commissions, each at another place of the work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from aftercare.demo.cast import HOMES, Cast
from aftercare.demo.days import DemoDays
from jobs.domain.calendar import book_helper, close_workshop
from jobs.domain.clients import add_client_away, arrange_access, record_finish, save_room
from jobs.domain.commissions import PastStep, open_commission
from jobs.domain.steps import edit_step
from jobs.domain.visits import book_visit
from jobs.models import (
    AccessArrangement,
    AccessMode,
    Commission,
    FinishRecord,
    Room,
    StepKind,
    SurfaceKind,
    Template,
    VisitKind,
)

K = StepKind


@dataclass(frozen=True)
class Job:
    """A commission of the demo: what it is, and what lies behind it by step kind, in working days from today."""

    nickname: str
    what: str
    room: str
    window_facing_deg: int
    opened: int
    done: Mapping[StepKind, tuple[int, int, float | None]] = field(default_factory=dict)
    begun: Mapping[StepKind, int] = field(default_factory=dict)
    deliver_in: int | None = None
    storey: int = 0


def before_making(first: int) -> dict[StepKind, tuple[int, int, float | None]]:
    """Survey to deposit, begun so many working days ago."""
    return {
        K.SURVEY: (first, first, 3.5),
        K.DRAWING: (first + 2, first + 4, 14),
        K.APPROVAL: (first + 5, first + 8, None),
        K.DEPOSIT: (first + 5, first + 9, None),
    }


JOBS = [
    Job("Mill Row", "alcove pair", "sitting room", 200, -4, {K.SURVEY: (-3, -3, 2.5)}, {K.DRAWING: -1}),
    Job(
        "Lamb Lane", "dresser", "kitchen", 95, -12,
        {K.SURVEY: (-11, -11, 3), K.DRAWING: (-9, -7, 11), K.APPROVAL: (-6, -2, None)}, {K.DEPOSIT: -6},
    ),
    Job(
        "Tannery", "boot room", "back hall", 310, -30,
        before_making(-29) | {
            K.DOORS: (-18, -9, 22), K.SPRAYER_OUT: (-6, -6, 2), K.MATERIALS: (-18, -13, None),
            K.CARCASSES: (-11, -4, 31), K.BOUGHT_IN: (-18, -8, None),
        },
        {K.SPRAYER_BACK: -6, K.FINISH: -2}, deliver_in=12,
    ),
    Job(
        "Orchard End", "library wall", "study", 150, -33,
        before_making(-32) | {K.DOORS: (-15, -5, 26), K.SPRAYER_OUT: (-2, -2, 2.5), K.MATERIALS: (-17, -12, None)},
        {K.SPRAYER_BACK: -2, K.CARCASSES: -7, K.BOUGHT_IN: -14}, deliver_in=9,
    ),
    Job(
        "Quay House", "wardrobe", "bedroom", 245, -45,
        before_making(-44) | {
            K.DOORS: (-33, -24, 19), K.SPRAYER_OUT: (-22, -22, 2), K.SPRAYER_BACK: (-22, -11, None),
            K.INSPECT: (-10, -10, 1.5), K.MATERIALS: (-33, -27, None), K.CARCASSES: (-26, -18, 33),
            K.FINISH: (-16, -12, 13), K.DRY_FIT: (-9, -8, 7), K.BOUGHT_IN: (-33, -20, None),
        },
        {K.WRAP: -1}, deliver_in=2, storey=2,
    ),
]  # fmt: skip
CHAPEL_YARD = Job(
    "Chapel Yard", "dining-room dresser", "dining room", 165, -58,
    before_making(-57) | {
        K.DOORS: (-46, -37, 21), K.SPRAYER_OUT: (-35, -35, 2), K.SPRAYER_BACK: (-35, -23, None),
        K.INSPECT: (-22, -22, 2), K.MATERIALS: (-46, -40, None), K.CARCASSES: (-39, -30, 30),
        K.FINISH: (-28, -24, 12), K.DRY_FIT: (-20, -19, 6.5), K.BOUGHT_IN: (-46, -36, None),
        K.WRAP: (-10, -10, 5), K.LOAD: (-7, -7, 3.5),
        K.DELIVER: (-6, -6, 5),
    },
    {K.FIT: -5},
)  # fmt: skip


def open_live(cast: Cast, template: Template, days: DemoDays) -> list[Commission]:
    """The six live commissions; Chapel Yard comes last and is the one whose fitting is about to end."""
    # Every other day, and on the days on which something is loaded or carried in.
    for offset in sorted({*range(1, 40, 2), 8, *(job.deliver_in for job in JOBS if job.deliver_in)}):
        book_helper(person=cast.helper, day=days.day(offset), now=days.now, actor=cast.maker)
    _close_for_a_week(cast, days)
    return [open_job(job, cast, template, days) for job in [*JOBS, CHAPEL_YARD]]


def open_job(job: Job, cast: Cast, template: Template, days: DemoDays) -> Commission:
    home = HOMES[job.nickname]
    past: dict[str, PastStep] = {kind: days.done(*when) for kind, when in job.done.items()}
    past |= {kind: days.begun(first) for kind, first in job.begun.items()}
    commission = open_commission(
        client=cast.clients[job.nickname],
        nickname=job.nickname,
        what=job.what,
        maker=cast.maker,
        template=template,
        opened_on=days.day(job.opened),
        now=days.now,
        actor=cast.maker,
        latitude_deg=home.latitude_deg,
        longitude_deg=home.longitude_deg,
        past=past,
    )
    _describe(commission, job, days)
    if job.deliver_in is not None:
        _promise_delivery(commission, cast, days, job.deliver_in)
    return commission


def _describe(commission: Commission, job: Job, days: DemoDays) -> None:
    save_room(
        room=Room(
            commission=commission,
            name=job.room,
            storey=job.storey,
            window_facing_deg=job.window_facing_deg,
            furniture_facing_deg=(job.window_facing_deg + 90) % 360,
            window_width_mm=1200,
            window_height_mm=1400,
            window_sill_mm=850,
            obstruction_deg=4,
        ),
        now=days.now,
        actor=commission.maker,
    )
    arrange_access(
        access=AccessArrangement(
            commission=commission,
            opener_name=commission.client.name,
            opener_phone=commission.client.phone,
            slot_starts=dt.time(8, 30),
            slot_ends=dt.time(11, 0),
            mode=AccessMode.LET_IN,
            parking="On the street in front; the nearest free bay is forty steps off.",
        ),
        now=days.now,
        actor=commission.maker,
    )
    if K.DOORS in job.done:
        record_finish(
            finish=FinishRecord(
                commission=commission,
                surface="Doors and face frames",
                kind=SurfaceKind.PAINTED,
                product="Waterborne two-pack enamel",
                colour="Heron grey, our sample 14",
                sheen_percent=20,
                sample=f"{commission.number}-A",
            ),
            now=days.now,
            actor=commission.maker,
        )


def _promise_delivery(commission: Commission, cast: Cast, days: DemoDays, in_days: int) -> None:
    day = days.day(in_days)
    step = commission.steps.get(kind=K.DELIVER)
    edit_step(step=step, now=days.now, actor=cast.maker, promised_on=day)
    book_visit(
        commission=commission,
        kind=VisitKind.DELIVERY,
        person=cast.maker,
        starts_at=days.on(day, 8, 30),
        ends_at=days.on(day, 13),
        workshop=cast.workshop,
        now=days.now,
        actor=cast.maker,
        step=step,
    )


def _close_for_a_week(cast: Cast, days: DemoDays) -> None:
    """A week's holiday some ten weeks ahead, and one client away for a few days of the return range."""
    first = days.day(50)
    close_workshop(
        first_day=first,
        last_day=first + dt.timedelta(days=6),
        reason="holiday",
        now=days.now,
        actor=cast.maker,
    )
    away = days.today + dt.timedelta(days=43)
    add_client_away(
        client=cast.clients["Chapel Yard"],
        first_day=away,
        last_day=away + dt.timedelta(days=3),
        now=days.now,
        actor=cast.maker,
    )
