"""The whole story: a workshop with nine commissions, of which one is handed over before your eyes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

from aftercare.demo.cast import Cast, make_cast
from aftercare.demo.client_page import open_client_page
from aftercare.demo.codes import keep_demo_code
from aftercare.demo.days import DemoDays
from aftercare.demo.fitted import fill_fitted, say_what_packs_say
from aftercare.demo.live import open_live
from aftercare.demo.papers import save_attachments, save_board
from aftercare.demo.past import end_fitting, tell_past
from aftercare.demo.plan import make_demo_plan
from aftercare.demo.post import fill_post
from aftercare.demo.records import note_carries
from aftercare.demo.site import fill_site_day
from aftercare.demo.works import fill_sheets
from aftercare.domain.handover import hand_over
from aftercare.domain.light import note_light
from aftercare.models import Handover
from jobs.domain.clients import record_finish
from jobs.domain.templates import make_default_template
from jobs.models import Commission, Message, MessageState, Person
from jobs.queries.stage import stage_of
from jobs.sweep import sweep
from jobs.words import day_in_words, time_in_words

Say = Callable[[str], object]


def tell(now: dt.datetime, out: Path, say: Say, maker: Person | None) -> None:
    """Make the demo workshop and hand over one commission, saying each thing that is done."""
    out.mkdir(parents=True, exist_ok=True)
    cast = make_cast(now, maker)
    say(f"Set up {cast.workshop.name} in {cast.workshop.town}, with {cast.maker} and {cast.helper}.")
    say_what_packs_say(cast.workshop, cast, now)
    template = make_default_template()
    days = DemoDays(cast.workshop, now)
    past = tell_past(cast, template, days)
    for handover in past:
        day = day_in_words(cast.workshop.local_day(handover.handed_over_at))
        say(f"Past: {handover.commission}, handed over on {day}.")
    say(note_carries(past, cast, days))
    live = open_live(cast, template, days)
    for commission in live:
        say(f"Live: {commission}, {commission.what}. {stage_of(commission.steps.all())}.")
    upstairs = next(commission for commission in live if commission.nickname == "Quay House")
    for sentence in fill_site_day(upstairs, cast, days):
        say(f"Way in at {upstairs.nickname}: {sentence}")
    for sentence in fill_sheets(upstairs, live, cast, days):
        say(f"Sheets of {sentence}")
    say(keep_demo_code(upstairs, cast, now))
    say(open_client_page(upstairs, cast, now))
    sweep(now)
    for sentence in fill_post({one.nickname: one for one in live}, cast, days):
        say(f"Post: {sentence}")
    _hand_over_before_your_eyes(live[-1], cast, days, out, say)


def _hand_over_before_your_eyes(commission: Commission, cast: Cast, days: DemoDays, out: Path, say: Say) -> None:
    ended_at = days.last_afternoon()
    _fill_the_record(commission, cast, days, ended_at)
    end_fitting(commission, cast, days, at=ended_at - dt.timedelta(minutes=30))
    say(f"Finished fitting {commission}. {fill_fitted(commission, cast, days.now)}")
    handover = hand_over(
        commission=commission,
        at=ended_at,
        workshop=cast.workshop,
        now=days.now,
        actor=cast.maker,
        know_first="Wipe with a damp cloth only, for the first month.",
        know_second="The plinth under D1 and D2 pulls out towards you; the heating pipes lie behind it.",
        know_third="The touch-up tin stands behind the plinth on the left.",
        agreed="One scribe to be touched up at the return visit. Viewed in daylight from half a metre.",
        existing_marks="Two old scuffs on the door lining of the dining room.",
    )
    _say_what_was_booked(handover, cast, say)
    sent = sweep(days.now)
    say(f"Sent {sent.sent} mails, among them the invite with the handover pack, and our own copy.")
    message = Message.objects.get(visit=handover.return_visit, kind="return_invite", state=MessageState.SENT)
    for paper in save_attachments(message, out):
        say(f"Left {paper}.")
    say(make_demo_plan(cast.workshop, days.now))
    say(f"Left {save_board(cast.workshop, days.now, out)}.")


def _fill_the_record(commission: Commission, cast: Cast, days: DemoDays, ended_at: dt.datetime) -> None:
    """The light note of the fitting days, and the blanks of the finish record."""
    room = commission.rooms.get()
    noted = dt.datetime.combine(days.day(-2), dt.time(10, 40), cast.workshop.tz)
    note_light(
        room=room,
        noted_at=noted,
        person=cast.maker,
        now=days.now,
        actor=cast.maker,
        words="soft light along the door fronts, no glare",
    )
    finish = commission.finishes.get()
    finish.batch, finish.applied_on = "batch 7 of the year", days.day(-24)
    finish.touch_up, finish.tin_place = "small brush, two thin coats", "behind the plinth on the left"
    finish.applied_by = "our sprayer"
    record_finish(finish=finish, now=days.now, actor=cast.maker)


def _say_what_was_booked(handover: Handover, cast: Cast, say: Say) -> None:
    visit = handover.return_visit
    assert visit is not None
    if visit.starts_at is None:
        say(f"No day for the return visit: {visit.reasons}")
        return
    start = cast.workshop.local(visit.starts_at)
    days_later = (start.date() - cast.workshop.local_day(handover.handed_over_at)).days
    say(
        f"Handed over. Booked the return visit by itself: {day_in_words(start.date())} at "
        f"{time_in_words(start.time())}, day {days_later}."
    )
    for reason in visit.reasons.splitlines():
        say(f"  because: {reason}")
