from __future__ import annotations

import pytest

from jobs.measuring.readings import (
    PLACES,
    Diagonals,
    Level,
    Moulding,
    Plumb,
    ProudThing,
    Reading,
    RoomReadings,
    Window,
    missing_readings,
)
from jobs.pure_errors import MeasureError


def full_room(**changes) -> RoomReadings:
    sizes = tuple(
        Reading(direction, place, base + 3 * number)
        for direction, base in (("width", 2000), ("height", 2400), ("depth", 640))
        for number, place in enumerate(PLACES[direction])
    )
    parts = {
        "sizes": sizes,
        "plumb": (Plumb("left", 6, 2400), Plumb("right", 0, 2400)),
        "level": Level(8, 2000),
        "diagonals": Diagonals(3130, 3124),
        "skirting": Moulding(145, 18),
        "cornice": Moulding(0, 0),
    }
    return RoomReadings(**(parts | changes))


def test_full_survey_misses_nothing():
    assert missing_readings(full_room()) == ()


def test_empty_survey_misses_every_reading_by_name():
    missing = missing_readings(RoomReadings())
    assert len(missing) == 18 + 2 + 4
    assert missing[0] == "width, back top"
    assert missing[-6:] == (
        "plumb, left wall", "plumb, right wall", "level, floor", "diagonals, back wall", "skirting", "cornice",
    )  # fmt: skip


def test_one_reading_left_out_is_the_one_named():
    room = full_room()
    less = full_room(sizes=tuple(reading for reading in room.sizes if reading.name != "height, front middle"))
    assert missing_readings(less) == ("height, front middle",)


def test_window_without_reveal_or_facing_is_named_and_north_counts_as_given():
    windows = (Window("Bay", 1200, 1400, facing_deg=0), Window("Side light", 400, 900, reveal_mm=0))
    assert missing_readings(full_room(windows=windows)) == ("Bay, reveal", "Side light, facing")


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Reading("width", "back top", 2), "width, back top"),
        (lambda: Reading("width", "back top", -2000), "width, back top"),
        (lambda: Reading("width", "up there", 2000), "Reading"),
        (lambda: Reading("breadth", "back top", 2000), "Reading"),
        (lambda: Plumb("left", 400, 2400), "Plumb of the left wall"),
        (lambda: Level(5, 0), "Level, run"),
        (lambda: Diagonals(0, 3000), "Diagonal bottom left to top right"),
        (lambda: Moulding(-1, 0), "Moulding, height"),
        (lambda: ProudThing("Sill", "left", 500, 400, 60), "Sill"),
        (lambda: ProudThing("Sill", "left", 0, 400, 0), "Sill, standing out"),
        (lambda: Window("Bay", 1200, 1400, facing_deg=360), "Bay, facing"),
        (lambda: RoomReadings((Reading("width", "back top", 2000),) * 2), "width, back top"),
    ],
)
def test_bad_reading_names_its_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field
    assert caught.value.sentence.startswith(field)


def test_metres_are_asked_about():
    with pytest.raises(MeasureError, match=r"Is it 2000 mm \(2 m\) or really 2 mm\?"):
        Reading("width", "back top", 2)
