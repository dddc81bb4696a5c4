"""What cannot be planned, said in sentences. A bad commission is set aside; the others are planned all the same."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import combinations

from jobs.planning.calendars import Calendar, open_run
from jobs.planning.network import Commission, Instance, Link, Refused, Resource, Step
from jobs.planning.waits import contradicting_wait

LONGEST_STEP_HALF_DAYS = 240
"""120 working days, half a year at one bench: longer than any single step (our own bound, no source)."""
LONGEST_LEAD_DAYS = 250
"""A working year (our own bound, no source)."""


@dataclass
class _Known:
    """The instance looked up by id, made once for all steps."""

    instance: Instance
    calendars: dict[str, Calendar]
    resources: dict[str, Resource]
    most: dict[str, int]
    others: set[str]
    enough: dict[tuple[str, int], int] = field(default_factory=dict)

    @classmethod
    def of(cls, instance: Instance) -> _Known:
        resources = {resource.id: resource for resource in instance.resources}
        now = instance.first_slot
        return cls(
            instance,
            {calendar.id: calendar for calendar in instance.calendars},
            resources,
            {id: max(resource.capacity[now:], default=0) for id, resource in resources.items()},
            {other.id for other in instance.subcontractors},
        )

    def enough_mask(self, resource_id: str, amount: int) -> int:
        """Slots with that much of it if nobody else used any: a person's absences show up here."""
        key = (resource_id, amount)
        if key not in self.enough:
            there = self.resources[resource_id].capacity
            bits = "".join("1" if have >= amount else "0" for have in reversed(there))
            self.enough[key] = int(bits or "0", 2)
        return self.enough[key]


def validate(instance: Instance) -> tuple[Instance, tuple[Refused, ...]]:
    """The instance without the commissions that cannot be planned, and why each was set aside."""
    steps_of: dict[str, list[Step]] = defaultdict(list)
    for step in sorted(instance.steps, key=lambda step: step.id):
        steps_of[step.commission_id].append(step)
    links_of = _links_by_commission(instance)
    known_names = _Known.of(instance)
    refused: list[Refused] = []
    for commission in sorted(instance.commissions, key=lambda commission: commission.id):
        found = _first_fault(known_names, commission, steps_of[commission.id], links_of[commission.id])
        if found is not None:
            refused.append(found)
    known = {commission.id for commission in instance.commissions}
    refused += _doubled(instance)
    strangers = sorted(set(steps_of) - known)
    refused += [Refused(one, f"Steps belong to commission {one}, which is not in the plan.") for one in strangers]
    return _without(instance, {one.commission_id for one in refused}), tuple(refused)


def _doubled(instance: Instance) -> list[Refused]:
    """Two steps under one id would overwrite each other; both their commissions are set aside."""
    counts = Counter(step.id for step in instance.steps)
    doubled = [step for step in instance.steps if counts[step.id] > 1]
    return [
        Refused(step.commission_id, f"“{step.words}” has the number {step.id}, which is used twice.", (step.id,))
        for step in sorted(doubled, key=lambda step: (step.commission_id, step.id))
    ]


def _without(instance: Instance, bad: set[str]) -> Instance:
    if not bad:
        return instance
    gone = {step.id for step in instance.steps if step.commission_id in bad}
    return replace(
        instance,
        commissions=tuple(one for one in instance.commissions if one.id not in bad),
        steps=tuple(step for step in instance.steps if step.id not in gone),
        links=tuple(one for one in instance.links if one.before not in gone and one.after not in gone),
        floor_spans=tuple(span for span in instance.floor_spans if span.commission_id not in bad),
    )


def _links_by_commission(instance: Instance) -> dict[str, list[Link]]:
    """Each link under the commissions of both its ends, so that one that leaves its commission is seen."""
    commission_of = {step.id: step.commission_id for step in instance.steps}
    found: dict[str, list[Link]] = defaultdict(list)
    for link in instance.links:
        for commission_id in {commission_of.get(link.before), commission_of.get(link.after)} - {None}:
            found[str(commission_id)].append(link)
    return found


