"""Where a commission stands, in words, computed from its steps. Nothing is stored that could disagree with them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Protocol

from jobs.models.kinds import StepKind, Track


class StageStep(Protocol):
    """What the stage needs of a step: model rows and planned steps both have it."""

    @property
    def kind(self) -> str: ...
    @property
    def track(self) -> str: ...
    @property
    def started_at(self) -> object: ...
    @property
    def finished_at(self) -> object: ...


K = StepKind
# What is said while the first open step of the whole job is waiting, and once it has been started.
WHOLE_WORDS: dict[str, tuple[str, str]] = {
    K.SURVEY: ("Survey to come", "Being surveyed"),
    K.DRAWING: ("To be drawn", "Being drawn"),
    K.APPROVAL: ("Waiting for the drawing to be approved", "Waiting for the drawing to be approved"),
    K.DEPOSIT: ("Waiting for the go-ahead", "Waiting for the go-ahead"),
    K.WRAP: ("Ready to wrap", "Being wrapped"),
    K.LOAD: ("Wrapped, to be loaded", "Being loaded"),
    K.DELIVER: ("Loaded, to be carried in", "Being carried in"),
    K.FIT: ("Carried in, to be fitted", "Being fitted"),
    K.SNAGS: ("Fitted, snags to look at", "Snags being put right"),
    K.HANDOVER: ("Handover to come", "Handover under way"),
    K.RETURN_VISIT: ("Handed over, return visit to come", "Return visit under way"),
}
TRACK_WORDS: dict[str, tuple[str, str]] = {
    K.DOORS: ("doors to be made", "doors being made"),
    K.SPRAYER_OUT: ("doors to go to the sprayer", "doors going to the sprayer"),
    K.SPRAYER_BACK: ("doors at the sprayer", "doors at the sprayer"),
    K.INSPECT: ("doors to be inspected", "doors being inspected"),
    K.MATERIALS: ("materials to come", "materials on order"),
    K.CARCASSES: ("carcasses to be made", "carcasses being made"),
    K.FINISH: ("carcasses to be finished", "carcasses being finished"),
    K.DRY_FIT: ("carcasses to be dry-fitted", "carcasses being dry-fitted"),
    K.BOUGHT_IN: ("bought-in parts to come", "bought-in parts on order"),
    K.REDO: ("something to be made good", "something being made good"),
}
TRACK_DONE = {Track.DOORS: "doors ready", Track.CARCASSES: "carcasses ready", Track.BOUGHT_IN: "bought-in parts in"}
SPLIT_TRACKS = (Track.DOORS, Track.CARCASSES, Track.BOUGHT_IN)
BEFORE_SPLIT = (K.SURVEY, K.DRAWING, K.APPROVAL, K.DEPOSIT)


def stage_of(steps: Iterable[StageStep]) -> str:
    """The stage of a commission from its steps, given in the order of their list.

    "Being drawn"; "Doors at the sprayer, carcasses being made"; "Everything is done".
    """
    every = list(steps)
    if not every:
        return "No steps yet"
    open_steps = [step for step in every if step.finished_at is None]
    if not open_steps:
        return "Everything is done"
    first = _first(open_steps, lambda step: step.kind in BEFORE_SPLIT)
    if first is not None:
        return _said(first, WHOLE_WORDS)
    apart = [step for step in open_steps if step.track in SPLIT_TRACKS]
    if apart:
        return _strands(every, apart)
    return _said(open_steps[0], WHOLE_WORDS)


def _strands(every: Sequence[StageStep], apart: Sequence[StageStep]) -> str:
    said = []
    for track in SPLIT_TRACKS:
        if not any(step.track == track for step in every):
            continue
        first = _first(apart, lambda step, track=track: step.track == track)  # type: ignore[misc]
        said.append(TRACK_DONE[track] if first is None else _said(first, TRACK_WORDS))
    words = ", ".join(said)
    return words[0].upper() + words[1:]


def _first(steps: Sequence[StageStep], wanted: Callable[[StageStep], bool]) -> StageStep | None:
    return next((step for step in steps if wanted(step)), None)


def _said(step: StageStep, words: dict[str, tuple[str, str]]) -> str:
    waiting, begun = words.get(step.kind, ("Other work to come", "Other work under way"))
    return waiting if step.started_at is None else begun
