"""One plan for all commissions at once. Pure: no Django, no clock, no input or output."""

from __future__ import annotations

from jobs.planning.critical_path import Slack, Window, all_slacks, critical_path, slack
from jobs.planning.validate import validate

__all__ = ["Slack", "Window", "all_slacks", "critical_path", "slack", "validate"]
