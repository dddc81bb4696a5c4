"""Tables that go out as CSV, safe to open in a spreadsheet. Pure.

A cell that a spreadsheet would take for a formula gets an apostrophe before it (OWASP, "CSV Injection"); `unguarded`
takes it off again when such a table comes back in.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

from jobs.csv_in import FORMULA_STARTS


def write_table(names: Sequence[str], rows: Iterable[Mapping[str, object]]) -> str:
    """CSV (RFC 4180) with a heading; `rows` by column name, a missing one or None blank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(names)
    writer.writerows([[guarded(row.get(name)) for name in names] for row in rows])
    return out.getvalue()


def guarded(cell: object) -> str:
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def unguarded(text: str) -> str:
    return text[1:] if text[:1] == "'" and text[1:2] in FORMULA_STARTS and len(text) > 1 else text
