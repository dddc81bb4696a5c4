"""General rules on light, for a room nobody has noted: a soft light, from a sun that is up but not shining in.

Indirect light: the sun outside 75 degrees either side of the window's normal, or hidden behind what stands
opposite; and at least 15 degrees high. Common practice of people who photograph rooms, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from aftercare.light import sphere, sun
from aftercare.light.rows import GOOD_ELEVATION_DEG, BoolArray, DayRows
from aftercare.light.sphere import FloatArray

DIRECT_WITHIN_DEG = 75.0
_SHORTEST_S = 600.0
# A rule knows nothing of this room, so it never scores like a note; two good hours earn the whole of it.
_HIGHEST_SCORE, _FULL_SCORE_S = 60.0, 7200.0


@dataclass(frozen=True)
class RuleWindows:
    """Arrays like the day rows; UTC seconds. `score` is 0 where there is no window of ten minutes."""

    starts_unix: FloatArray
    best_unix: FloatArray
    ends_unix: FloatArray
    bearing_deg: FloatArray
    elevation_deg: FloatArray
    score: FloatArray


def general_windows(rows: DayRows) -> RuleWindows:
    """The longest stretch of each day that keeps the rule; its middle is the best moment."""
    edges = _edges_deg(rows)
    middles = (edges[:, :-1] + edges[:, 1:]) / 2
    good = _indirect(rows, middles)
    first, last = _longest_run(edges, good)
    starts = rows.transit_unix + first * sun.SECONDS_PER_DEGREE
    ends = rows.transit_unix + last * sun.SECONDS_PER_DEGREE
    best = (starts + ends) / 2
    found = sun.positions(rows.latitude_deg, rows.longitude_deg, best)
    length = ends - starts
    score = np.maximum(1.0, np.round(_HIGHEST_SCORE * np.minimum(1.0, length / _FULL_SCORE_S)))
    score = np.where(length >= _SHORTEST_S, score, 0.0)
    return RuleWindows(starts, best, ends, found.azimuth_deg, found.elevation_deg, score)


def _edges_deg(rows: DayRows) -> FloatArray:
    """Hour angles, shape (rows, 8), sorted, between which the rule cannot change its answer."""
    latitude, declination = rows.latitude_deg, rows.declination_deg
    limit = sphere.hour_at_elevation_deg(latitude, declination, GOOD_ELEVATION_DEG)
    always = np.isnan(limit) & (rows.noon_elevation_deg > GOOD_ELEVATION_DEG)
    limit = np.where(always, 180.0, np.nan_to_num(limit, nan=0.0))
    over = sphere.hour_at_elevation_deg(latitude, declination, rows.obstruction_deg)
    edges = [-limit, limit, -over, over]
    for side in (-1.0, 1.0):
        bearing = rows.facing_deg + side * DIRECT_WITHIN_DEG
        for height in sphere.elevations_at_bearing_deg(latitude, declination, bearing):
            edges.append(sphere.hour_at_bearing_deg(latitude, bearing, height))
    table = np.stack(edges, axis=1)
    # An edge that does not exist lies harmlessly on the limit.
    table = np.where(np.isnan(table), limit[:, None], table)
    return np.sort(np.clip(table, -limit[:, None], limit[:, None]), axis=1)


def _indirect(rows: DayRows, hour_deg: FloatArray) -> BoolArray:
    latitude, declination = rows.latitude_deg[:, None], rows.declination_deg[:, None]
    bearing = sphere.azimuth_deg(latitude, declination, hour_deg)
    height = sphere.elevation_deg(latitude, declination, hour_deg)
    aside = np.abs(sphere.turn_between_deg(bearing, rows.facing_deg[:, None])) > DIRECT_WITHIN_DEG
    return aside | (height < rows.obstruction_deg[:, None])


def _longest_run(edges: FloatArray, good: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Join neighbouring good stretches and keep the longest; both ends equal where there is none."""
    best_first, best_last = edges[:, 0].copy(), edges[:, 0].copy()
    run_first = edges[:, 0].copy()
    for column in range(good.shape[1]):
        # A stretch of no length neither makes nor breaks a run.
        keeps = good[:, column] | (edges[:, column] == edges[:, column + 1])
        run_first = np.where(keeps, run_first, edges[:, column + 1])
        longer = edges[:, column + 1] - run_first > best_last - best_first
        best_first = np.where(longer, run_first, best_first)
        best_last = np.where(longer, edges[:, column + 1], best_last)
    return best_first, best_last
