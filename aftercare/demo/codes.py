"""A key-safe code in the demo, kept as every code is: sealed, and shown only after a second factor."""

from __future__ import annotations

import datetime as dt

from aftercare.demo.cast import Cast
from jobs.domain.codes import keep_code
from jobs.models import CodeKind, Commission

DEMO_PLACE = "left of the garden door"


def keep_demo_code(commission: Commission, cast: Cast, now: dt.datetime) -> str:
    """Keep one code for `commission` and say so; the code itself is not said."""
    code = keep_code(
        commission=commission,
        opens=CodeKind.KEY_SAFE,
        code="70415",
        place=DEMO_PLACE,
        workshop=cast.workshop,
        now=now,
        actor=cast.maker,
    )
    return f"{code} code kept for {commission}: sealed, and shown for thirty seconds after a second factor."
