"""The plan of one commission: each date with its reason, promises with their chance, what would help."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.models import Commission, PlanState, PlanVersion, Step, StepKind, Workshop
from jobs.planning.clash import broken_dates, what_would_help
from jobs.planning.explain import Explainer
from jobs.planning.sentences import say_chain
from jobs.queries.live import LiveRecord
from jobs.queries.plan import Planned, PlannedStep, live_for_page
from jobs.queries.plan_store import key_of
from jobs.queries.plan_words import HALVES, say_forecast, say_remedy
from jobs.queries.planning_input import step_id
from jobs.queries.words import say_day, say_half_days, say_range

DAY = 12
LINE = 26
NAME = 190
HEAD = 26
LONGEST_DAYS = 140
"""Twenty weeks are drawn; the return visit weeks later is told in the table."""


@dataclass(frozen=True)
class PlanRow:
    name: str
    when: str
    reason: str
    late_words: str


@dataclass(frozen=True)
class PromiseRow:
    name: str
    promised: str
    planned: str
    late_words: str
    chance: str
    chain: str


@dataclass(frozen=True)
class PlanBar:
    name: str
    x: float
    y: int
    width: float
    kind: str

    @property
    def text_y(self) -> int:
        return self.y + 13


@dataclass(frozen=True)
class PlanPicture:
    width: int
    height: int
    bars: tuple[PlanBar, ...]
    weeks: tuple[tuple[int, str], ...]
    marks: tuple[float, ...]
    """Where promised days end."""


@dataclass(frozen=True)
class Clash:
    """A date the plan does not keep, and what would help, the best first."""

    step_pk: int
    sentence: str
    remedies: tuple[str, ...]
    is_looked_into: bool


def plan_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Seven queries, of which the six of the live record are shared with the steps."""
    workshop = Workshop.objects.order_by("pk")[0]
    live, planned = live_for_page(commission, workshop, now)
    found = planned.view.commissions.get(commission.pk)
    if found is None or found.is_held or found.refused_because:
        return {"plan": None, "refused_because": found.refused_because if found else "", "found": found}
    explainer = Explainer(planned.instance, planned.plan)
    ahead = [step for step in found.steps if not step.is_done]
    steps = {step.pk: step for step in live.steps.get(commission.pk, ())}
    rows = [_row(explainer, steps[one.step_id], one, live.today) for one in _in_time(ahead)]
    version = PlanVersion.objects.filter(state=PlanState.CURRENT).only("input_hash", "forecast").first()
    is_fresh = version is not None and version.input_hash == planned.plan.input_hash
    forecast = version.forecast if version is not None and is_fresh else {}
    return {
        "plan": rows,
        "found": found,
        "promises": [
            _promise(explainer, live, steps[one.step_id], one, forecast)
            for one in ahead
            if _date_given(live, steps[one.step_id])
        ],
        "picture": plan_picture(_in_time(ahead), steps, live.today),
        "spread_words": forecast.get("words", ""),
        "is_fresh": is_fresh,
        "late_words": f"{say_half_days(found.late_half_days)} late" if found.late_half_days else "",
    }


def _in_time(steps: Sequence[PlannedStep]) -> list[PlannedStep]:
    return sorted(steps, key=lambda one: (one.starts.day, one.starts.half, one.ends.day, one.step_id))


def _row(explainer: Explainer, step: Step, planned: PlannedStep, today: dt.date) -> PlanRow:
    index = explainer.compiled.index.get(step_id(step.pk))
    reason = ""
    if index is not None and index in explainer.places:
        words = explainer.reason(index).words
        reason = f"{words[:1].upper()}{words[1:]}."
    late = planned.late_half_days
    return PlanRow(
        step.name,
        say_range(planned.starts.day, planned.ends.day, today),
        reason,
        f"{say_half_days(late)} late" if late else "",
    )


def _date_given(live: LiveRecord, step: Step) -> dt.date | None:
    """The day the client was told for a step: a promise, or a visit that names it."""
    if step.promised_on is not None or step.kind == StepKind.RETURN_VISIT:
        return step.promised_on
    visits = [one for one in live.visits.get(step.commission_id, ()) if one.step_id == step.pk and one.starts_at]
    days = [live.workshop.local_day(one.starts_at) for one in visits if one.starts_at and one.starts_at > live.now]
    return min(days, default=None)


