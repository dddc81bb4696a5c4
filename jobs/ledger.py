"""The ledger of erasures outside the database: a backup restored later does not know whom we have forgotten since.

One line of JSON an erasure: the client's number and the instant, nothing else. `manage.py forget --again` reads it.
Keep the newest copy of this file when a backup is put back.
"""

from __future__ import annotations

import datetime as dt
import json
import os
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings


@dataclass(frozen=True)
class LedgerLine:
    client_id: int
    at: dt.datetime


def ledger_path() -> Path:
    return Path(settings.ERASURES_FILE)


def append_line(client_id: int, at: dt.datetime) -> None:
    """Written through to the disk before this returns."""
    path = ledger_path()
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps({"client": client_id, "at": at.isoformat()}) + "\n")
        file.flush()
        os.fsync(file.fileno())


def read_lines() -> list[LedgerLine]:
    """Every whole line; one cut short by a crash is passed over."""
    try:
        text = ledger_path().read_text(encoding="utf-8")
    except FileNotFoundError:
        return []
    found = []
    for line in text.splitlines():
        try:
            told = json.loads(line)
            found.append(LedgerLine(int(told["client"]), dt.datetime.fromisoformat(told["at"])))
        except (ValueError, KeyError, TypeError):
            continue
    return found
