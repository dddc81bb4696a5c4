from __future__ import annotations

import datetime as dt
from typing import Any

from jobs.models import Commission, DaybookLine, Device, Person


def write_line(
    *, act: str, now: dt.datetime, actor: Person | Device | None, commission: Commission | None = None, **facts: Any
) -> DaybookLine:
    """One line of the daybook, inside the caller's transaction. Facts are ids, dates and numbers: no free text."""
    if isinstance(actor, Device):  # nobody knows whose hand was on the wall screen
        facts, actor = facts | {"device": actor.pk}, None
    return DaybookLine.objects.create(at=now, actor=actor, commission=commission, act=act, facts=facts)
