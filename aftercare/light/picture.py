"""The year of light as numbers to draw: polygons, lines and labels inside a frame. No markup is made here.

Days run from left to right, hours of the local clock downward. A shape is cut where the clocks change and where a
day has nothing to show; each day fills its own width, so neighbouring shapes touch and the step stands upright.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from aftercare.light.values import PhotoWindow
from aftercare.light.words import change_sentence, day_words, height_words, time_words
from aftercare.light.year import DayOfLight, YearOfLight, clock_minutes

Point = tuple[float, float]


@dataclass(frozen=True)
class Frame:
    """Edges of the drawing in user units, and the hours it shows, in minutes of the clock."""

    left: float = 150.0
    top: float = 120.0
    right: float = 1800.0
    bottom: float = 880.0
    first_minutes: float = 240.0
    last_minutes: float = 1320.0

    def x(self, day_index: float, day_count: int) -> float:
        return round(self.left + (self.right - self.left) * day_index / day_count, 1)

    def y(self, minutes: float) -> float:
        """Hours outside the frame lie on its edge."""
        share = (minutes - self.first_minutes) / (self.last_minutes - self.first_minutes)
        return round(self.top + (self.bottom - self.top) * min(1.0, max(0.0, share)), 1)


@dataclass(frozen=True)
class Polygon:
    points: tuple[Point, ...]

    @property
    def svg_points(self) -> str:
        """As the `points` attribute of an SVG polygon wants them."""
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in self.points)


@dataclass(frozen=True)
class Mark:
    x: float
    y: float
    label: str


@dataclass(frozen=True)
class Box:
    x: float
    y: float
    width: float
    height: float
    label: str


@dataclass(frozen=True)
class YearPicture:
    """`hour_lines` give y and `month_lines` x of a line with its label; `change_lines` x of a clock change."""

    frame: Frame
    daylight: tuple[Polygon, ...]
    bands: tuple[Polygon, ...]
    hour_lines: tuple[Mark, ...]
    month_lines: tuple[Mark, ...]
    change_lines: tuple[Mark, ...]
    note_marks: tuple[Mark, ...]
    return_box: Box | None
    return_mark: Mark | None


def year_picture(year: YearOfLight, frame: Frame | None = None) -> YearPicture:
    """Everything a template needs to draw the year; marks outside the year's days are left out."""
    frame = frame or Frame()
    return YearPicture(
        frame=frame,
        daylight=_bands(year, frame, lambda day: day.daylight_minutes),
        bands=_bands(year, frame, _window_edges),
        hour_lines=_hour_lines(frame),
        month_lines=_month_lines(year, frame),
        change_lines=_change_lines(year, frame),
        note_marks=_note_marks(year, frame),
        return_box=_return_box(year, frame),
        return_mark=_return_mark(year, frame),
    )


def _window_edges(day: DayOfLight) -> tuple[float, float] | None:
    minutes = day.window_minutes
    return None if minutes is None else (minutes[0], minutes[2])


def _bands(
    year: YearOfLight, frame: Frame, edges: Callable[[DayOfLight], tuple[float, float] | None]
) -> tuple[Polygon, ...]:
    """One polygon for each unbroken run of days."""
    change_days = {change.day for change in year.changes}
    runs: list[list[tuple[int, tuple[float, float]]]] = []
    unbroken = False
    for index, day in enumerate(year.days):
        pair = edges(day)
        if pair is not None:
            if not unbroken or day.day in change_days:
                runs.append([])
            runs[-1].append((index, pair))
        unbroken = pair is not None
    return tuple(_polygon(run, frame, len(year.days)) for run in runs)


def _polygon(run: list[tuple[int, tuple[float, float]]], frame: Frame, day_count: int) -> Polygon:
    last_index, last_pair = run[-1]
    # The last day's width is drawn level, so that a run of a single day still shows.
    steps = [*run, (last_index + 1, last_pair)]
    upper = [(frame.x(index, day_count), frame.y(pair[0])) for index, pair in steps]
    lower = [(frame.x(index, day_count), frame.y(pair[1])) for index, pair in reversed(steps)]
    return Polygon(tuple(upper + lower))


def _hour_lines(frame: Frame) -> tuple[Mark, ...]:
    hours = range(0, 25, 2)
    inside = [hour for hour in hours if frame.first_minutes < hour * 60 < frame.last_minutes]
    return tuple(Mark(frame.left, frame.y(hour * 60), f"{hour}:00") for hour in inside)


def _month_lines(year: YearOfLight, frame: Frame) -> tuple[Mark, ...]:
    starts = [(index, each.day) for index, each in enumerate(year.days) if each.day.day == 1]
    return tuple(Mark(frame.x(index, len(year.days)), frame.bottom, f"{day:%b}") for index, day in starts)


def _change_lines(year: YearOfLight, frame: Frame) -> tuple[Mark, ...]:
    lines = []
    for change in year.changes:
        x = _x(year, frame, change.day)
        if x is not None:
            lines.append(Mark(x, frame.top, change_sentence(change, change.day.year)))
    return tuple(lines)


def _note_marks(year: YearOfLight, frame: Frame) -> tuple[Mark, ...]:
    marks = []
    for note in year.notes:
        noted_at = note.noted_at.astimezone(year.zone)
        x = _x(year, frame, noted_at.date())
        if x is not None:
            y = frame.y(clock_minutes(noted_at, noted_at.date()))
            marks.append(Mark(x, y, f"noted {time_words(noted_at)}"))
    return tuple(marks)


def _return_box(year: YearOfLight, frame: Frame) -> Box | None:
    if year.return_range is None:
        return None
    first, last = max(year.return_range[0], year.days[0].day), min(year.return_range[1], year.days[-1].day)
    left, right = _x(year, frame, first), _x(year, frame, last, days_on=1)
    if left is None or right is None or last < first:
        return None
    label = f"return visit: {day_words(first, first.year)} to {day_words(last, first.year)}"
    return Box(left, frame.top, round(right - left, 1), frame.bottom - frame.top, label)


def _return_mark(year: YearOfLight, frame: Frame) -> Mark | None:
    best = year.best_return
    if best is None or not isinstance(best.light, PhotoWindow) or best.window_minutes is None:
        return None
    x = _x(year, frame, best.day)
    words = ", ".join(filter(None, [time_words(best.light.best_at), height_words(best.light)]))
    return None if x is None else Mark(x, frame.y(best.window_minutes[1]), words)


def _x(year: YearOfLight, frame: Frame, day: date, days_on: int = 0) -> float | None:
    """None for a day outside the picture."""
    index = (day - year.first_day).days
    return frame.x(index + days_on, len(year.days)) if 0 <= index < len(year.days) else None
