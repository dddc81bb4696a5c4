"""Whatever the room, the note and the day: the promises of a photo window."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from aftercare.light import sphere, sun
from aftercare.light.errors import LightError
from aftercare.light.match import check_note, photo_window
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, NoWindow, PhotoWindow, Reason
from tests.aftercare.light.cast import LONDON_ZONE

YEARS = {"min_value": date(2026, 1, 1), "max_value": date(2028, 12, 31)}
CLOCK_CHANGE_DAYS = [
    date(2026, 3, 29),
    date(2026, 10, 25),
    date(2027, 3, 28),
    date(2027, 10, 31),
    date(2028, 3, 26),
    date(2028, 10, 29),
]
british = st.builds(Place, st.floats(49.9, 60.9), st.floats(-8.2, 1.8))
anywhere = st.builds(Place, st.floats(-66, 66), st.floats(-20, 20))
days = st.one_of(st.dates(**YEARS), st.sampled_from(CLOCK_CHANGE_DAYS))
notes = st.builds(
    lambda day, minutes: LightNote(
        datetime(day.year, day.month, day.day, minutes // 60, minutes % 60, tzinfo=LONDON_ZONE)
    ),
    days,
    st.integers(4 * 60, 21 * 60),
)
aspects = st.one_of(
    st.none(),
    st.builds(
        Aspect,
        st.floats(0, 359.9),
        st.one_of(st.none(), st.floats(0, 359.9)),
        window_height_mm=st.just(1200),
        window_sill_mm=st.integers(0, 1500),
        obstruction_deg=st.floats(0, 40),
    ),
)


def bearing_at_note_deg(place: Place, note: LightNote) -> float:
    try:
        return float(check_note(place, note).azimuth_deg[0])
    except LightError:
        assume(False)
        raise


@settings(max_examples=150, deadline=None)
@given(place=british, note=notes, day=days, aspect=aspects)
def test_british_windows(place: Place, note: LightNote, day: date, aspect: Aspect | None) -> None:
    bearing_deg = bearing_at_note_deg(place, note)
    found = photo_window(place, [note], day, LONDON_ZONE, aspect)
    if isinstance(found, NoWindow):
        assert found.reason in {Reason.SUN_DOWN, Reason.OBSTRUCTED}
        return
    moments = [found.starts_at, found.best_at, found.ends_at]
    sky = sun.positions_at(place, moments)
    assert abs(sphere.turn_between_deg(sky.azimuth_deg[1], bearing_deg)) < 0.1
    assert abs(sky.elevation_deg[1] - found.elevation_deg) < 0.01
    assert found.starts_at <= found.best_at <= found.ends_at
    assert found.ends_at - found.starts_at <= timedelta(hours=2)
    assert np.all(sky.elevation_deg > sun.SUNRISE_ELEVATION_DEG - 0.02)
    # The range strays no further than the tolerance of a perfect match.
    assert np.all(np.abs(sphere.turn_between_deg(sky.azimuth_deg, bearing_deg)) < 7.6)
    assert {moment.date() for moment in moments} == {day}
    assert all(moment.utcoffset() == moment.astimezone(LONDON_ZONE).utcoffset() for moment in moments)
    assert 1 <= found.score <= 100


@settings(max_examples=80, deadline=None)
@given(place=anywhere, note=notes, day=days)
def test_windows_anywhere(place: Place, note: LightNote, day: date) -> None:
    """Near the zenith a second of time is many degrees of bearing, so the sun there is left to the other tests."""
    bearing_deg = bearing_at_note_deg(place, note)
    found = photo_window(place, [note], day, LONDON_ZONE)
    if isinstance(found, PhotoWindow) and found.elevation_deg < 80:
        [best_deg] = sun.positions_at(place, [found.best_at]).azimuth_deg
        assert abs(sphere.turn_between_deg(best_deg, bearing_deg)) < 0.1
        assert found.starts_at <= found.best_at <= found.ends_at


@settings(max_examples=60, deadline=None)
@given(place=british, note=notes, day=days)
def test_no_window_means_the_sun_is_down_there(place: Place, note: LightNote, day: date) -> None:
    """Searched minute by minute: the sun that is up never comes to the note's bearing."""
    bearing_deg = bearing_at_note_deg(place, note)
    found = photo_window(place, [note], day, LONDON_ZONE)
    minutes = datetime(day.year, day.month, day.day, tzinfo=LONDON_ZONE).timestamp() + 60.0 * np.arange(1440)
    sky = sun.positions(place.latitude_deg, place.longitude_deg, minutes)
    up = sky.elevation_deg > sun.SUNRISE_ELEVATION_DEG
    turn_deg = sphere.turn_between_deg(sky.azimuth_deg, bearing_deg)[up]
    passes = bool(np.any((turn_deg[:-1] * turn_deg[1:] <= 0) & (np.abs(turn_deg[1:]) < 90)))
    # Within a minute of sunrise or sunset the search itself is too coarse to say.
    at_the_edge = abs((found.elevation_deg or 0.0) - sun.SUNRISE_ELEVATION_DEG) < 0.3
    assert passes is isinstance(found, PhotoWindow) or at_the_edge
