from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest


def pytest_configure() -> None:
    from django.conf import settings

    # A password is hashed some 0.3 s long on purpose; hundreds of sign-ins in tests need not wait for that.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


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
