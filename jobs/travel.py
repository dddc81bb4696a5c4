"""Travel between two places without a map: straight line, lengthened for the bends of roads, at one speed.

Straight line x 1.3 is common practice, no source; the speed is a setting of the workshop, and minutes that somebody
knows better are typed over: for return rounds by journey, for a carry with what it is reckoned with. Pure.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, ceil, cos, radians, sin, sqrt

__all__ = ["WINDING", "Place", "straight_line_km", "travel_minutes"]

WINDING = 1.3  # road over straight line; common practice, no source

# Mean radius of the earth (IUGG: 6371.0088 km, from memory).
EARTH_RADIUS_KM = 6371.0088


@dataclass(frozen=True)
class Place:
    """A point on the map, WGS 84, in decimal degrees, north and east positive."""

    latitude_deg: float
    longitude_deg: float

    def __post_init__(self) -> None:
        if not -90 <= self.latitude_deg <= 90:
            raise ValueError(f"Latitude: {self.latitude_deg} is outside -90 to 90 degrees.")
        if not -180 <= self.longitude_deg <= 180:
            raise ValueError(f"Longitude: {self.longitude_deg} is outside -180 to 180 degrees.")


def straight_line_km(here: Place, there: Place) -> float:
    """Great-circle distance in km (haversine, sphere of mean radius; within 0.6 % of the ellipsoid)."""
    latitude, other_latitude = radians(here.latitude_deg), radians(there.latitude_deg)
    half_north = (other_latitude - latitude) / 2
    half_east = radians(there.longitude_deg - here.longitude_deg) / 2
    chord = sin(half_north) ** 2 + cos(latitude) * cos(other_latitude) * sin(half_east) ** 2
    return 2 * EARTH_RADIUS_KM * asin(min(1.0, sqrt(chord)))


def travel_minutes(
    here: Place | None, there: Place | None, *, speed_kmh: float, winding: float, unknown_minutes: int
) -> int:
    """Whole minutes from one place to the other, rounded up; `unknown_minutes` when a place is not known."""
    if here is None or there is None:
        return unknown_minutes
    # The tiny step back keeps 30.000000001 minutes at 30.
    return ceil(straight_line_km(here, there) * winding / speed_kmh * 60 - 1e-6)
