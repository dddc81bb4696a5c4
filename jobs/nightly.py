"""What is done once a night, in the small hours of the workshop: the round of the registry `nightly`.

The sweep calls it each minute; a row of Heartbeat decides that one process does it once a local day. A night missed
(the machine was off) is made up for at the next sweep.
"""

from __future__ import annotations

import datetime as dt
import logging

from django.db.models import Q

from jobs.models import Heartbeat, Workshop
from jobs.registries import nightly

log = logging.getLogger(__name__)
FROM_HOUR = 2
NAME = "nightly"


def run_if_due(workshop: Workshop, now: dt.datetime) -> list[str]:
    """Run the round where this local day has not had it. Returns the names that were run."""
    if not _claim(workshop, now):
        return []
    done = []
    for name, (_, act) in sorted(nightly.entries.items(), key=lambda pair: pair[1][0]):
        try:
            act(workshop, now)
        except Exception:
            # One duty that fails must not keep the others from being done; it is tried again the next night.
            log.exception("nightly round: %s failed", name)
        else:
            done.append(name)
    return done


def _claim(workshop: Workshop, now: dt.datetime) -> bool:
    """Whether this process has the round of this day: a conditional UPDATE that one of them wins."""
    local = workshop.local(now)
    begins = local.replace(hour=FROM_HOUR, minute=0, second=0, microsecond=0).astimezone(dt.UTC)
    if now < begins:
        begins -= dt.timedelta(days=1)
    row, is_new = Heartbeat.objects.get_or_create(name=NAME, defaults={"last_ok_at": now})
    return is_new or bool(Heartbeat.objects.filter(Q(last_ok_at__lt=begins), pk=row.pk).update(last_ok_at=now))
