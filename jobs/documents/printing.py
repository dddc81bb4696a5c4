"""Make a PDF in a process of its own.

The PDF is tagged (WeasyPrint's `pdf/ua-1`, with what it leaves out added by `structure.py`). No validator was at
hand: it is called tagged, not conforming.
"""

from __future__ import annotations

import hashlib
import json
import logging
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

log = logging.getLogger(__name__)

PROJECT_DIR = Path(__file__).resolve().parents[2]
# The photograph on page one is 166 mm wide and gets some 240 dpi; the others are 80 mm wide and get 300. Kept here:
# `pictures` brings the whole of WeasyPrint, which the server never needs (a second of every start).
PAGE_ONE_PX = 1600
INSIDE_PX = 945
# Address space, not memory in use. A pack of 18 pages with 20 photographs of 12 megapixels fits into half of it.
MEMORY_LIMIT_BYTES = 600_000_000


class DocumentNotMade(RuntimeError):
    """The document could not be made; the sentence says why."""


@dataclass(frozen=True)
class Document:
    """`tagged` is false where the library failed at tags and the plain document was made instead. `peak_mb` is the
    most memory the child had in use, in MB."""

    data: bytes
    sha256: str
    page_count: int
    tagged: bool
    peak_mb: int


def print_document(
    html: str,
    *,
    epoch_s: int,
    photographs: Mapping[str, bytes] | None = None,
    time_limit_s: float | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Document:
    """Any HTML of ours as PDF. `epoch_s` (seconds since 1970) is the only date that gets into it; `photographs` are
    reached from the HTML as `app:NAME`, the first of them taken to be the large one of page one. `time_limit_s`
    (wall clock and processor alike) is by default the setting CHILD_TIME_LIMIT_S. Raises `DocumentNotMade`."""
    limit_s = settings.CHILD_TIME_LIMIT_S if time_limit_s is None else time_limit_s
    pictures = photographs or {}
    order = {
        "html": html,
        "photographs": [
            [name, len(data), INSIDE_PX if place else PAGE_ONE_PX]
            for place, (name, data) in enumerate(pictures.items())
        ],
        "memory_bytes": memory_limit_bytes,
        "cpu_seconds": max(1, int(limit_s)),
    }
    try:
        done = subprocess.run(
            [sys.executable, "-m", "jobs.documents.press"],
            input=json.dumps(order).encode() + b"\n" + b"".join(pictures.values()),
            capture_output=True,
            timeout=limit_s,
            cwd=PROJECT_DIR,
            env=child_environment(epoch_s),
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise DocumentNotMade(f"The document was not ready after {limit_s:g} seconds and was stopped.") from late
    if done.returncode != 0:
        raise DocumentNotMade(_why(done, memory_limit_bytes))
    return _read(done.stdout)


def child_environment(epoch_s: int) -> dict[str, str]:
    """Only what the child needs: no keys, no database, no mail password."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "XDG_CACHE_HOME", "TMPDIR") if name in os.environ}
    return kept | {"SOURCE_DATE_EPOCH": str(epoch_s), "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "0", "TZ": "UTC"}


def _why(done: subprocess.CompletedProcess[bytes], memory_limit_bytes: int) -> str:
    if done.returncode < 0:
        return f"The process that makes the document was ended by signal {-done.returncode}: too long or too large."
    if b"MemoryError" in done.stderr:  # a process without memory may not manage to say more than that
        return f"The document could not be made: it needs more than {memory_limit_bytes // 1_000_000} MB."
    lines = done.stderr.decode(errors="replace").strip().splitlines()
    return f"The document could not be made: {lines[-1] if lines else 'no reason was given'}"


def _read(output: bytes) -> Document:
    head, _, data = output.partition(b"\n")
    result = json.loads(head)
    if not result["tagged"]:
        log.warning("document made without tags: %s", result["why_untagged"])
    return Document(data, hashlib.sha256(data).hexdigest(), result["pages"], result["tagged"], result["peak_mb"])
