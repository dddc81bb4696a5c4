from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.carrying.lifting import CAUTION, STAIRS_CAUTION, Posture, lifters_for, team_filter_kg
from jobs.pure_errors import MeasureError

WOMEN = Posture("women", ("knuckle_to_elbow",), "close")


@pytest.mark.parametrize(
    ("weight", "lifters", "verdict"),
    [(25, 1, "one"), (25.1, 2, "team"), (33.3, 2, "team"), (33.4, 3, "team"), (37.5, 3, "team")],
)
def test_smallest_team_whose_filter_holds(weight, lifters, verdict):
    lift = lifters_for(weight)
    assert (lift.lifters, lift.verdict) == (lifters, verdict)


def test_above_three_lifters_is_not_by_hand():
    lift = lifters_for(37.6)
    assert (lift.lifters, lift.verdict) == (None, "not_by_hand")
    assert lift.sentence == (
        "37.6 kg is above the filter for 3 lifters (37.5 kg): do not carry by hand: split it or use a lifting aid"
    )


def test_womens_column_asks_for_more_hands():
    assert (lifters_for(20).lifters, lifters_for(20, posture=WOMEN).lifters) == (1, 2)


def test_every_result_carries_source_and_caution():
    for weight in (None, 10, 30, 90):
        lift = lifters_for(weight)
        assert CAUTION in lift.cautions
        assert "secondary sources" in lift.source


def test_stairs_warn_of_the_lower_lifter():
    lift = lifters_for(30, on_stairs=True)
    assert STAIRS_CAUTION in lift.cautions
    assert lift.cautions[-1] == "The lower lifter may hold nearly all 30.0 kg, above one person's 25 kg."


def test_unknown_weight_is_never_called_light():
    lift = lifters_for(None)
    assert (lift.lifters, lift.verdict) == (None, "not_recorded")


@pytest.mark.parametrize("weight", [0, -5, float("nan")])
def test_absurd_weight_is_refused(weight):
    with pytest.raises(MeasureError) as caught:
        lifters_for(weight)
    assert caught.value.field == "Weight"


def test_no_figure_for_a_team_of_four():
    with pytest.raises(MeasureError, match="not for 4"):
        team_filter_kg([25] * 4)


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_heavier_never_needs_fewer_lifters(first, second):
    light, heavy = sorted((first, second))
    assert (lifters_for(heavy).lifters or 99) >= (lifters_for(light).lifters or 99)


@pytest.mark.parametrize(
    "posture",
    [Posture("men", (), "close"), Posture("men", ("attic",), "close"), Posture("boys"), Posture("men", reach="far")],
)
def test_unknown_posture_is_refused(posture):
    with pytest.raises(MeasureError):
        lifters_for(10, posture=posture)


def test_long_carry_adds_its_caution():
    assert len(lifters_for(10, carry_m=11).cautions) == len(lifters_for(10, carry_m=10).cautions) + 1
