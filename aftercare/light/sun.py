"""Sun position by the NREL SPA (Reda & Andreas, NREL/TP-560-34302), always on whole arrays.

pvlib computes it; it costs a second and some 130 MB to import, so it is imported inside `_spa`, and `preload()`
is called when web and worker processes start.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from types import ModuleType

import numpy as np
import numpy.typing as npt

from aftercare.light import sphere
from aftercare.light.errors import LightError
from aftercare.light.sphere import FloatArray

# TT minus UT1, about 69 s through the 2020s (from memory). Ten seconds more or less move the sun 0.0001 degrees.
DELTA_T_S = 69.0
# Centre of the disc at sunrise: 34' of refraction and 16' of half a disc, the usual almanac convention.
SUNRISE_ELEVATION_DEG = -0.8333
# Seconds for the sun to turn one degree of hour angle; the equation of time changes this by under 0.04 %.
SECONDS_PER_DEGREE = 240.0
# The atmosphere changes only the apparent elevation, which we do not use: bearings and heights are geometric.
_PRESSURE_MBAR, _TEMPERATURE_C, _REFRACTION_DEG = 1013.25, 12.0, 0.5667


@dataclass(frozen=True)
class Place:
    """A point on the earth. Latitude north positive, longitude east positive, decimal degrees."""

    latitude_deg: float
    longitude_deg: float

    def __post_init__(self) -> None:
        _check_within("latitude_deg", "Latitude", self.latitude_deg, 90)
        _check_within("longitude_deg", "Longitude", self.longitude_deg, 180)


@dataclass(frozen=True)
class SunPositions:
    """Arrays of one shape: bearing clockwise from north, and elevation without refraction."""

    azimuth_deg: FloatArray
    elevation_deg: FloatArray


@dataclass(frozen=True)
class SunDay:
    """One civil day at one place. Rise and set are None where the sun stays up or down all day."""

    day: date
    rises_at: datetime | None
    noon_at: datetime
    sets_at: datetime | None
    noon_elevation_deg: float


@dataclass(frozen=True)
class Equatorial:
    """Arrays of one shape: Greenwich sidereal time, right ascension and declination, degrees."""

    sidereal_deg: FloatArray
    ascension_deg: FloatArray
    declination_deg: FloatArray

    def hour_deg(self, longitude_deg: npt.ArrayLike) -> FloatArray:
        return sphere.turn_between_deg(self.sidereal_deg + np.asarray(longitude_deg), self.ascension_deg)


def preload() -> None:
    """Pay for the import and the first call now, so that no request does."""
    positions(51.5, -0.1, np.zeros(1))


def positions(
    latitude_deg: npt.ArrayLike,
    longitude_deg: npt.ArrayLike,
    unix_s: npt.ArrayLike,
    delta_t_s: float = DELTA_T_S,
) -> SunPositions:
    """Azimuth and geometric elevation for arrays of places and UTC seconds since 1970 (broadcast together)."""
    lat, lon, when = np.broadcast_arrays(*(np.asarray(a, float) for a in (latitude_deg, longitude_deg, unix_s)))
    _, _, _, elevation, azimuth, _ = _spa().solar_position_numpy(
        when.ravel(), lat.ravel(), lon.ravel(), 0.0, _PRESSURE_MBAR, _TEMPERATURE_C, delta_t_s, _REFRACTION_DEG, 1
    )
    return SunPositions(azimuth.reshape(when.shape), elevation.reshape(when.shape))


def positions_at(place: Place, instants: Sequence[datetime]) -> SunPositions:
    """The same for one place and aware datetimes; arrays of shape (len(instants),)."""
    unix_s = np.array([_aware(instant).timestamp() for instant in instants], dtype=np.float64)
    return positions(place.latitude_deg, place.longitude_deg, unix_s)


def equatorial(unix_s: FloatArray) -> Equatorial:
    """Geocentric place of the sun for a one-dimensional array of UTC seconds."""
    sidereal, ascension, declination = _spa().solar_position_numpy(
        unix_s, 0.0, 0.0, 0.0, _PRESSURE_MBAR, _TEMPERATURE_C, DELTA_T_S, _REFRACTION_DEG, 1, sst=True
    )
    return Equatorial(sidereal, ascension, declination)


def incidence_deg(
    azimuth_deg: npt.ArrayLike,
    elevation_deg: npt.ArrayLike,
    tilt_deg: npt.ArrayLike,
    facing_deg: npt.ArrayLike,
) -> FloatArray:
    """Angle between the sun and a plane's normal; over 90 the sun is behind it.

    `tilt_deg` is 0 for a table top and 90 for a wall, `facing_deg` the bearing the plane looks to
    (SPA equation 47, with bearings from north instead of from south).
    """
    elevation, tilt = np.radians(np.asarray(elevation_deg, float)), np.radians(np.asarray(tilt_deg, float))
    turn = np.radians(sphere.turn_between_deg(azimuth_deg, facing_deg))
    cosine = np.sin(elevation) * np.cos(tilt) + np.cos(elevation) * np.sin(tilt) * np.cos(turn)
    return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))


def civil_noons_unix(days: Sequence[date], zone: tzinfo) -> FloatArray:
    """12:00 by the clock of the zone on each day, as UTC seconds; the anchor that names a day."""
    return np.array([datetime.combine(day, time(12), tzinfo=zone).timestamp() for day in days], dtype=np.float64)


def transits(longitude_deg: npt.ArrayLike, noon_unix: FloatArray) -> tuple[FloatArray, FloatArray]:
    """When the sun crosses the meridian nearest each civil noon, and its declination then (degrees)."""
    when = noon_unix
    for _ in range(2):
        # Days repeat from place to place: the costly series are summed once for each different instant.
        instants, back = np.unique(when, return_inverse=True)
        sky = equatorial(instants)
        sky = Equatorial(sky.sidereal_deg[back], sky.ascension_deg[back], sky.declination_deg[back])
        when = when - sky.hour_deg(longitude_deg) * SECONDS_PER_DEGREE
    return when, sky.declination_deg


def sun_days(place: Place, days: Sequence[date], zone: tzinfo) -> list[SunDay]:
    """Sunrise, noon and sunset of each day. Sunrise is the almanac's: upper limb, standard refraction."""
    if not days:
        return []
    lat = np.full(len(days), place.latitude_deg)
    noon, declination = transits(place.longitude_deg, civil_noons_unix(days, zone))
    noon_elevation = sphere.elevation_deg(lat, declination, np.zeros(len(days)))
    edges = [
        refined_crossings(lat, place.longitude_deg, noon, declination, SUNRISE_ELEVATION_DEG, side)
        for side in (-1.0, 1.0)
    ]
    return [
        SunDay(day, to_local(edges[0][i], zone), _local(noon[i], zone), to_local(edges[1][i], zone), float(high))
        for i, (day, high) in enumerate(zip(days, noon_elevation, strict=True))
    ]


