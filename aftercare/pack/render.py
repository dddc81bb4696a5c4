"""Make the PDF of a pack in a process of its own.

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
from dataclasses import dataclass
from pathlib import Path

from django.template.loader import render_to_string

from aftercare.pack.contents import PackContents
from aftercare.pack.facts import PhotographFact
from aftercare.pack.pictures import INSIDE_PX, PAGE_ONE_PX

log = logging.getLogger(__name__)

PROJECT_DIR = Path(__file__).resolve().parents[2]
TIME_LIMIT_S = 40
# Address space, not memory in use. A pack of 18 pages with 20 photographs of 12 megapixels fits into half of it.
MEMORY_LIMIT_BYTES = 600_000_000


class PackNotMade(RuntimeError):
    """The document could not be made; the sentence says why."""


@dataclass(frozen=True)
class PackFile:
    """`tagged` is false where the library failed at tags and the plain document was made instead. `peak_mb` is the
    most memory the child had in use, in MB."""

    data: bytes
    sha256: str
    page_count: int
    tagged: bool
    peak_mb: int


def pack_html(contents: PackContents) -> str:
    """The document as HTML, everything from the record escaped."""
    return render_to_string("pdf/pack.html", {"pack": contents})


def render_pack(contents: PackContents) -> PackFile:
    """The same contents give the same bytes on one machine with one set of libraries. Raises `PackNotMade`."""
    return print_document(
        pack_html(contents),
        epoch_s=int(contents.issued_at.timestamp()),
        photographs=contents.photographs,
    )


def print_document(
    html: str,
    *,
    epoch_s: int,
    photographs: tuple[PhotographFact, ...] = (),
    time_limit_s: float = TIME_LIMIT_S,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> PackFile:
    """Any HTML of ours as PDF. `epoch_s` (seconds since 1970) is the only date that gets into it. The first of the
    photographs is taken to be the large one of page one."""
    order = {
        "html": html,
        "photographs": [
            [photograph.name, len(photograph.data), INSIDE_PX if place else PAGE_ONE_PX]
            for place, photograph in enumerate(photographs)
        ],
        "memory_bytes": memory_limit_bytes,
        "cpu_seconds": max(1, int(time_limit_s)),
    }
    pictures = b"".join(photograph.data for photograph in photographs)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "aftercare.pack.press"],
            input=json.dumps(order).encode() + b"\n" + pictures,
            capture_output=True,
            timeout=time_limit_s,
            cwd=PROJECT_DIR,
            env=_environment(epoch_s),
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise PackNotMade(f"The document was not ready after {time_limit_s:g} seconds and was stopped.") from late
    if done.returncode != 0:
        raise PackNotMade(_why(done))
    return _read(done.stdout)


def _environment(epoch_s: int) -> dict[str, str]:
    """Only what the child needs: no keys, no database, no mail password."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "XDG_CACHE_HOME", "TMPDIR") if name in os.environ}
    return kept | {"SOURCE_DATE_EPOCH": str(epoch_s), "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "0", "TZ": "UTC"}


def _why(done: subprocess.CompletedProcess[bytes]) -> str:
    if done.returncode < 0:
        return f"The process that makes the document was ended by signal {-done.returncode}: too long or too large."
    lines = done.stderr.decode(errors="replace").strip().splitlines()
    return f"The document could not be made: {lines[-1] if lines else 'no reason was given'}"


def _read(output: bytes) -> PackFile:
    head, _, data = output.partition(b"\n")
    result = json.loads(head)
    if not result["tagged"]:
        log.warning("document made without tags: %s", result["why_untagged"])
    return PackFile(data, hashlib.sha256(data).hexdigest(), result["pages"], result["tagged"], result["peak_mb"])
