"""Requests laid out as arrays, one row for each day of each request, so that the sun is asked once for all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, tzinfo

import numpy as np
import numpy.typing as npt

from aftercare.light import sphere, sun
from aftercare.light.sphere import FloatArray
from aftercare.light.values import Aspect, WindowRequest

IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]

# Lower sun than this gives weak, yellow light (common practice, no source).
GOOD_ELEVATION_DEG = 15.0
# In winter in the north the sun never gets there: an overcast day then serves while the sun is above this part
# of its noon height (our own choice, no source).
_NOON_SHARE = 0.7


@dataclass(frozen=True)
class DayRows:
    """Arrays of one length. NaN stands for an aspect not recorded; an unknown obstruction is an open view."""

    request: IntArray
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    transit_unix: FloatArray
    declination_deg: FloatArray
    noon_elevation_deg: FloatArray
    facing_deg: FloatArray
    furniture_facing_deg: FloatArray
    head_mm: FloatArray
    obstruction_deg: FloatArray

    def __len__(self) -> int:
        return len(self.request)


def day_rows(requests: Sequence[WindowRequest]) -> DayRows:
    """Rows in the order of the requests and, inside each, of its days."""
    counts = [len(request.days) for request in requests]
    noons: dict[tuple[tzinfo, date], float] = {}
    noon = np.array([_noon(request.zone, day, noons) for request in requests for day in request.days], float)
    per_request = np.array(
        [(r.place.latitude_deg, r.place.longitude_deg, *_aspect_numbers(r.aspect)) for r in requests], float
    ).reshape(len(requests), 6)
    spread = np.repeat(per_request, counts, axis=0)
    latitude, longitude = spread[:, 0], spread[:, 1]
    transit, declination = sun.transits(longitude, noon)
    return DayRows(
        request=np.repeat(np.arange(len(requests)), counts),
        latitude_deg=latitude,
        longitude_deg=longitude,
        transit_unix=transit,
        declination_deg=declination,
        noon_elevation_deg=sphere.elevation_deg(latitude, declination, np.zeros_like(latitude)),
        facing_deg=spread[:, 2],
        furniture_facing_deg=spread[:, 3],
        head_mm=spread[:, 4],
        obstruction_deg=spread[:, 5],
    )


def overcast_ranges(rows: DayRows) -> tuple[FloatArray, FloatArray]:
    """UTC seconds between which a grey day is bright enough; NaN where the sun never rises."""
    floor = np.minimum(GOOD_ELEVATION_DEG, _NOON_SHARE * rows.noon_elevation_deg)
    half = sphere.hour_at_elevation_deg(rows.latitude_deg, rows.declination_deg, floor)
    # Above the floor all day long: the whole day serves.
    half = np.where(np.isnan(half), 179.9, half)
    half = np.where(rows.noon_elevation_deg > 0, half, np.nan) * sun.SECONDS_PER_DEGREE
    return rows.transit_unix - half, rows.transit_unix + half


def _noon(zone: tzinfo, day: date, known: dict[tuple[tzinfo, date], float]) -> float:
    key = (zone, day)
    if key not in known:
        known[key] = datetime.combine(day, time(12), tzinfo=zone).timestamp()
    return known[key]


def _aspect_numbers(aspect: Aspect | None) -> tuple[float, float, float, float]:
    if aspect is None:
        return (np.nan, np.nan, np.nan, 0.0)
    furniture, head = aspect.furniture_facing_deg, aspect.window_head_mm
    return (
        aspect.window_facing_deg,
        np.nan if furniture is None else furniture,
        np.nan if head is None else head,
        aspect.obstruction_deg,
    )
