"""Follow a note: the moment of another day at which the sun stands at the note's bearing, for all rows at once.

The moment is not searched for: the horizon triangle gives it for a known declination, and one look at the SPA's
declination and hour angle at that moment corrects it. The SPA then states bearing and height.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aftercare.light import sphere, sun
from aftercare.light.rows import BoolArray, DayRows, IntArray
from aftercare.light.sphere import FloatArray

# How the score falls with the difference in height, and how far the bearing may stray for a perfect and for a
# poor match. The sun moves 15 degrees an hour along its path. Our own scale (no source).
_HEIGHT_SCALE_DEG = 25.0
_WIDEST_DEG, _NARROWEST_DEG = 7.5, 1.25
_LONGEST_HALF_S = 3600.0
# The sun newly clears what hid it at the note: light of another kind.
_NEWLY_CLEAR_FACTOR = 0.5


@dataclass(frozen=True)
class NoteRows:
    """One row for each note on each day. `day` indexes the day rows, `note` the note within its request."""

    day: IntArray
    note: IntArray
    bearing_deg: FloatArray
    elevation_deg: FloatArray


@dataclass(frozen=True)
class Matches:
    """Arrays like the note rows. Times are UTC seconds, NaN where the sun never stands at the bearing.

    `score` is 0 where there is no window: the sun is down, or `obstructed`.
    """

    starts_unix: FloatArray
    best_unix: FloatArray
    ends_unix: FloatArray
    bearing_deg: FloatArray
    elevation_deg: FloatArray
    obstructed: BoolArray
    score: FloatArray


def follow(rows: DayRows, notes: NoteRows) -> Matches:
    latitude, longitude = rows.latitude_deg[notes.day], rows.longitude_deg[notes.day]
    declination, when = rows.declination_deg[notes.day], rows.transit_unix[notes.day]
    hour = np.zeros_like(when)
    for step in range(2):
        wanted = _hour_at_note(latitude, declination, notes.bearing_deg, notes.elevation_deg)
        when = when + sphere.turn_between_deg(wanted, hour) * sun.SECONDS_PER_DEGREE
        if step == 0:
            sky = sun.equatorial(when)
            hour, declination = sky.hour_deg(longitude), sky.declination_deg
    found = sun.positions(latitude, longitude, when)
    obstruction = rows.obstruction_deg[notes.day]
    in_front = np.abs(sphere.turn_between_deg(notes.bearing_deg, rows.facing_deg[notes.day])) < 90.0
    # In front of the window (never, where the facing is unknown: NaN compares false), seen over what stands opposite.
    cleared = in_front & (notes.elevation_deg > obstruction)
    newly_clear = in_front & ~cleared & (found.elevation_deg > obstruction)
    floor = np.where(cleared, obstruction, sun.SUNRISE_ELEVATION_DEG)
    score = _score(found.elevation_deg, notes.elevation_deg, newly_clear, floor)
    starts, ends = _range(latitude, declination, when, found, score, floor)
    obstructed = cleared & (found.elevation_deg <= obstruction) & (found.elevation_deg > sun.SUNRISE_ELEVATION_DEG)
    return Matches(starts, when, ends, found.azimuth_deg, found.elevation_deg, obstructed, score)


def _hour_at_note(
    latitude: FloatArray, declination: FloatArray, bearing: FloatArray, near_elevation: FloatArray
) -> FloatArray:
    first, second = sphere.elevations_at_bearing_deg(latitude, declination, bearing)
    nearer = np.abs(np.nan_to_num(second - near_elevation, nan=999.0)) < np.abs(
        np.nan_to_num(first - near_elevation, nan=999.0)
    )
    return sphere.hour_at_bearing_deg(latitude, bearing, np.where(nearer, second, first))


def _score(
    elevation: FloatArray, note_elevation: FloatArray, newly_clear: BoolArray, floor: FloatArray
) -> FloatArray:
    """0 to 100; 0 under the floor, the elevation at which this note's light is gone."""
    height = elevation - note_elevation
    score = np.maximum(1.0, np.round(100.0 * np.exp(-((height / _HEIGHT_SCALE_DEG) ** 2))))
    score = np.where(newly_clear, np.maximum(1.0, np.round(score * _NEWLY_CLEAR_FACTOR)), score)
    return np.where(elevation > floor, score, 0.0)


def _range(
    latitude: FloatArray,
    declination: FloatArray,
    best: FloatArray,
    found: sun.SunPositions,
    score: FloatArray,
    floor: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """While the bearing is within the tolerance, cut where the sun sinks under the floor."""
    tolerance = np.maximum(_NARROWEST_DEG, _WIDEST_DEG * score / 100.0)
    hour = sphere.hour_at_bearing_deg(latitude, found.azimuth_deg, found.elevation_deg)
    offsets = []
    for side in (-1.0, 1.0):
        edge = _hour_at_note(latitude, declination, found.azimuth_deg + side * tolerance, found.elevation_deg)
        turn = sphere.turn_between_deg(edge, hour)
        # Between the tropics the sun may turn back before the edge: the tolerance then counts along its path.
        offsets.append(np.where(np.isnan(turn), side * tolerance, turn))
    # South of the sun bearings run backwards, so the earlier edge is whichever comes first.
    before = np.minimum(np.minimum(*offsets), 0.0) * sun.SECONDS_PER_DEGREE
    after = np.maximum(np.maximum(*offsets), 0.0) * sun.SECONDS_PER_DEGREE
    half = sphere.hour_at_elevation_deg(latitude, declination, floor)
    rises = np.minimum(-half - hour, 0.0) * sun.SECONDS_PER_DEGREE
    sinks = np.maximum(half - hour, 0.0) * sun.SECONDS_PER_DEGREE
    return (
        best + np.fmax(np.maximum(before, -_LONGEST_HALF_S), rises),
        best + np.fmin(np.minimum(after, _LONGEST_HALF_S), sinks),
    )
