"""What the browser tests share."""

from __future__ import annotations

import pytest

from tests.jobs.phone.cast import site_cast


@pytest.fixture
def cast(live_server, monkeypatch, settings, tmp_path):
    # Playwright runs a loop of its own in this thread; the live server answers from another.
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    settings.MEDIA_ROOT = tmp_path / "media"
    return site_cast()
