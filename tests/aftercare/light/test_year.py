from __future__ import annotations

from datetime import UTC, date, timedelta

import pytest

from aftercare.light.errors import LightError
from aftercare.light.picture import Frame, year_picture
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, PhotoWindow
from aftercare.light.year import YearOfLight, month_lines, year_of_light
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE, NOTED, noted, window

AUGUST = date(2026, 8, 1)
RETURN = (date(2026, 10, 28), date(2026, 11, 11))


@pytest.fixture(scope="module")
def year() -> YearOfLight:
    return year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, return_range=RETURN)


def test_every_day_is_there_once(year: YearOfLight) -> None:
    assert [each.day for each in year.days] == [AUGUST + timedelta(n) for n in range(365)]
    assert all(each.sun.day == each.light.day for each in year.days)


def test_minutes_are_those_of_the_wall_clock(year: YearOfLight) -> None:
    """The last day of summer time and the first of winter time: the same sun, an hour of the clock apart."""
    eve, day = (year.days[(each - AUGUST).days] for each in (date(2026, 10, 24), date(2026, 10, 25)))
    assert eve.window_minutes is not None and day.window_minutes is not None
    assert eve.window_minutes[1] - day.window_minutes[1] == pytest.approx(60, abs=1)
    best_at = window(day.light).best_at
    assert day.window_minutes[1] == pytest.approx(best_at.hour * 60 + best_at.minute, abs=1)
    start, best, end = day.window_minutes
    assert start < best < end


def test_clock_changes_and_return_are_marked(year: YearOfLight) -> None:
    assert [(change.day, change.minutes) for change in year.changes] == [
        (date(2026, 10, 25), -60),
        (date(2027, 3, 28), 60),
    ]
    assert year.best_return is not None
    assert (
        year.best_return.day
        == max(
            (each for each in year.days if RETURN[0] <= each.day <= RETURN[1]),
            key=lambda each: each.light.score if isinstance(each.light, PhotoWindow) else 0,
        ).day
    )


def test_text_twin_has_a_line_for_each_month_and_change(year: YearOfLight) -> None:
    lines = month_lines(year)
    assert len(lines) == 12 + 2
    assert lines[2] == (
        "October 2026, about the 15th: Photo window 10:22 to 11:05, best 10:44; the sun stands 14° lower: "
        "light reaches further in. Sunrise 07:31, sunset 18:11."
    )
    assert lines[3] == "Clocks go back on 25 October 2026."


def test_text_twin_of_a_few_days_tells_the_nearest_to_the_middle() -> None:
    few = year_of_light(MIDDLE, [NOTED], LONDON_ZONE, date(2026, 11, 20), 3)
    assert [line.split(":")[0] for line in month_lines(few)] == ["November 2026, about the 20th"]


def test_polar_days_fill_or_empty_the_picture() -> None:
    summer = year_of_light(Place(78.2, 15.6), [], UTC, date(2026, 6, 20), 3)
    winter = year_of_light(Place(78.2, 15.6), [], UTC, date(2026, 12, 20), 3)
    assert [each.daylight_minutes for each in summer.days] == [(0.0, 1440.0)] * 3
    assert [each.daylight_minutes for each in winter.days] == [None] * 3
    assert len(year_picture(summer).daylight) == 1
    assert year_picture(winter).daylight == ()


@pytest.mark.parametrize("count", [0, -3, 3661])
def test_impossible_lengths_are_refused(count: int) -> None:
    with pytest.raises(LightError) as refused:
        year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, count)
    assert refused.value.field == "day_count"


def test_return_range_turned_round_is_refused() -> None:
    with pytest.raises(LightError) as refused:
        year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, return_range=(RETURN[1], RETURN[0]))
    assert refused.value.field == "return_range"