def _first_fault(known: _Known, commission: Commission, steps: list[Step], links: list[Link]) -> Refused | None:
    for step in steps:
        sentence = (
            _bad_allowance(step)
            or _bad_history(step)
            or _unknown_names(known, step)
            or _too_much_asked(known, step)
            or _never_open(known, step)
        )
        if sentence:
            return Refused(commission.id, f"{commission.words}: {sentence}", (step.id,))
    return _bad_links(commission, steps, links) or _bad_span(known.instance, commission, steps)


def _bad_allowance(step: Step) -> str | None:
    if step.lead_days is not None:
        if not 0 <= step.lead_days <= LONGEST_LEAD_DAYS:
            return (
                f"the lead time of “{step.words}” is {step.lead_days} working days; "
                f"give a number from 0 to {LONGEST_LEAD_DAYS}."
            )
        if step.demands:
            return f"“{step.words}” is with a subcontractor, so it cannot take hands or floor of ours; remove them."
        return None
    if not 0 < step.duration_half_days <= LONGEST_STEP_HALF_DAYS:
        return (
            f"the allowance of “{step.words}” is {step.duration_half_days} half-days; "
            f"give a number from 1 to {LONGEST_STEP_HALF_DAYS}, or split the step."
        )
    if step.remaining_half_days is not None and not 0 < step.remaining_half_days <= LONGEST_STEP_HALF_DAYS:
        return (
            f"“{step.words}” has {step.remaining_half_days} half-days left to do; "
            f"give a number from 1 to {LONGEST_STEP_HALF_DAYS}, or mark it finished."
        )
    return None


def _bad_history(step: Step) -> str | None:
    started, finished = step.started_slot, step.finished_slot
    if started is not None and finished is not None and finished < started:
        return f"“{step.words}” was finished before it was started; correct one of the two dates."
    negative = [amount for amount in step.demands.values() if amount < 0]
    if negative:
        return f"“{step.words}” asks for {negative[0]} of a resource; give a number from 0 up."
    return f"the weight of “{step.words}” is {step.weight}; give 0 or more." if step.weight < 0 else None


def _unknown_names(known: _Known, step: Step) -> str | None:
    for need in step.needs:
        if need not in known.calendars:
            return f"“{step.words}” needs the calendar {need}, which does not exist; choose another."
    for resource in step.demands:
        if resource not in known.resources:
            return f"“{step.words}” asks for {resource}, which does not exist; choose another resource."
    if step.lead_days is not None and step.subcontractor_id not in known.others:
        return f"“{step.words}” has a lead time but no known subcontractor; say who does it."
    return None


def _too_much_asked(known: _Known, step: Step) -> str | None:
    if step.finished_slot is not None:
        return None
    for resource_id, asked in step.demands.items():
        most = known.most[resource_id]
        if asked > most:
            return (
                f"“{step.words}” asks for {asked} of {known.resources[resource_id].words}, "
                f"and there are never more than {most}; ask for less or add to what there is."
            )
    return None


def _never_open(known: _Known, step: Step) -> str | None:
    """The smallest set of the step's calendars that leaves it no start; two of them in the usual case."""
    if step.finished_slot is not None or (step.lead_days is not None and step.started_slot is not None):
        return None
    length = 1 if step.lead_days is not None else max(1, step.remaining_half_days or step.duration_half_days)
    lower = max(known.instance.first_slot, step.earliest_slot or 0, step.fixed_slot or 0)
    masks = [(known.calendars[need].words, known.calendars[need].open_mask) for need in step.needs]
    masks += [(known.resources[id].words, known.enough_mask(id, n)) for id, n in step.demands.items() if n]
    all_open = known.instance.axis.all_open
    if open_run(_all_of(masks, all_open), length) >> lower:
        return None
    for size in range(len(masks) + 1):
        for chosen in combinations(masks, size):
            if open_run(_all_of(chosen, all_open), length) >> lower == 0:
                return _say_never(known.instance, step, [words for words, _mask in chosen], length, lower)
    return None


