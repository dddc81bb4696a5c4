"""What the planner is told and what it answers: plain frozen values, integers only.

Time is counted in *slots*: working half-days of the workshop, numbered along `Instance.axis`. A step placed at
`start` with `end` occupies the slots start .. end - 1 (the end is exclusive). Ids are strings, stable from one run to
the next: every loop of the planner goes in the order of ids, so that the same input gives the same plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from jobs.planning.calendars import Calendar, HalfDayAxis, Subcontractor

HALF_DAYS: Literal["half_days"] = "half_days"
DAYS: Literal["days"] = "days"
WaitUnit = Literal["half_days", "days"]


@dataclass(frozen=True)
class Commission:
    """One commission, with the words in which sentences name it ("the Alder wardrobe")."""

    id: str
    words: str


@dataclass(frozen=True)
class Step:
    """One step of one commission.

    Exactly one of `duration_half_days` and `lead_days` is used. A step with `lead_days` is out of our hands: it lasts
    that many working days of `subcontractor_id`, counted in the subcontractor's own calendar from the day after it
    starts, and it holds no resource.

    A step under way (`started_slot` set, `finished_slot` not) keeps `remaining_half_days` of work, planned from
    `Instance.first_slot` on as one block; None means what is left of its duration, at least one half-day.

    `fixed_slot` (agreed start), `latest_slot` (latest start) and `promise_slot` (latest end, exclusive: the slot
    by whose beginning it must be over) are dates a plan may have to break; what it costs is `weight` a half-day.
    """

    id: str
    commission_id: str
    kind: str
    words: str
    track: str = ""
    duration_half_days: int = 0
    lead_days: int | None = None
    subcontractor_id: str | None = None
    demands: Mapping[str, int] = field(default_factory=dict)
    needs: tuple[str, ...] = ()
    """Ids of the calendars that must all be open in every slot of the step (client, access, helper, van ...).

    For a step with `lead_days` they must be open in its first slot only (the day it is taken there)."""
    earliest_slot: int | None = None
    latest_slot: int | None = None
    fixed_slot: int | None = None
    promise_slot: int | None = None
    told_client: bool = False
    """Its date was told to a client: moving it counts as a broken word, however small the shift."""
    weight: int = 1
    started_slot: int | None = None
    finished_slot: int | None = None
    remaining_half_days: int | None = None
    frozen_slot: int | None = None
    """Keep this start unless it has become impossible (the next five working days of the present plan)."""


@dataclass(frozen=True)
class Link:
    """`after` starts at least `least_wait` and at most `greatest_wait` after `before` has ended.

    In half-days the wait is counted from end slot to start slot (0: straight after). In days it is the number of
    calendar days from the last day worked on `before` to the day on which `after` starts (42 and 56 for the return).
    """

    before: str
    after: str
    least_wait: int = 0
    greatest_wait: int | None = None
    unit: WaitUnit = HALF_DAYS


@dataclass(frozen=True)
class FloorSpan:
    """Floor taken without a break from the start of `first_step` (carcasses) to the end of `last_step` (loading)."""

    commission_id: str
    first_step: str
    last_step: str
    resource_id: str
    amount: int = 1


@dataclass(frozen=True)
class Resource:
    """Something pooled (hands of a skill, the van, floor bays), with what there is of it in each slot of the axis."""

    id: str
    words: str
    capacity: tuple[int, ...]
    another: str = ""
    """How "one more of it" is said ("another pair of hands", "the helper on every day")."""


@dataclass(frozen=True)
class Instance:
    """Everything the planner knows. `first_slot` is now: nothing that is not under way is placed before it."""

    axis: HalfDayAxis
    first_slot: int
    commissions: tuple[Commission, ...]
    steps: tuple[Step, ...]
    links: tuple[Link, ...] = ()
    floor_spans: tuple[FloorSpan, ...] = ()
    resources: tuple[Resource, ...] = ()
    calendars: tuple[Calendar, ...] = ()
    subcontractors: tuple[Subcontractor, ...] = ()

    @property
    def slot_count(self) -> int:
        return self.axis.slot_count


@dataclass(frozen=True)
class Placed:
    """Where a step stands: slots start .. end - 1."""

    start: int
    end: int


@dataclass(frozen=True)
class CostTerms:
    """What a plan costs, term by term; lower is better. See `cost.py` for the weights."""

    late: int = 0
    floor: int = 0
    moved_told: int = 0
    shift: int = 0

    @property
    def total(self) -> int:
        return self.late + self.floor + self.moved_told + self.shift


@dataclass(frozen=True)
class Refused:
    """A commission set aside, and the sentence that says what is wrong and what would put it right."""

    commission_id: str
    sentence: str
    step_ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """A place for every step of every commission that could be planned; the others are in `refused`."""

    places: Mapping[str, Placed]
    cost: CostTerms
    refused: tuple[Refused, ...] = ()
    method: str = "first plan"
    seed: int | None = None
    solver_version: str = ""
    input_hash: str = ""
    proved_best: bool = False
    hit_time_limit: bool = False
    """The safety net stopped the search: the same input may then give another plan."""
