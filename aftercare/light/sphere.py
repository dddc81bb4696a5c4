"""The horizon triangle: closed formulas on arrays, all angles in degrees.

Textbook spherical astronomy (the horizontal and equatorial systems share the triangle pole, zenith, sun).
Azimuth is clockwise from north, hour angle is positive after noon. Formulas that divide by cos(latitude) are
avoided, so the poles need no special case; "no solution" is NaN.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def turn_between_deg(first_deg: npt.ArrayLike, second_deg: npt.ArrayLike) -> FloatArray:
    """Signed turn from the second bearing to the first, in [-180, 180)."""
    return (np.asarray(first_deg, dtype=np.float64) - np.asarray(second_deg) + 180.0) % 360.0 - 180.0


def elevation_deg(latitude_deg: FloatArray, declination_deg: FloatArray, hour_deg: FloatArray) -> FloatArray:
    """Geocentric elevation; the sun's parallax (under 0.0025 degrees) is left out."""
    lat, dec, hour = np.radians(latitude_deg), np.radians(declination_deg), np.radians(hour_deg)
    sine = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(hour)
    return np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))


def azimuth_deg(latitude_deg: FloatArray, declination_deg: FloatArray, hour_deg: FloatArray) -> FloatArray:
    """Bearing of the sun, clockwise from north, in [0, 360)."""
    lat, dec, hour = np.radians(latitude_deg), np.radians(declination_deg), np.radians(hour_deg)
    east = -np.cos(dec) * np.sin(hour)
    north = np.cos(lat) * np.sin(dec) - np.sin(lat) * np.cos(dec) * np.cos(hour)
    return np.degrees(np.arctan2(east, north)) % 360.0


def hour_at_elevation_deg(
    latitude_deg: FloatArray, declination_deg: FloatArray, wanted_elevation_deg: npt.ArrayLike
) -> FloatArray:
    """Hour angle in [0, 180] at which the sun sinks through an elevation (it rose through it at the negative).

    NaN where it never crosses: use `elevation_deg` at hour angle 0 to tell always above from always below.
    """
    lat, dec = np.radians(latitude_deg), np.radians(declination_deg)
    wanted = np.radians(np.asarray(wanted_elevation_deg, dtype=np.float64))
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = (np.sin(wanted) - np.sin(lat) * np.sin(dec)) / (np.cos(lat) * np.cos(dec))
        return np.degrees(np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan)))


def elevations_at_bearing_deg(
    latitude_deg: FloatArray, declination_deg: FloatArray, bearing_deg: npt.ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """The elevations, from -90 to 90, at which the sun can stand at a bearing that day.

    The half circle from zenith to nadir at the bearing meets the sun's parallel of declination once outside the
    tropics; between the tropics it may meet it twice or never, hence two answers, NaN where there is none.
    """
    lat, dec = np.radians(latitude_deg), np.radians(declination_deg)
    bearing = np.radians(np.asarray(bearing_deg, dtype=np.float64))
    # sin(dec) = sin(lat) sin(e) + cos(lat) cos(bearing) cos(e) = reach * sin(e + tilt)
    along, across = np.sin(lat), np.cos(lat) * np.cos(bearing)
    reach, tilt = np.hypot(along, across), np.arctan2(across, along)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.sin(dec) / reach
        base = np.arcsin(np.where(np.abs(sine) <= 1.0, sine, np.nan))
    first = turn_between_deg(np.degrees(base - tilt), 0.0)
    second = turn_between_deg(np.degrees(np.pi - base - tilt), 0.0)
    return (
        np.where(np.abs(first) <= 90.0, first, np.nan),
        np.where(np.abs(second) <= 90.0, second, np.nan),
    )


def hour_at_bearing_deg(
    latitude_deg: FloatArray, bearing_deg: npt.ArrayLike, at_elevation_deg: FloatArray
) -> FloatArray:
    """Hour angle in (-180, 180] of a point on the sky known by bearing and elevation."""
    lat, elevation = np.radians(latitude_deg), np.radians(at_elevation_deg)
    bearing = np.radians(np.asarray(bearing_deg, dtype=np.float64))
    sine = -np.sin(bearing) * np.cos(elevation)
    cosine = np.sin(elevation) * np.cos(lat) - np.cos(elevation) * np.sin(lat) * np.cos(bearing)
    return np.degrees(np.arctan2(sine, cosine))
