"""The pick of rounds where the solver runs out of time."""

from __future__ import annotations

from aftercare.booking.cover import cover_exactly, cover_greedily
from aftercare.booking.routes import TravelTable, day_routes
from tests.aftercare.booking.round_makers import SETTINGS, made_visits


def test_out_of_time_gives_a_pick_that_is_not_called_proved():
    visits = made_visits(30, 1)
    matrix = TravelTable(tuple(visits), SETTINGS).matrix()
    days = sorted({window.day for visit in visits for window in visit.windows})
    routes = [route for day in days for route in day_routes(day, visits, matrix, SETTINGS)[0]]
    found = cover_exactly(routes, visits, SETTINGS, deterministic_seconds=0.0)
    quick = cover_greedily(routes, visits, SETTINGS)
    assert found.proved is False
    placed = [n for route in found.routes for n in route.order]
    assert len(placed) == len(set(placed)) > 0
    assert sum(r.cost_minutes for r in found.routes) <= sum(r.cost_minutes for r in quick.routes)
