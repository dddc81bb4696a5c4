from __future__ import annotations

from dataclasses import dataclass

import pytest

from jobs.domain.templates import STEPS
from jobs.models import StepKind
from jobs.queries.stage import stage_of

K = StepKind


@dataclass(frozen=True)
class Row:
    kind: str
    track: str
    started_at: object = None
    finished_at: object = None


def rows(done=(), running=()):
    return [
        Row(kind, track, True if kind in running or kind in done else None, True if kind in done else None)
        for kind, track, _hours, _needs in STEPS
    ]


def before(kind):
    kinds = [step[0] for step in STEPS]
    return kinds[: kinds.index(kind)]


@pytest.mark.parametrize(
    ("done", "running", "words"),
    [
        ([], [], "Survey to come"),
        ([], [K.SURVEY], "Being surveyed"),
        (before(K.DRAWING), [K.DRAWING], "Being drawn"),
        (before(K.APPROVAL), [], "Waiting for the drawing to be approved"),
        (before(K.DEPOSIT), [], "Waiting for the go-ahead"),
        (before(K.DOORS), [], "Doors to be made, materials to come, bought-in parts to come"),
        (
            [*before(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS, K.BOUGHT_IN],
            [K.CARCASSES],
            "Doors at the sprayer, carcasses being made, bought-in parts in",
        ),
        (
            [step for step in before(K.WRAP) if step != K.DRY_FIT],
            [],
            "Doors ready, carcasses to be dry-fitted, bought-in parts in",
        ),
        (before(K.WRAP), [], "Ready to wrap"),
        (before(K.FIT), [K.FIT], "Being fitted"),
        (before(K.RETURN_VISIT), [], "Handed over, return visit to come"),
        ([step[0] for step in STEPS], [], "Everything is done"),
    ],
)
def test_stage_follows_the_steps(done, running, words):
    assert stage_of(rows(done, running)) == words


def test_a_commission_without_steps_says_so():
    assert stage_of([]) == "No steps yet"


def test_a_step_reopened_takes_the_stage_back():
    """Nothing is stored: reopen the survey and the commission is being surveyed again."""
    steps = rows(done=before(K.WRAP))
    steps[0] = Row(K.SURVEY, "whole", started_at=True)
    assert stage_of(steps) == "Being surveyed"


def test_a_job_of_one_strand_names_its_step():
    assert stage_of([Row(K.OTHER, "whole"), Row(K.FIT, "whole")]) == "Other work to come"
