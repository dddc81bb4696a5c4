from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import Commission, DaybookLine, Person


def write_line(
    *, act: str, now: dt.datetime, actor: Person | None, commission: Commission | None = None, **facts: Any
) -> DaybookLine:
    """One line of the daybook, inside the caller's transaction. Facts are ids, dates and numbers: no free text."""
    return DaybookLine.objects.create(at=now, actor=actor, commission=commission, act=act, facts=facts)
