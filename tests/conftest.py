from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest
from hypothesis import HealthCheck

# A busy machine is no fault of what is tested: no limits by the clock; and the same examples in every run, so that a
# run that fails failed for a change. HYPOTHESIS_PROFILE=long looks for new ones, ten times as many wherever a test
# names no number of its own.
_patient = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
hypothesis.settings.register_profile("usual", max_examples=100, derandomize=True, **_patient)
hypothesis.settings.register_profile("long", max_examples=1000, **_patient)
hypothesis.settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "usual"))
_folder: list[str] = []


def pytest_configure() -> None:
    from django.conf import settings

    # A password is hashed some 0.3 s long on purpose; hundreds of sign-ins in tests need not wait for that.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # A child process that waits for a processor is not at fault; below pytest's own limit, so that it says what hung.
    settings.CHILD_TIME_LIMIT_S = 170
    if settings.DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
        # How long one waits for another to finish writing.
        settings.DATABASES["default"]["OPTIONS"]["timeout"] = 120
    # Every worker of a test run writes in a folder of its own, and finds nothing of an earlier run there.
    _folder.append(tempfile.mkdtemp(prefix="shutline-test-"))
    settings.MEDIA_ROOT = Path(_folder[0]) / "media"
    settings.OUTBOX_DIR = Path(_folder[0]) / "outbox"
    settings.ERASURES_FILE = Path(_folder[0]) / "erasures.jsonl"


def pytest_unconfigure() -> None:
    while _folder:
        shutil.rmtree(_folder.pop(), ignore_errors=True)


@pytest.fixture
def file_database(transactional_db: None, tmp_path: Path) -> Iterator[None]:
    """The test's database in a file, so that threads have connections of their own and meet as processes do.

    In memory they would share one. The empty tables are copied over; another database server is left as it is.
    """
    from django.db import connection

    if connection.vendor != "sqlite" or not connection.is_in_memory_db():  # type: ignore[attr-defined]
        yield
        return
    path = str(tmp_path / "at_once.sqlite3")
    connection.ensure_connection()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [path])
    in_memory, name = connection.connection, connection.settings_dict["NAME"]
    connection.connection = None
    connection.settings_dict["NAME"] = path
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = name
        connection.connection = in_memory
