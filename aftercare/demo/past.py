"""Three past commissions, told through the same acts at the time they happened: two wait for their return visit, one
has had it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from aftercare.demo.cast import Cast
from aftercare.demo.days import DemoDays
from aftercare.demo.fitted import check_hinges, fill_fitted, speak_of_more
from aftercare.demo.live import CHAPEL_YARD, Job, open_job
from aftercare.domain.handover import hand_over
from aftercare.domain.light import note_light
from aftercare.models import Handover
from jobs.domain.commissions import close_commission
from jobs.domain.steps import finish_step
from jobs.models import Commission, Step, StepKind, Template, VisitState
from jobs.sweep import sweep

AFTER_FITTING = (StepKind.SNAGS,)
# nickname, what, room, window facing, handed over so many days ago, hour of the light note
PAST = [
    ("Glebe Barn", "linen press", "landing", 120, 130, (10, 15)),
    ("Station Flat", "under-stairs drawers", "hall", 230, 47, (14, 20)),
    ("Weir Cottage", "window seat and shelves", "snug", 170, 31, (11, 5)),
]


def tell_past(cast: Cast, template: Template, days: DemoDays) -> list[Handover]:
    return [_tell(cast, template, days, *one) for one in PAST]


def _tell(
    cast: Cast,
    template: Template,
    days: DemoDays,
    nickname: str,
    what: str,
    room: str,
    facing_deg: int,
    days_ago: int,
    light: tuple[int, int],
) -> Handover:
    day = days.work_day_about(days_ago)
    then = DemoDays(cast.workshop, days.on(day, 16, 30))
    job = Job(nickname, what, room, facing_deg, CHAPEL_YARD.opened, CHAPEL_YARD.done, CHAPEL_YARD.begun)
    commission = open_job(job, cast, template, then)
    noted = then.at(-2, *light)
    note_light(
        room=commission.rooms.get(),
        noted_at=noted,
        person=cast.maker,
        now=then.now,
        actor=cast.maker,
        words="even light across the doors",
    )
    end_fitting(commission, cast, then)
    fill_fitted(commission, cast, then.now)
    handover = hand_over(
        commission=commission,
        at=then.at(0, 16),
        workshop=cast.workshop,
        now=then.now,
        actor=cast.maker,
        know_first="Wipe with a damp cloth only, for the first month.",
        know_second="A hairline at a joint that comes and goes with the heating is normal.",
        know_third="The touch-up tin stands in the left-hand base cupboard.",
        agreed="No snags open.",
    )
    sweep(then.now + dt.timedelta(minutes=1))
    _have_return_visit(handover, commission, cast, days)
    return handover


def end_fitting(commission: Commission, cast: Cast, days: DemoDays, at: dt.datetime | None = None) -> None:
    """Fitting and snags are finished, at 15:00 unless another time is given."""
    at = at or days.at(0, 15)
    fitting = commission.steps.get(kind=StepKind.FIT)
    finish_step(step=fitting, at=at, now=days.now, actor=cast.maker, actual_hours=_hours(fitting))
    for step in commission.steps.filter(kind__in=AFTER_FITTING):
        finish_step(step=step, at=at, now=days.now, actor=cast.maker, actual_hours=_hours(step))


def _hours(step: Step) -> Decimal:
    return step.allowance_hours + 2  # as in life: a little more than was priced


def _have_return_visit(handover: Handover, commission: Commission, cast: Cast, days: DemoDays) -> None:
    visit = handover.return_visit
    if visit is None or visit.state != VisitState.ARRANGED or visit.ends_at is None or visit.ends_at > days.now:
        return
    check_hinges(visit, cast, visit.ends_at)
    speak_of_more(commission, cast, days.today, visit.ends_at)
    sweep(visit.ends_at + dt.timedelta(hours=2, minutes=1))  # the pack's next revision goes
    close_commission(
        commission=commission, today=cast.workshop.local_day(visit.ends_at), now=visit.ends_at, actor=cast.maker
    )
