"""Tables in and out as CSV: our own plain columns, every bad line named, nothing guessed. Pure.

Going out, cells that a spreadsheet would take for a formula (= + - @, tab) get an apostrophe before them; coming in,
such a cell is refused, and one with our apostrophe is read back as it was.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

LARGEST_BYTES = 1_000_000
MOST_LINES = 1_000
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_OTHER_ENCODINGS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"PK": "a spreadsheet, not CSV"}


@dataclass(frozen=True)
class Column:
    """One column by its heading, what goes into it, and an example for the page."""

    name: str
    words: str
    example: str = ""
    required: bool = False


@dataclass(frozen=True)
class Line:
    """One line of the file by its number there; the heading is line 1. A blank cell is ""."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Table:
    """The lines read and a sentence for every mistake; where there is one, nothing may be kept."""

    lines: tuple[Line, ...]
    mistakes: tuple[str, ...]


def guarded(cell: object) -> str:
    """The cell as it may leave the house: a formula's first sign gets an apostrophe before it."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def write_table(columns: Sequence[Column], rows: Iterable[Mapping[str, object]]) -> str:
    """CSV with commas and a heading; `rows` by column name, missing ones blank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in columns])
    writer.writerows([[guarded(row.get(column.name)) for column in columns] for row in rows])
    return out.getvalue()


def decode_table(data: bytes) -> tuple[str, str]:
    """The text, or "" and the sentence that says why it cannot be read."""
    if not data.strip():
        return "", "The file is empty: choose one with a heading and at least one line."
    if len(data) > LARGEST_BYTES:
        return "", f"The file is larger than {LARGEST_BYTES // 1_000_000} MB: send it in parts."
    for start, what in _OTHER_ENCODINGS.items():
        if data.startswith(start):
            return "", f"The file is {what}: save it again as “CSV UTF-8”, then choose it once more."
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        return "", f"Line {line}: the file is in another encoding than UTF-8. Save it again as “CSV UTF-8”."
    if "\0" in text:
        return "", "The file holds signs that no CSV has: save it again as “CSV UTF-8”."
    return text, ""


def read_table(text: str, columns: Sequence[Column]) -> Table:
    """Lines by column name. Every mistake is named with its line; blank lines are passed over."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    lines: list[Line] = []
    mistakes: list[str] = []
    try:
        heading = [cell.strip().lower() for cell in next(reader, [])]
        mistakes += _heading_mistakes(heading, columns, text)
        if mistakes:
            return Table((), tuple(mistakes))
        before = reader.line_num
        for cells in reader:
            number, before = before + 1, reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if len(lines) >= MOST_LINES:
                mistakes.append(f"Line {number}: more than {MOST_LINES} lines. Send the file in parts.")
                break
            line, wrong = _line(number, heading, cells)
            mistakes += wrong
            lines.append(line)
    except csv.Error as fault:
        mistakes.append(f"Line {reader.line_num}: a quotation mark is not closed or stands where none may ({fault}).")
    if not lines and not mistakes:
        mistakes.append("There is a heading and nothing under it: add at least one line.")
    return Table(tuple(lines), tuple(mistakes))


def _heading_mistakes(heading: list[str], columns: Sequence[Column], text: str) -> list[str]:
    known = {column.name for column in columns}
    if len(heading) == 1 and ";" in heading[0]:
        return ["Line 1: the columns are parted by semicolons. Save the file with commas."]
    if len(heading) == 1 and "\t" in heading[0]:
        return ["Line 1: the columns are parted by tabs. Save the file with commas."]
    found = [
        f"Line 1: there is no column called “{name[:40]}”. Columns: {', '.join(column.name for column in columns)}."
        for name in heading
        if name not in known
    ]
    found += [f"Line 1: the column {name} is there twice." for name in known if heading.count(name) > 1]
    found += [
        f"Line 1: the column {column.name} is missing; it is needed."
        for column in columns
        if column.required and column.name not in heading
    ]
    return found


def _line(number: int, heading: list[str], cells: list[str]) -> tuple[Line, list[str]]:
    if len(cells) > len(heading) and any(cell.strip() for cell in cells[len(heading) :]):
        return Line(number, {}), [f"Line {number}: {len(cells)} cells, the heading has {len(heading)}."]
    read: dict[str, str] = {}
    mistakes = []
    for name, cell in zip(heading, cells, strict=False):
        typed = cell.strip()
        if cell.startswith(FORMULA_STARTS) or typed.startswith(FORMULA_STARTS):
            mistakes.append(
                f"Line {number}, {name}: “{typed[:20]}” begins like a formula. Type the value itself, without "
                "= + - or @ before it."
            )
            typed = ""
        elif typed[:1] == "'" and typed[1:2] in FORMULA_STARTS:
            typed = typed[1:]  # our own guard, taken off again
        read[name] = typed
    return Line(number, read), mistakes