def _promise(
    explainer: Explainer, live: LiveRecord, step: Step, planned: PlannedStep, forecast: dict[str, Any]
) -> PromiseRow:
    given = _date_given(live, step)
    assert given is not None
    key = step_id(step.pk)
    i = explainer.compiled.index[key]
    late = explainer.compiled.late_half_days(i, explainer.places[i]) if i in explainer.places else 0
    planned_for = say_day(planned.ends.day, live.today)
    if late > 0 and planned.ends.day == given:
        planned_for = f"that {HALVES[planned.ends.half]}"
    return PromiseRow(
        step.name,
        say_day(given, live.today),
        planned_for,
        f"{say_half_days(late)} late" if late > 0 else "",
        say_forecast(forecast, step.pk, live.today),
        say_chain(explainer, key),
    )


def plan_picture(ahead: Sequence[PlannedStep], steps: dict[int, Step], today: dt.date) -> PlanPicture | None:
    """A bar a step on a ruler of days, weekends included, from this week's Monday on."""
    first = today - dt.timedelta(days=today.weekday())
    drawn = [one for one in ahead if (one.starts.day - first).days < LONGEST_DAYS]
    if not drawn:
        return None
    days = min(LONGEST_DAYS, max((one.ends.day - first).days for one in drawn) + 3)
    days += -days % 7
    bars = []
    for number, one in enumerate(drawn):
        start = max(0.0, (one.starts.day - first).days + one.starts.half / 2)
        end = min(float(days), (one.ends.day - first).days + (one.ends.half + 1) / 2)
        kind = "late" if one.is_late else "away" if steps[one.step_id].lead_days else "here"
        width = max(4.0, (end - start) * DAY)
        bars.append(PlanBar(steps[one.step_id].name, NAME + start * DAY, HEAD + number * LINE + 4, width, kind))
    weeks = tuple(
        (NAME + 7 * DAY * week, say_day(first + dt.timedelta(weeks=week), today)) for week in range(days // 7)
    )
    promised = {step.promised_on for step in steps.values() if step.promised_on and step.finished_at is None}
    marks = [(day - first).days + 1 for day in promised]
    return PlanPicture(
        NAME + days * DAY,
        HEAD + LINE * len(bars) + 6,
        tuple(bars),
        weeks,
        tuple(NAME + mark * DAY for mark in sorted(marks) if 0 <= mark <= days),
    )


def clashes_of(planned: Planned, commission_pk: int | None = None) -> list[Clash]:
    """Broken dates of the plan, of one commission or of all, those told to clients first. One query.

    What would help was worked out when the plan was stored; where it was not, `is_looked_into` is False.
    """
    version = PlanVersion.objects.filter(state=PlanState.CURRENT).only("input_hash", "remedies").first()
    stored = version.remedies if version and version.input_hash == planned.plan.input_hash else {}
    found = []
    for one in broken_dates(planned.instance, planned.plan):
        if commission_pk is not None and one.commission_id != f"commission:{commission_pk}":
            continue
        remedies = stored.get(key_of(one.step_id))
        words = tuple(say_remedy(*row) for row in remedies or ())
        found.append(Clash(int(key_of(one.step_id)), one.sentence, words, remedies is not None))
    return found


def help_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """What would help a late commission: each remedy tried by planning it again, here and now where need be."""
    _live, planned = live_for_page(commission, workshop, now)
    clashes = [_looked_into(planned, clash) for clash in clashes_of(planned, commission.pk)]
    return {"commission": commission, "clashes": clashes}


def _looked_into(planned: Planned, clash: Clash) -> Clash:
    if clash.is_looked_into:
        return clash
    found = what_would_help(planned.instance, planned.plan, step_id(clash.step_pk), use_solver=False)
    words = tuple(say_remedy(one.words, one.late_half_days, one.gained_half_days) for one in found)
    return Clash(clash.step_pk, clash.sentence, words, True)


def steps_by_pk(pks: Iterable[int]) -> dict[int, Step]:
    return {step.pk: step for step in Step.objects.filter(pk__in=set(pks)).select_related("commission")}
