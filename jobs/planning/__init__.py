"""One plan for all commissions at once. Pure: no Django, no clock, no input or output.

Build an `Instance` (network.py), then `first_plan`, `improve` in the background, `check` before storing, `replan`
when something changed; `explain`, `broken_dates`, `what_would_help` and `forecast` give words and chances.
Every function is deterministic: same input, same answer.
ortools and numpy are imported only on use.
"""

from __future__ import annotations

from jobs.planning.check import check
from jobs.planning.clash import BrokenDate, Remedy, broken_dates, what_would_help
from jobs.planning.critical_path import Slack, Window, all_slacks, critical_path, slack
from jobs.planning.explain import Explainer, Reason, explain_all
from jobs.planning.first_plan import first_plan, input_hash
from jobs.planning.forecast import Forecast, Log, PromiseForecast, forecast
from jobs.planning.improve import improve
from jobs.planning.network import Commission, FloorSpan, Instance, Link, Placed, Plan, Refused, Resource, Step
from jobs.planning.replan import keep, replan
from jobs.planning.sentences import explain, say_chain
from jobs.planning.solve import solver_present, solver_version
from jobs.planning.validate import validate
from jobs.planning.whole import WholeAnswer, solve_whole

__all__ = [
    "BrokenDate",
    "Commission",
    "Explainer",
    "FloorSpan",
    "Forecast",
    "Instance",
    "Link",
    "Log",
    "Placed",
    "Plan",
    "PromiseForecast",
    "Reason",
    "Refused",
    "Remedy",
    "Resource",
    "Slack",
    "Step",
    "WholeAnswer",
    "Window",
    "all_slacks",
    "broken_dates",
    "check",
    "critical_path",
    "explain",
    "explain_all",
    "first_plan",
    "forecast",
    "improve",
    "input_hash",
    "keep",
    "replan",
    "say_chain",
    "slack",
    "solve_whole",
    "solver_present",
    "solver_version",
    "validate",
    "what_would_help",
]
