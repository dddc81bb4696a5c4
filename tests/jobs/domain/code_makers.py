"""What tests of access codes share: a planted code kept, looked at, and read as the database holds it."""

from __future__ import annotations

import datetime as dt

from django.db import connection

from jobs.domain.codes import keep_code, reveal_code
from jobs.models import AccessCode
from tests.factories import NOW

PLANTED, PLACE = "C4821Z#", "behind the third fern"
DAY = dt.timedelta(days=1)


def keep(commission, workshop, actor, **fields):
    return keep_code(
        **{
            "commission": commission,
            "opens": "key_safe",
            "code": PLANTED,
            "place": PLACE,
            "workshop": workshop,
            "now": NOW,
            "actor": actor,
        }
        | fields
    )


def look(code, person, workshop, *, proved=NOW - dt.timedelta(minutes=1), now=NOW):
    return reveal_code(
        code=AccessCode.objects.get(pk=code.pk), person=person, second_factor_at=proved, workshop=workshop, now=now
    )


def row_id(code):
    """The key as this database stores it."""
    return AccessCode._meta.pk.get_db_prep_value(code.pk, connection)


def raw_columns(code):
    with connection.cursor() as cursor:
        cursor.execute("SELECT code, place FROM jobs_accesscode WHERE id = %s", [row_id(code)])
        return cursor.fetchone()
