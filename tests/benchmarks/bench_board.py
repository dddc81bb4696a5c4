"""Print queries, size and time of the Job board with 60 live and 5,000 past commissions (budgets: DESIGN 10).

Run: python -m tests.benchmarks.bench_board
It fills a database of its own in a temporary directory; some twenty seconds of it are the filling.
"""

from __future__ import annotations

import gzip
import os
import statistics
import tempfile
from time import perf_counter, process_time

LIVE, PAST, REQUESTS = 60, 5000, 60


def set_up(directory: str) -> None:
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "SHUTLINE_VAR": directory,
        "SECRET_KEY": "k" * 50,
        "FIELD_KEYS": "dGVzdHRlc3R0ZXN0dGVzdHRlc3R0ZXN0dGVzdHRlc3Q=",
        "DEBUG": "1",
        "LOG_LEVEL": "ERROR",
    }
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def fill() -> object:
    from django.db import transaction
    from django.utils import timezone

    from jobs.models import StepKind as K
    from tests import factories

    now = factories.NOW = timezone.now()
    day = now.date()
    maker, client = factories.make_maker(), factories.make_client()
    factories.make_workshop()
    away = [*factories.up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS]
    stages = [[], factories.up_to(K.DRAWING), factories.up_to(K.DOORS), away, factories.up_to(K.WRAP)]
    with transaction.atomic():
        for number in range(PAST):
            every = [*factories.up_to(K.RETURN_VISIT), K.RETURN_VISIT]
            factories.make_commission(
                maker=maker, client=client, done=every, closed_on=day, nickname=f"Past {number}"
            )
        for number in range(LIVE):
            one = factories.make_commission(
                maker=maker,
                client=client,
                nickname=f"Mill Row {number}",
                done=stages[number % len(stages)],
                done_at=now - factories.dt.timedelta(days=2),
            )
            factories.make_visit(one, starts_at=now + factories.dt.timedelta(days=2 + number % 35))
            factories.make_access(one)
    return maker


def store_plan() -> None:
    """As the worker would: the board then reads the plan in force."""
    from django.utils import timezone

    from jobs.domain.plans import keep_plan
    from jobs.queries.workshop import the_workshop

    began = perf_counter()
    keep_plan(the_workshop(), timezone.now())
    print(f"plan of {LIVE} live commissions made, checked, forecast and stored: {perf_counter() - began:.1f} s")


def main() -> None:
    with tempfile.TemporaryDirectory() as directory:
        set_up(directory)
        from django.db import connection
        from django.test import Client
        from django.test.utils import CaptureQueriesContext

        browser = Client()
        browser.force_login(fill(), backend="allauth.account.auth_backends.AuthenticationBackend")
        store_plan()
        connection.queries_log.clear()  # the filling has filled it
        with CaptureQueriesContext(connection) as queries:
            page = browser.get("/", HTTP_HOST="localhost").content
        walls, works = [], []
        for _ in range(REQUESTS):
            wall, work = perf_counter(), process_time()
            browser.get("/", HTTP_HOST="localhost")
            walls.append(1000 * (perf_counter() - wall))
            works.append(1000 * (process_time() - work))
        print(f"{LIVE} live, {PAST} past: {len(queries)} queries")
        print(f"{len(page):,} bytes, {len(gzip.compress(page)):,} compressed (budget 60,000)")
        p95 = statistics.quantiles(walls, n=20)[-1]
        print(f"wall: median {statistics.median(walls):.0f} ms, p95 {p95:.0f} ms (budget 100)")
        print(f"processor: median {statistics.median(works):.0f} ms")
        sheets = []
        for _ in range(REQUESTS // 4):
            work = process_time()
            browser.get("/friday/", HTTP_HOST="localhost")
            sheets.append(1000 * (process_time() - work))
        print(f"Friday sheet: processor, median {statistics.median(sheets):.0f} ms")


if __name__ == "__main__":
    main()
