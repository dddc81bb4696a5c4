"""A chain of reasons as one plain sentence: runs of "follows" drawn together, long chains cut to their root."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.planning.explain import Explainer, Reason
from jobs.planning.network import Instance, Plan

MOST_CLAUSES = 4
"""Told in full; what lies behind is given by its root alone, so that a sentence can be read on a wall."""


def explain(instance: Instance, plan: Plan, step_id: str) -> str:
    """Why the step stands where it stands, back to today or a fixed date. See `Explainer` for many steps at once."""
    return say_chain(Explainer(instance, plan), step_id)


def say_chain(explainer: Explainer, step_id: str) -> str:
    index = explainer.compiled.index.get(step_id)
    if index is None or index not in explainer.places:
        return "This step is not in the plan."
    chain = explainer.chain(step_id)
    clauses = _clauses(explainer, chain)
    first = explainer.compiled.steps[index]
    told = clauses[:MOST_CLAUSES]
    if len(clauses) > MOST_CLAUSES:
        told.append(f"and so on back: {clauses[-1]}")
    head = f"{first.words} of {explainer.words[first.commission_id]}"
    if chain[0][1].kind in ("done", "under way"):
        text = f"{head} {chain[0][1].words}"
    else:
        text = f"{head} is on {explainer.axis.say(explainer.places[index].start)}: {'; '.join(told)}"
    return text[0].upper() + text[1:] + "."


def _clauses(explainer: Explainer, chain: Sequence[tuple[str, Reason]]) -> list[str]:
    clauses: list[str] = []
    own = _commission(explainer, chain[0][0])
    position = 0
    while position < len(chain):
        step_id, reason = chain[position]
        subject = "it" if position == 0 else _name(explainer, step_id, own)
        run = [reason]
        if reason.kind == "after":
            while position + len(run) < len(chain) and chain[position + len(run)][1].kind == "after":
                run.append(chain[position + len(run)][1])
        if len(run) == 1:
            clauses.append(f"{subject} {reason.words}")
        else:
            names = [_followed(explainer, one) for one in run]
            clauses.append(f"{subject} follows {', '.join(names[:-1])} and {names[-1]}")
        position += len(run)
    return clauses


def _commission(explainer: Explainer, step_id: str) -> str:
    return explainer.compiled.steps[explainer.compiled.index[step_id]].commission_id


def _name(explainer: Explainer, step_id: str, own: str) -> str:
    step = explainer.compiled.steps[explainer.compiled.index[step_id]]
    whose = "" if step.commission_id == own else f" of {explainer.words[step.commission_id]}"
    return f"{step.words}{whose} ({explainer.axis.say(explainer.places[explainer.compiled.index[step_id]].start)})"


def _followed(explainer: Explainer, reason: Reason) -> str:
    """Name of the step followed, with the lead time where it is somebody else's."""
    step = explainer.compiled.steps[explainer.compiled.index[reason.because_of or ""]]
    return step.words if step.lead_days is None else f"{step.words} ({step.lead_days} working days)"