def refined_crossings(
    latitude_deg: FloatArray,
    longitude_deg: npt.ArrayLike,
    noon_unix: FloatArray,
    declination_deg: FloatArray,
    wanted_elevation_deg: npt.ArrayLike,
    side: float,
) -> FloatArray:
    """UTC seconds at which the sun crosses an elevation before (-1) or after (+1) noon; NaN where it never does."""
    when = noon_unix
    hour = np.zeros_like(noon_unix)
    for _ in range(3):
        wanted = side * sphere.hour_at_elevation_deg(latitude_deg, declination_deg, wanted_elevation_deg)
        when = when + (wanted - hour) * SECONDS_PER_DEGREE
        sky = equatorial(when)
        hour, declination_deg = sky.hour_deg(longitude_deg), sky.declination_deg
    return when


def to_local(unix_s: float, zone: tzinfo) -> datetime | None:
    """Whole seconds on the zone's clock, None for NaN."""
    return None if math.isnan(unix_s) else _local(unix_s, zone)


def _local(unix_s: float, zone: tzinfo) -> datetime:
    return datetime.fromtimestamp(round(unix_s), UTC).astimezone(zone)


def _spa() -> ModuleType:
    from pvlib import spa

    return spa


def _aware(instant: datetime) -> datetime:
    if instant.utcoffset() is None:
        raise LightError("instant", "The time has no zone: give the time together with its zone.")
    return instant


def _check_within(field: str, name: str, value: float, limit: int) -> None:
    if not (math.isfinite(value) and abs(value) <= limit):
        raise LightError(
            field, f"{name} must be a number of degrees from -{limit} to {limit}, not {value}: check the place."
        )
