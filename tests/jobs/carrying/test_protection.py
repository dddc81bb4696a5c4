from __future__ import annotations

import pytest

from jobs.carrying.protection import Flight, protection_plan, stair_covering_mm
from jobs.pure_errors import MeasureError


def test_stair_covering_is_treads_times_rise_and_going_plus_landings():
    # By hand: 13 x (200 + 230) = 5590; with landings of 900 and 850, 7340.
    assert stair_covering_mm([Flight(13, 200, 230)], [900, 850]) == 7340


def test_plan_adds_ten_per_cent_and_rounds_up_to_a_tenth():
    plan = protection_plan(
        flights=[Flight(13, 200, 230)],
        landings_mm=[900, 850],
        floor_runs_mm=[5000, 3200],
        corners=4,
        floor_kinds=["wool"],
    )
    assert (plan.stairs_to_pack_m, plan.floor_to_pack_m, plan.guards_to_pack_m) == (8.1, 9.1, 8.0)
    assert plan.cover_words == ("wool: loose breathable cover; no adhesive film on wool",)
    assert "our own figure without a source" in plan.sentence


def test_exact_tenth_is_not_rounded_further():
    assert protection_plan(floor_runs_mm=[10_000]).floor_to_pack_m == 11.0


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Flight(0, 200, 230), "Treads"),
        (lambda: Flight(13, 2, 230), "Rise"),
        (lambda: Flight(13, 200, -1), "Going"),
        (lambda: protection_plan(landings_mm=[0]), "Landing"),
        (lambda: protection_plan(floor_runs_mm=[-5]), "Floor run"),
        (lambda: protection_plan(corners=-1), "Corners"),
        (lambda: protection_plan(floor_kinds=["lava"]), "Floor"),
    ],
)
def test_bad_figures_name_their_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field
