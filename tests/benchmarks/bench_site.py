"""Print how long forty pieces take to go in by CSV, and their pages and papers to be made.

Run: python -m tests.benchmarks.bench_site
It works in a database of its own in a temporary directory. Figures are printed, never asserted.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from time import perf_counter

from tests.benchmarks.bench_board import set_up

ROUNDS = 5


def main() -> None:
    with tempfile.TemporaryDirectory() as directory:
        set_up(directory)
        from django.core.cache import caches
        from django.core.management import call_command
        from django.test import Client

        from jobs.models import Commission
        from tests import factories
        from tests.jobs import site_cast

        call_command("createcachetable", verbosity=0)
        caches["default"].clear()
        factories.make_workshop()
        maker = factories.make_maker()
        browser = Client()
        browser.force_login(maker, backend="allauth.account.auth_backends.AuthenticationBackend")

        def a_commission() -> Commission:
            commission = factories.make_commission(maker=maker)
            site_cast.make_room(commission)
            return commission

        def add() -> None:
            url = f"/commissions/{a_commission().number}/pieces/table/"
            text = site_cast.forty_pieces_csv().decode()
            answer = browser.post(url, {"table_text": text, "sure": "yes"}, HTTP_HOST="localhost")
            assert answer.status_code == 302, answer.status_code

        one = a_commission()
        site_cast.make_pieces(one, maker)
        site_cast.make_route(one)
        say("forty pieces by CSV, commission made and request answered", add)
        pages = ("pieces/", "route/", "carry/", "site-day/", "labels.pdf", "site-day.pdf")
        for page in pages:
            url = f"/commissions/{one.number}/{page}"
            say(f"GET {page}", lambda url=url: browser.get(url, HTTP_HOST="localhost"))


def say(name: str, work: Callable[[], object]) -> None:
    times = []
    for _ in range(ROUNDS):
        begun = perf_counter()
        work()
        times.append(perf_counter() - begun)
    print(f"{name:60} best {min(times) * 1000:8.0f} ms, worst {max(times) * 1000:8.0f} ms of {ROUNDS}")


if __name__ == "__main__":
    main()
