"""One plan for all commissions at once. Pure: no Django, no clock, no input or output.

Build an `Instance` (network.py), then `first_plan`, `improve` in the background, `check` before storing, `replan`
when something changed. Every function is deterministic: same input, same answer.
"""

from __future__ import annotations

from jobs.planning.check import check
from jobs.planning.critical_path import Slack, Window, all_slacks, critical_path, slack
from jobs.planning.first_plan import first_plan, input_hash
from jobs.planning.improve import improve
from jobs.planning.replan import replan
from jobs.planning.validate import validate

__all__ = [
    "Slack",
    "Window",
    "all_slacks",
    "check",
    "critical_path",
    "first_plan",
    "improve",
    "input_hash",
    "replan",
    "slack",
    "validate",
]
