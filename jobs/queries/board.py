"""The Job board: one row a commission, in the order of its next immovable moment, and the return visits below."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.models import Attendance, Commission, StepKind, Visit, VisitKind, VisitState, Workshop
from jobs.queries.board_words import Awaited, NextWords, Said
from jobs.queries.braid import Cord, Ruler, draw
from jobs.queries.cords import cord_facts, cord_words
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan import CommissionPlan, PlanView, plan_from
from jobs.queries.stage import stage_of
from jobs.queries.wall_changes import Change
from jobs.queries.words import say_clock, say_day, say_half_days, say_slack

RETURNS_SHOWN = 6
WAITING_SHOWN = 3
FAR = dt.date.max


@dataclass(frozen=True)
class BoardRow:
    number: int
    url: str
    nickname: str
    what: str
    stage: str
    sentences: tuple[Said, ...]
    awaited: tuple[Awaited, ...]
    slack_words: str
    is_dated: bool
    is_short: bool
    is_held: bool
    is_later: bool
    moment: dt.date
    cord: Cord
    cord_words: tuple[str, ...]
    slack_half_days: int | None = None
    commission_pk: int = 0
    changes: tuple[Change, ...] = ()

    @property
    def is_late(self) -> bool:
        return self.is_short or any(one.is_late for one in self.sentences)


@dataclass(frozen=True)
class ReturnLine:
    """A return visit: its day and hour, or why it has none yet."""

    nickname: str
    url: str
    when: str
    words: str


@dataclass(frozen=True)
class Answer:
    """One answer of the strip over the board: where, and what of it."""

    nickname: str
    words: str


@dataclass(frozen=True)
class Board:
    today: dt.date
    ruler: Ruler
    rows: tuple[BoardRow, ...]
    later_count: int
    next_up: Answer | None
    late: tuple[Answer, ...]
    waiting: tuple[Answer, ...]
    waiting_more: int
    returns: tuple[ReturnLine, ...]
    returns_more: int
    to_arrange: tuple[ReturnLine, ...]


def job_board(workshop: Workshop, now: dt.datetime) -> Board:
    """Everything on the board, in the six queries of `load_live`."""
    live = load_live(workshop, now)
    return board_of(live, plan_from(live))


def with_changes(board: Board, changes: Mapping[int, tuple[Change, ...]]) -> Board:
    """The same board, its rows marked with what has changed of late; `changes` by the key of the commission."""
    rows = tuple(replace(row, changes=changes.get(row.commission_pk, ())) for row in board.rows)
    return replace(board, rows=rows)


def board_of(live: LiveRecord, plan: PlanView) -> Board:
    """The board of a record already read. No query."""
    ruler = Ruler(live.today)
    rows = [
        _row(live, plan.commissions[one.pk], one, ruler) for one in live.commissions if _is_on_the_bench(live, one)
    ]
    rows.sort(key=lambda row: (row.is_held, row.moment, row.number))
    shown = tuple(row for row in rows if row.is_held or row.is_late or not row.is_later)
    waiting = [_waiting(row, live.today) for row in sorted(shown, key=_first_back) if row.awaited]
    returns, to_arrange = _return_lines(live)
    return Board(
        today=live.today,
        ruler=ruler,
        rows=shown,
        later_count=len(rows) - len(shown),
        next_up=_next_up(live),
        late=tuple(_late(row) for row in shown if row.is_late),
        waiting=tuple(waiting[:WAITING_SHOWN]),
        waiting_more=max(0, len(waiting) - WAITING_SHOWN),
        returns=returns[:RETURNS_SHOWN],
        returns_more=max(0, len(returns) - RETURNS_SHOWN),
        to_arrange=to_arrange,
    )


def _is_on_the_bench(live: LiveRecord, commission: Commission) -> bool:
    """Whether anything but the return visit is still to do; what only waits for that is listed below."""
    steps = live.steps.get(commission.pk, ())
    is_open = [step.kind for step in steps if step.finished_at is None]
    return is_open != [StepKind.RETURN_VISIT]


def _row(live: LiveRecord, plan: CommissionPlan, commission: Commission, ruler: Ruler) -> BoardRow:
    words = NextWords(live, plan)
    is_held = commission.held_since is not None
    facts = cord_facts(live, plan)
    moment = _moment(live, commission, plan)
    is_short = plan.late_half_days > 0 or (plan.slack_half_days is not None and plan.slack_half_days < 0)
    return BoardRow(
        number=commission.number,
        url=commission.get_absolute_url(),
        nickname=commission.nickname,
        what=commission.what,
        stage=stage_of(live.steps.get(commission.pk, ())),
        sentences=(_held(commission, live.today),) if is_held else words.sentences(),
        awaited=() if is_held else words.awaited(),
        slack_words=_slack_words(plan, is_held),
        is_dated=plan.slack_half_days is not None or plan.late_half_days > 0,
        is_short=is_short and not is_held,
        is_held=is_held,
        is_later=moment > ruler.last and _begins_after(plan, ruler.last),
        moment=moment,
        cord=Cord() if is_held else draw(facts, ruler),
        cord_words=() if is_held else cord_words(facts, live.today),
        slack_half_days=plan.slack_half_days,
        commission_pk=commission.pk,
    )


def _begins_after(plan: CommissionPlan, day: dt.date) -> bool:
    """Whether nothing of it is to be done up to that day."""
    open_steps = [step for step in plan.steps if not step.is_done]
    return bool(open_steps) and all(step.starts.day > day for step in open_steps)


def _slack_words(plan: CommissionPlan, is_held: bool) -> str:
    if is_held:
        return "on hold"
    if plan.late_half_days > 0 and (plan.slack_half_days is None or plan.slack_half_days >= 0):
        return f"{say_half_days(plan.late_half_days)} late"  # time enough by itself, but others come first
    if plan.slack_half_days is None and any(
        step.is_running or step.is_done for step in plan.of_kind(StepKind.DELIVER)
    ):
        return "on site"
    return say_slack(plan.slack_half_days)


def _held(commission: Commission, today: dt.date) -> Said:
    """Since when; the reason may be the client's own affair and is not for the wall."""
    assert commission.held_since is not None
    return Said(f"On hold since {say_day(commission.held_since, today)}")


