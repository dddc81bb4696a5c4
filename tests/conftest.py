from __future__ import annotations


def pytest_configure() -> None:
    from django.conf import settings

    # A password is hashed some 0.3 s long on purpose; hundreds of sign-ins in tests need not wait for that.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # A child process that waits for a processor is not at fault; below pytest's own limit, so that it says what hung.
    settings.CHILD_TIME_LIMIT_S = 170