def _all_of(masks: Iterable[tuple[str, int]], mask: int) -> int:
    for _words, one in masks:
        mask &= one
    return mask


def _say_never(instance: Instance, step: Step, names: list[str], length: int, lower: int) -> str:
    when = f"from {instance.axis.say(lower)} on"
    long = f"{length} half-day{'s' if length > 1 else ''} in a row"
    if not names:
        return f"“{step.words}” needs {long}, and the calendar ends too soon after {instance.axis.say(lower)}."
    if len(names) == 1:
        return (
            f"“{step.words}” needs {long}, which {names[0]} never gives {when}; "
            "change that calendar or split the step."
        )
    return (
        f"“{step.words}” needs {long}, and {' and '.join(names)} never leave that together {when}; "
        "change one of them or split the step."
    )


def _bad_links(commission: Commission, steps: list[Step], links: list[Link]) -> Refused | None:
    ids = {step.id: step for step in steps}
    inside: list[Link] = []
    for link in links:
        if (link.before in ids) != (link.after in ids):
            known = ids.get(link.before) or ids[link.after]
            text = f"{commission.words}: “{known.words}” is tied to a step of another commission; remove that link."
            return Refused(commission.id, text, (known.id,))
        if link.before in ids:
            inside.append(link)
    for link in inside:
        pair = f"“{ids[link.before].words}” and “{ids[link.after].words}”"
        greatest = link.greatest_wait
        if link.least_wait < 0 or (greatest is not None and greatest < link.least_wait):
            text = (
                f"{commission.words}: the wait between {pair} is from {link.least_wait} to {greatest}; "
                "give a least wait from 0 up and a greatest wait that is not below it."
            )
            return Refused(commission.id, text, (link.before, link.after))
    circle = _find_circle(sorted(ids), inside)
    if circle is None:
        return _bad_wait(commission, ids, inside)
    chain = " → ".join(f"“{ids[one].words}”" for one in circle)
    text = f"{commission.words}: the steps go round in a circle: {chain}; remove one of these links."
    return Refused(commission.id, text, tuple(circle[:-1]))


def _bad_wait(commission: Commission, ids: dict[str, Step], links: list[Link]) -> Refused | None:
    link = contradicting_wait(ids, links)
    if link is None:
        return None
    text = (
        f"{commission.words}: “{ids[link.after].words}” may come at most {link.greatest_wait} half-days after "
        f"“{ids[link.before].words}”, and what must be done between them takes longer; "
        "lengthen that wait or shorten the steps between."
    )
    return Refused(commission.id, text, (link.before, link.after))


def _find_circle(ids: list[str], links: list[Link]) -> list[str] | None:
    """Ids of one cycle in order, the first repeated at the end."""
    after: dict[str, list[str]] = defaultdict(list)
    for link in sorted(links, key=lambda link: (link.before, link.after)):
        after[link.before].append(link.after)
    done: set[str] = set()
    for root in ids:
        path: list[str] = []
        todo = [(root, False)]
        while todo:
            here, leaving = todo.pop()
            if leaving:
                done.add(path.pop())
            elif here in path:
                return [*path[path.index(here) :], here]
            elif here not in done:
                path.append(here)
                todo.append((here, True))
                todo += [(one, False) for one in reversed(after[here])]
    return None


def _bad_span(instance: Instance, commission: Commission, steps: list[Step]) -> Refused | None:
    ids = {step.id for step in steps}
    resources = {resource.id: resource for resource in instance.resources}
    for span in instance.floor_spans:
        if span.commission_id != commission.id:
            continue
        if span.first_step not in ids or span.last_step not in ids or span.resource_id not in resources:
            text = f"{commission.words}: its floor space names a step or a place that does not exist; choose again."
            return Refused(commission.id, text)
        room = resources[span.resource_id]
        if span.amount < 0 or span.amount > max(room.capacity, default=0):
            text = (
                f"{commission.words}: it takes {span.amount} of {room.words}, and there are never more than "
                f"{max(room.capacity, default=0)}; give a number from 0 up that fits."
            )
            return Refused(commission.id, text)
    return None
