"""Waits that contradict each other: a step held to within two days of one that cannot end so late."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from jobs.planning.network import HALF_DAYS, Link, Step


def contradicting_wait(steps: Mapping[str, Step], links: Sequence[Link]) -> Link | None:
    """A link whose greatest wait no plan can keep, however many hands there are; None where all can be kept.

    Bellman-Ford on the half-day waits: bounds still rising after twice as many rounds as there are steps never stop.
    Links in calendar days and steps with a lead time are left out, since what they ask depends on the date.
    """
    own = [
        link
        for link in sorted(links, key=lambda link: (link.before, link.after))
        if link.unit == HALF_DAYS
        and steps[link.before].lead_days is None
        and not any(_begun(steps[id]) for id in (link.before, link.after))
    ]
    earliest = dict.fromkeys(steps, 0)
    raised_by_wait: Link | None = None
    for _round in range(2 * len(steps) + 2):
        before = dict(earliest)
        for link in own:
            length = steps[link.before].duration_half_days
            after = earliest[link.before] + length + link.least_wait
            earliest[link.after] = max(earliest[link.after], after)
            if link.greatest_wait is not None:
                needed = earliest[link.after] - link.greatest_wait - length
                if needed > earliest[link.before]:
                    earliest[link.before], raised_by_wait = needed, link
        if earliest == before:
            return None
    return raised_by_wait


def _begun(step: Step) -> bool:
    return step.started_slot is not None or step.finished_slot is not None
