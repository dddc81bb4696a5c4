from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.jobs.phone.cast import site_cast

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
# Playwright's own 30 seconds are short where eight others want the processor.
PATIENCE_MS = 120_000


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for the tests of a file; each opens contexts of its own and closes them."""
    with pytest.MonkeyPatch.context() as environment:
        # Playwright runs a loop of its own in this thread; the live server answers from another.
        environment.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
            yield browser
            browser.close()


@pytest.fixture
def contexts(chromium: Browser) -> Iterator[Browser]:
    """The browser, all of whose windows are closed after the test."""
    yield chromium
    for context in list(chromium.contexts):
        context.close()


@pytest.fixture
def cast(live_server, monkeypatch, settings, tmp_path):
    """A site day, its maker and a phone; the live server answers from another thread."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    settings.MEDIA_ROOT = tmp_path / "media"
    return site_cast()
