"""Several threads at one database, as several web processes have it.

The test run's SQLite lives in memory with a shared cache, which locks tables in a way no real database does. So the
rows are copied into a file for the time of the race, and every thread opens that with the settings of the program.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import connection, connections


@contextmanager
def real_database(folder: Path) -> Iterator[None]:
    """Inside, a new thread's connection leads to a file with the rows as they stand; other databases stay as is."""
    if connection.vendor != "sqlite":
        yield
        return
    path = folder / "race.sqlite3"
    connection.ensure_connection()
    raw: Any = connection.connection
    with sqlite3.connect(path) as copy:
        raw.backup(copy)
    copy.close()
    settings = connections.settings["default"]
    name, settings["NAME"] = settings["NAME"], str(path)
    try:
        yield
    finally:
        settings["NAME"] = name


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