def _moment(live: LiveRecord, commission: Commission, plan: CommissionPlan) -> dt.date:
    """The next date that does not move: a visit, a promise, the sprayer's day. A past one comes first."""
    dates = [
        live.workshop.local_day(visit.starts_at)
        for visit in live.visits.get(commission.pk, ())
        if visit.starts_at is not None and visit.kind != VisitKind.RETURN
    ]
    for step in live.steps.get(commission.pk, ()):
        if step.finished_at is None:
            dates += [date for date in (step.promised_on, step.latest_on) if date is not None]
            if step.kind == StepKind.SPRAYER_OUT and step.earliest_on is not None:
                dates.append(step.earliest_on)
    dates += [
        back.free_from.day for back in plan.of_kind(StepKind.SPRAYER_BACK) if back.is_running and back.free_from
    ]
    return min(dates, default=FAR)


def _late(row: BoardRow) -> Answer:
    late = next((one.words for one in row.sentences if one.is_late), "")
    return Answer(row.nickname, row.slack_words if row.is_short else late)


def _first_back(row: BoardRow) -> tuple[bool, dt.date, int]:
    """Overdue things first, then by the day they come."""
    overdue = any(one.is_overdue for one in row.awaited)
    return not overdue, min((one.day for one in row.awaited if one.day), default=FAR), row.number


def _waiting(row: BoardRow, today: dt.date) -> Answer:
    """ "doors Tue 8, parts Wed 9"; what comes on one day is said together."""
    by_day: dict[str, list[str]] = {}
    for one in row.awaited:
        day = say_day(one.day, today) if one.day and not one.is_overdue else ""
        by_day.setdefault(day, []).append(f"▲ {one.what}" if one.is_overdue else one.what)
    return Answer(row.nickname, ", ".join(f"{' and '.join(what)} {day}".strip() for day, what in by_day.items()))


def _next_up(live: LiveRecord) -> Answer | None:
    """The next visit of all, whatever its kind."""
    coming = [
        (visit.starts_at, one, visit)
        for one in live.commissions
        for visit in live.visits.get(one.pk, ())
        if visit.state == VisitState.ARRANGED and visit.starts_at and visit.ends_at and visit.ends_at > live.now
    ]
    if not coming:
        return None
    _, commission, visit = min(coming, key=lambda found: (found[0], found[1].number))
    words = NextWords(live, CommissionPlan(commission.pk)).say_visit(visit)
    return Answer(commission.nickname, words)


def _return_lines(live: LiveRecord) -> tuple[tuple[ReturnLine, ...], tuple[ReturnLine, ...]]:
    found = [
        (visit, one)
        for one in live.commissions
        for visit in live.visits.get(one.pk, ())
        if visit.kind == VisitKind.RETURN
    ]
    arranged = sorted(
        (
            (visit.starts_at, visit, one)
            for visit, one in found
            if visit.starts_at is not None and visit.attendance != Attendance.DECLINED
        ),
        key=lambda entry: (entry[0], entry[1].pk),
    )
    returns = tuple(_arranged(live, visit, one, starts_at) for starts_at, visit, one in arranged)
    to_arrange = tuple(
        ReturnLine(one.nickname, one.get_absolute_url(), "to arrange", wall_reason(visit))
        for visit, one in found
        if visit.state == VisitState.TO_ARRANGE or visit.attendance == Attendance.DECLINED
    )
    return returns, to_arrange


def _arranged(live: LiveRecord, visit: Visit, commission: Commission, starts_at: dt.datetime) -> ReturnLine:
    local = live.workshop.local(starts_at)
    light = [line for line in visit.reasons.splitlines() if "photo window" in line and "no photo" not in line.lower()]
    return ReturnLine(
        commission.nickname,
        commission.get_absolute_url(),
        f"{say_day(local.date(), live.today)}, {say_clock(local.time())}",
        light[0] if light else "",
    )


def wall_reason(visit: Visit) -> str:
    """Why a visit has no date, as far as a visitor may read it: nothing of who is away when."""
    if visit.attendance == Attendance.DECLINED:
        return "Declined: choose another time."
    reason = " ".join(visit.reasons.split())
    if not reason or "away" in reason.lower():
        return "No day in its weeks suits everybody. The reasons are on its page."
    return reason
