from __future__ import annotations

from datetime import datetime

import pytest

from aftercare.light.errors import LightError
from aftercare.light.sun import Place, positions_at
from aftercare.light.values import Aspect, LightNote

NAN = float("nan")


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "field"),
    [
        (90.1, 0, "latitude_deg"),
        (-91, 0, "latitude_deg"),
        (NAN, 0, "latitude_deg"),
        (52, 180.5, "longitude_deg"),
        (52, NAN, "longitude_deg"),
        (52, float("inf"), "longitude_deg"),
    ],
)
def test_place_off_the_map_is_refused(latitude_deg: float, longitude_deg: float, field: str) -> None:
    with pytest.raises(LightError) as refused:
        Place(latitude_deg, longitude_deg)
    assert refused.value.field == field
    assert "check the place" in refused.value.sentence


@pytest.mark.parametrize("bearing_deg", [400, 360, -1, NAN])
def test_window_facing_off_the_compass_is_refused(bearing_deg: float) -> None:
    with pytest.raises(LightError) as refused:
        Aspect(bearing_deg)
    assert refused.value.field == "window_facing_deg"
    assert refused.value.sentence == (
        f"Window facing must be a bearing from 0 to 359 degrees, not {bearing_deg:g}: "
        "north is 0, east 90, south 180, west 270."
    )


def test_furniture_facing_off_the_compass_is_refused() -> None:
    with pytest.raises(
        LightError, match="Furniture facing must be a bearing from 0 to 359 degrees, not 400"
    ) as refused:
        Aspect(180, furniture_facing_deg=400)
    assert refused.value.field == "furniture_facing_deg"


@pytest.mark.parametrize("obstruction_deg", [-1.0, 90.0, NAN])
def test_obstruction_out_of_range_is_refused(obstruction_deg: float) -> None:
    with pytest.raises(LightError) as refused:
        Aspect(180, obstruction_deg=obstruction_deg)
    assert refused.value.field == "obstruction_deg"


@pytest.mark.parametrize(
    ("measures", "field"),
    [
        ({"window_width_mm": 0}, "window_width_mm"),
        ({"window_height_mm": -5}, "window_height_mm"),
        ({"window_sill_mm": 20_001}, "window_sill_mm"),
    ],
)
def test_impossible_measure_is_refused(measures: dict[str, int], field: str) -> None:
    with pytest.raises(LightError) as refused:
        Aspect(180, **measures)
    assert refused.value.field == field


def test_edges_of_the_range_are_taken() -> None:
    assert Aspect(0, 359, 1, 1, 0, 0.0).window_head_mm == 1
    assert Aspect(359).window_head_mm is None
    assert Place(-90, 180) == Place(-90, 180)


def test_naive_times_are_refused() -> None:
    naive = datetime(2026, 9, 10, 11, 15)  # noqa: DTZ001
    with pytest.raises(LightError) as refused:
        LightNote(naive)
    assert refused.value.field == "noted_at"
    with pytest.raises(LightError):
        positions_at(Place(52, 0), [naive])
