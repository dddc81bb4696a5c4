from __future__ import annotations

import logging
import secrets

from config.logs import MaskTokens, without_tokens


def test_a_clients_link_is_masked_and_the_rest_stays():
    token = secrets.token_urlsafe(32)
    assert without_tokens(f"Not Found: /c/{token}/visit") == "Not Found: /c/.../visit"
    assert without_tokens(f"GET /feed/{token}?key={token}&x=1") == "GET /feed/...?key=...&x=1"


def test_pages_and_files_keep_their_names():
    for path in (
        "/commission/12/alcove-cupboards-in-the-back-room",
        "/static/jobs/app.4f1d0d2c9b11.css",
        "/srv/shutline/jobs/management/commands/first_start.py",
    ):
        assert without_tokens(path) == path


def test_filter_masks_arguments_of_a_log_line():
    token = secrets.token_urlsafe(32)
    record = logging.LogRecord("django.request", logging.WARNING, "x.py", 1, "%s: %s", ("Gone", f"/c/{token}"), None)
    assert MaskTokens().filter(record)
    assert record.getMessage() == "Gone: /c/..."


def test_filter_leaves_other_lines_and_their_arguments():
    record = logging.LogRecord("jobs", logging.INFO, "x.py", 1, "%d sent", (3,), None)
    assert MaskTokens().filter(record)
    assert (record.msg, record.args) == ("%d sent", (3,))
