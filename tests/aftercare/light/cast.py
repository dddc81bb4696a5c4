"""The room the light tests talk about: invented, in the middle of England."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from aftercare.light.answers import DayLight
from aftercare.light.sun import Place
from aftercare.light.values import LightNote, NoWindow, PhotoWindow

LONDON_ZONE = ZoneInfo("Europe/London")
MIDDLE = Place(52.5, -1.5)
NOTED = LightNote(datetime(2026, 9, 10, 11, 15, tzinfo=LONDON_ZONE))
NOVEMBER = date(2026, 11, 3)


def noted(day: date, hour: int, minute: int = 0) -> LightNote:
    return LightNote(datetime(day.year, day.month, day.day, hour, minute, tzinfo=LONDON_ZONE))


def window(light: DayLight) -> PhotoWindow:
    assert isinstance(light, PhotoWindow), light
    return light


def no_window(light: DayLight) -> NoWindow:
    assert isinstance(light, NoWindow), light
    return light
