"""The Job board as it hangs on the wall: the rows of the board, numbered for a key pad, and the steps to tick."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from jobs.models import Step, StepKind, Workshop
from jobs.queries.board import Board, BoardRow, ReturnLine, board_of, with_changes
from jobs.queries.board_words import Said
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan import plan_from
from jobs.queries.wall_changes import Changes, Tick, recent_changes
from jobs.queries.words import say_day

NUMBER_KEYS = 9
STEPS_SHOWN = 4
K = StepKind
# Told at the desk or by a visit of its own; the go-ahead is a matter of money and of the client's answer.
NOT_AT_THE_WALL = (K.APPROVAL, K.DEPOSIT, K.HANDOVER, K.RETURN_VISIT)


@dataclass(frozen=True)
class WallStep:
    """A step that can be ticked at the wall; the keys are those shown on its buttons, "1 s"."""

    pk: int
    words: str
    start_keys: str
    done_keys: str

    @property
    def can_start(self) -> bool:
        return bool(self.start_keys)


@dataclass(frozen=True)
class Picked:
    """The row that was picked, and what can be ticked of it. `told` says why there is nothing to tick."""

    row: BoardRow
    steps: tuple[WallStep, ...]
    told: str


@dataclass(frozen=True)
class WallRow:
    row: BoardRow
    key: str
    spare: str
    is_picked: bool

    @property
    def first(self) -> Said | None:
        """What is read from the wall; the rest stands below it in smaller type."""
        return next(iter(self.sentences), None)

    @property
    def rest(self) -> tuple[Said, ...]:
        return self.sentences[1:]

    @property
    def sentences(self) -> tuple[Said, ...]:
        """Short enough for one line: the hour we are let in is said under “Next” and on the site day."""
        return tuple(Said(one.words.split(", let in")[0], one.is_late) for one in self.row.sentences)


@dataclass(frozen=True)
class LastTick:
    """One of the last changes, with the short name of its commission."""

    tick: Tick
    nickname: str


@dataclass(frozen=True)
class More:
    """How many of `count` are not named: a wide screen names two, a narrow one names one."""

    count: int

    @property
    def wide(self) -> int:
        return max(0, self.count - 2)

    @property
    def narrow(self) -> int:
        return max(0, self.count - 1)


@dataclass(frozen=True)
class Wall:
    board: Board
    rows: tuple[WallRow, ...]
    picked: Picked | None
    last: tuple[LastTick, ...]
    undo: LastTick | None
    next_return: ReturnLine | None

    @property
    def late_more(self) -> More:
        return More(len(self.board.late))

    @property
    def waiting_more(self) -> More:
        return More(len(self.board.waiting) + self.board.waiting_more)


def wall_of(workshop: Workshop, now: dt.datetime, *, row: int | None = None, undo: int | None = None) -> Wall:
    """Seven queries. `row`: the number of the commission that is picked; `undo`: the daybook line just written."""
    live = load_live(workshop, now)
    board = board_of(live, plan_from(live))
    changes = recent_changes(workshop, now, [one.pk for one in live.commissions])
    board = with_changes(board, changes.by_commission)
    picked = next((one for one in board.rows if one.number == row), None)
    last = _last(live, changes)
    return Wall(
        board=board,
        rows=tuple(
            WallRow(one, str(place) if place <= NUMBER_KEYS else "", spare_words(one), one is picked)
            for place, one in enumerate(board.rows, start=1)
        ),
        picked=None if picked is None else _picked(live, picked),
        last=last,
        undo=next((one for one in last if one.tick.line_pk == undo), None),
        next_return=board.returns[0] if board.returns else None,
    )


def spare_words(row: BoardRow) -> str:
    """Two words at most, in days: "2½", "none", "1 short", "no date"."""
    if row.is_held or row.slack_words == "on site":
        return row.slack_words
    if row.slack_half_days is None:
        return "no date"
    if row.slack_half_days == 0:
        return "none"
    whole, half = divmod(abs(row.slack_half_days), 2)
    words = f"{whole or ''}{'½' if half else ''}"
    return words if row.slack_half_days > 0 else f"{words} short"


def _last(live: LiveRecord, changes: Changes) -> tuple[LastTick, ...]:
    names = {one.pk: one.nickname for one in live.commissions}
    return tuple(LastTick(tick, names[tick.commission_pk]) for tick in changes.ticks)


def _picked(live: LiveRecord, row: BoardRow) -> Picked:
    if row.is_held:
        return Picked(row, (), "It is on hold.")
    open_steps = [
        step
        for step in live.steps.get(row.commission_pk, ())
        if step.finished_at is None
        and step.kind not in NOT_AT_THE_WALL
        and (live.is_ready(step) or step.started_at is not None)
    ]
    if not open_steps:
        return Picked(row, (), "Nothing of it is ticked here now.")
    keys = iter(range(1, NUMBER_KEYS + 1))
    letters = {"s", "d"}
    steps = tuple(_step(live, step, keys, letters) for step in open_steps[:STEPS_SHOWN])
    return Picked(row, steps, "")


def _step(live: LiveRecord, step: Step, keys: Iterator[int], letters: set[str]) -> WallStep:
    began_at = live.began_at(step)

    def next_keys(letter: str) -> str:
        number = str(next(keys))
        if letter not in letters:
            return number
        letters.discard(letter)
        return f"{number} {letter}"

    words = K(step.kind).label
    if began_at is not None:
        words += f", since {say_day(live.workshop.local_day(began_at), live.today)}"
    start_keys = next_keys("s") if began_at is None else ""
    return WallStep(step.pk, words, start_keys, next_keys("d"))
