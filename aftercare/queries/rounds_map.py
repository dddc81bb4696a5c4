"""The rounds as a simple map: the workshop, the stops, straight lines between them. Pure geometry, no markup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians

from aftercare.booking.travel import Place

WIDTH, HEIGHT, MARGIN = 760.0, 480.0, 64.0
# Stops nearer to each other than this on the paper share one label.
SAME_SPOT = 18.0
# How many kinds of line there are; further rounds begin again, told apart by their letters.
LINE_KINDS = 4


@dataclass(frozen=True)
class MapStop:
    """A stop to draw: its mark ("A1") and where it is; None where the site has no coordinates."""

    mark: str
    place: Place | None


@dataclass(frozen=True)
class Spot:
    x: float
    y: float
    label: str


@dataclass(frozen=True)
class Line:
    kind: int
    points: str


@dataclass(frozen=True)
class RoundsMap:
    home: Spot | None
    spots: tuple[Spot, ...]
    lines: tuple[Line, ...]
    missing: tuple[str, ...]
    width: float = WIDTH
    height: float = HEIGHT


def rounds_map(home: Place | None, rounds: Sequence[Sequence[MapStop]]) -> RoundsMap | None:
    """None where not even two places are known. North is up; east is shortened by the cosine of the latitude."""
    stops = [stop for one in rounds for stop in one]
    places = [stop.place for stop in stops if stop.place is not None] + ([home] if home else [])
    if len(places) < 2:
        return None
    scale = _Scale(places)
    lines = []
    for number, one in enumerate(rounds):
        way = [home, *(stop.place for stop in one), home]
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in (scale.xy(place) for place in way if place is not None))
        lines.append(Line(number % LINE_KINDS, points))
    return RoundsMap(
        home=Spot(*scale.xy(home), "workshop") if home else None,
        spots=tuple(_spots(stops, scale)),
        lines=tuple(lines),
        missing=tuple(stop.mark for stop in stops if stop.place is None),
    )


class _Scale:
    """Fits all places into the frame, in proportion; a single spot lands in the middle."""

    def __init__(self, places: Sequence[Place]) -> None:
        self.shrink = cos(radians(sum(place.latitude_deg for place in places) / len(places)))
        east = [place.longitude_deg * self.shrink for place in places]
        north = [place.latitude_deg for place in places]
        self.middle = (min(east) + max(east)) / 2, (min(north) + max(north)) / 2
        wide, high = max(east) - min(east), max(north) - min(north)
        ratios = [(frame - 2 * MARGIN) / span for frame, span in ((WIDTH, wide), (HEIGHT, high)) if span > 1e-9]
        self.ratio = min(ratios, default=0.0)

    def xy(self, place: Place) -> tuple[float, float]:
        x = WIDTH / 2 + (place.longitude_deg * self.shrink - self.middle[0]) * self.ratio
        y = HEIGHT / 2 - (place.latitude_deg - self.middle[1]) * self.ratio
        return round(x, 1), round(y, 1)


def _spots(stops: Sequence[MapStop], scale: _Scale) -> list[Spot]:
    spots: list[Spot] = []
    for stop in stops:
        if stop.place is None:
            continue
        x, y = scale.xy(stop.place)
        near = next((n for n, s in enumerate(spots) if abs(s.x - x) < SAME_SPOT and abs(s.y - y) < SAME_SPOT), None)
        if near is None:
            spots.append(Spot(x, y, stop.mark))
        else:
            spots[near] = Spot(spots[near].x, spots[near].y, f"{spots[near].label}, {stop.mark}")
    return spots