def test_bands_break_where_the_clocks_change(year: YearOfLight) -> None:
    """Two changes cut the year into three; the pieces touch at the change and cover every day."""
    picture = year_picture(year)
    frame = Frame()
    for shapes in (picture.daylight, picture.bands):
        assert len(shapes) == 3
        edges = [(min(x for x, _ in each.points), max(x for x, _ in each.points)) for each in shapes]
        assert edges[0][0] == frame.left and edges[-1][1] == frame.right
        assert [edges[0][1], edges[1][1]] == [edges[1][0], edges[2][0]]
        assert [line.x for line in picture.change_lines] == [edges[1][0], edges[2][0]]
    # An hour back lifts the band by an hour of the frame.
    upper_before = picture.bands[0].points[len(picture.bands[0].points) // 2 - 1][1]
    hour = (frame.bottom - frame.top) / 18
    assert upper_before - picture.bands[1].points[0][1] == pytest.approx(hour, abs=2)


def test_band_is_thickest_on_the_note_s_day(year: YearOfLight) -> None:
    thickness = {
        each.day: each.window_minutes[2] - each.window_minutes[0]
        for each in year.days
        if each.window_minutes is not None
    }
    assert thickness[date(2026, 9, 10)] > 1.6 * thickness[date(2026, 11, 3)]
    assert thickness[date(2026, 11, 3)] > thickness[date(2026, 12, 21)]


def test_gaps_are_left_open() -> None:
    """Roofs opposite take the midwinter sun away: the bands stop and start again."""
    year = year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, aspect=Aspect(140, obstruction_deg=12))
    bands = year_picture(year).bands
    dark = [index for index, each in enumerate(year.days) if each.window_minutes is None]
    assert dark == list(range(dark[0], dark[-1] + 1))
    assert len(bands) == 4
    assert max(x for x, _ in bands[1].points) == Frame().x(dark[0], 365)
    assert min(x for x, _ in bands[2].points) == Frame().x(dark[-1] + 1, 365)


def test_marks_lie_where_the_frame_puts_them(year: YearOfLight) -> None:
    picture, frame = year_picture(year), Frame()
    [mark] = picture.note_marks
    assert (mark.x, mark.y, mark.label) == (frame.x(40, 365), frame.y(11 * 60 + 15), "noted 11:15")
    box = picture.return_box
    assert box is not None
    assert (box.x, box.x + box.width) == (frame.x(88, 365), pytest.approx(frame.x(103, 365)))
    assert box.label == "return visit: 28 October to 11 November"
    assert picture.return_mark is not None
    assert picture.return_mark.label == "09:35, the sun stands 19° lower: light reaches further in"
    assert [line.label for line in picture.month_lines][:3] == ["Aug", "Sep", "Oct"]
    assert [line.label for line in picture.hour_lines] == [f"{hour}:00" for hour in range(6, 22, 2)]


def test_marks_outside_the_year_are_left_out() -> None:
    old = noted(date(2025, 9, 10), 11)
    away = (date(2028, 1, 1), date(2028, 1, 9))
    picture = year_picture(year_of_light(MIDDLE, [old], LONDON_ZONE, AUGUST, return_range=away))
    assert (picture.note_marks, picture.return_box, picture.return_mark) == ((), None, None)


def test_return_box_is_cut_at_the_edge_of_the_year() -> None:
    across = (date(2026, 7, 25), date(2026, 8, 10))
    box = year_picture(year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, return_range=across)).return_box
    assert box is not None
    assert (box.x, box.label) == (Frame().left, "return visit: 1 August to 10 August")


def test_points_stay_inside_the_frame_and_print_as_svg() -> None:
    small = Frame(0, 0, 100, 50, first_minutes=600, last_minutes=660)
    picture = year_picture(year_of_light(MIDDLE, [NOTED], LONDON_ZONE, AUGUST, 2), small)
    [band] = picture.bands
    assert all(0 <= x <= 100 and 0 <= y <= 50 for x, y in band.points)
    assert [x for x, _ in band.points] == [0, 50, 100, 100, 50, 0]
    assert band.svg_points.split(" ")[1].startswith("50.0,")
