from __future__ import annotations

import datetime as dt

import pytest

from jobs.queries.plan_words import say_chance, say_forecast, say_remedy, say_terms

TODAY = dt.date(2027, 3, 10)


@pytest.mark.parametrize(
    ("chance", "words"),
    [(None, ""), (1.0, "over 99 in 100"), (0.834, "83 in 100"), (0.5, "50 in 100"), (0.0, "under 1 in 100")],
)
def test_chances(chance, words):
    assert say_chance(chance) == words


def test_forecast_in_words():
    forecast = {"steps": {"7": ["2027-03-18", "2027-03-23", 0.834], "8": ["2027-04-01", "2027-04-01", None]}}
    assert say_forecast(forecast, 7, TODAY) == (
        "kept 83 in 100 times; half the time done by Thu 18, 4 times in 5 by Tue 23"
    )
    assert say_forecast(forecast, 8, TODAY) == "4 times in 5 done by Thu 1 Apr"
    assert say_forecast(forecast, 9, TODAY) == say_forecast({}, 7, TODAY) == ""


def test_terms_and_remedies():
    assert say_terms({"late": 120, "floor": 86, "moved_told": 0, "shift": 0}) == "late dates 120, floor taken 86"
    assert say_terms({"late": 0}) == "nothing"
    assert say_remedy("another pair of hands", 0, 5) == "Another pair of hands: the date is kept"
    assert say_remedy("the van there every day", 2, 3) == (
        "The van there every day: still 1 day late (1½ days gained)"
    )
