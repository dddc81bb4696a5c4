"""Several threads at one database, as several web processes have it: ask for the fixture `file_database`.

The test run's SQLite lives in memory with a shared cache, which locks tables in a way no real database does.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from django.db import connection

from jobs.refusal import Refusal

THREADS = 4


def at_once(*acts: Callable[[], object]) -> list[object]:
    """What each act gave, or raised; all begin at the same moment."""
    gate = threading.Barrier(len(acts))
    results: list[object] = [None] * len(acts)

    def run(place: int, act: Callable[[], object]) -> None:
        try:
            gate.wait(timeout=60)
            results[place] = act()
        except Exception as fault:
            results[place] = fault
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=150)
    return results


def all_at_once(act: Callable[[], object], threads: int = THREADS) -> list[object]:
    """What the same act gave each thread; a Refusal counts as an answer, any other fault fails the test."""
    got = at_once(*[act] * threads)
    for one in got:
        if isinstance(one, Exception) and not isinstance(one, Refusal):
            raise one
    return got
