"""Tables that come in as CSV: our own plain columns, read whole, every bad row named by its line. Pure.

The caller gives the columns, each with a function from text to value that raises ValueError with a sentence; it gets
the rows, or the complaints and no rows: all or nothing. RFC 4180 for commas, quotes and lines inside quotes; a
semicolon or tab instead of the comma is recognised from the heading line, as other countries' spreadsheets write it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

LARGEST_BYTES = 2_000_000
MOST_ROWS = 5_000
LONGEST_CELL = 2_000
# What a spreadsheet takes for the beginning of a formula (OWASP, "CSV Injection").
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Column:
    """`read` turns a cell into a value and raises ValueError with a sentence. `signs` allows a cell that begins with
    + or -, as telephone numbers and coordinates do; one that begins with = or @ is refused everywhere."""

    name: str
    read: Callable[[str], Any] = str
    required: bool = False
    default: Any = ""
    signs: bool = False


@dataclass(frozen=True)
class Complaint:
    """`line` is the line of the file as an editor counts it, from 1; 0 is the file as a whole."""

    line: int
    sentence: str

    def __str__(self) -> str:
        return f"Line {self.line}: {self.sentence}" if self.line else self.sentence


@dataclass(frozen=True)
class Row:
    line: int
    values: dict[str, Any]


@dataclass(frozen=True)
class Table:
    """Either rows and no complaints, or complaints and no rows to be used."""

    rows: list[Row] = field(default_factory=list)
    complaints: list[Complaint] = field(default_factory=list)

    @property
    def is_good(self) -> bool:
        return not self.complaints


def read_table(data: bytes, columns: Sequence[Column]) -> Table:
    """All rows of a CSV file with exactly these columns, in any order. Nothing is guessed: what is not understood
    comes back as complaints."""
    text, complaint = _decode(data)
    if complaint:
        return Table(complaints=[Complaint(0, complaint)])
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        names = [name.strip().lower() for name in next(reader, [])]
        wrong = _heading_faults(names, columns)
        if wrong:
            return Table(complaints=[Complaint(1, sentence) for sentence in wrong])
        return _rows(reader, names, {column.name: column for column in columns})
    except csv.Error as fault:
        return Table(
            complaints=[Complaint(reader.line_num, f"this is no CSV from here on ({fault}); check the quotes.")]
        )


def _decode(data: bytes) -> tuple[str, str]:
    if len(data) > LARGEST_BYTES:
        return "", f"The file is larger than {LARGEST_BYTES // 1_000_000} MB: split it, or check that it is the one."
    if not data.strip():
        return "", "The file is empty: it needs a heading line and at least one row."
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return "", "This is a spreadsheet's own file, not a CSV: save it as “CSV UTF-8” and choose that file."
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "", "The file is in UTF-16: save it as “CSV UTF-8” and choose it again."
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        return "", (
            f"Line {line} is not UTF-8, so accents or a £ sign would come out wrong: save the file as “CSV UTF-8”."
        )
    if not text.strip():  # nothing but a byte order mark
        return "", "The file is empty: it needs a heading line and at least one row."
    if "\x00" in text:
        return "", "The file holds characters that no text has: save it as “CSV UTF-8” and choose it again."
    return text, ""


def _delimiter(text: str) -> str:
    heading = text.splitlines()[0]
    return max(",;\t", key=heading.count)


def _heading_faults(names: list[str], columns: Sequence[Column]) -> list[str]:
    known = [column.name for column in columns]
    faults = [f"there is no column called “{name}”; the columns are: {', '.join(known)}." for name in names
              if name not in known]  # fmt: skip
    faults += [f"the column “{name}” is there twice." for name in dict.fromkeys(names) if names.count(name) > 1]
    missing = [column.name for column in columns if column.required and column.name not in names]
    return faults + [f"the column “{name}” is missing; it is needed." for name in missing]


def _rows(reader: Any, names: list[str], columns: dict[str, Column]) -> Table:
    rows: list[Row] = []
    complaints: list[Complaint] = []
    line = reader.line_num + 1
    for cells in reader:
        here, line = line, reader.line_num + 1
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) + len(complaints) >= MOST_ROWS:
            complaints.append(Complaint(here, f"more than {MOST_ROWS} rows: split the file."))
            break
        if len(cells) != len(names):
            complaints.append(
                Complaint(here, f"{len(cells)} cells under {len(names)} headings; a comma too many or too few?")
            )
            continue
        values, faults = _values(dict(zip(names, cells, strict=True)), columns)
        complaints += [Complaint(here, sentence) for sentence in faults]
        rows.append(Row(here, values))
    if not rows and not complaints:
        complaints.append(Complaint(0, "The file has headings and no rows."))
    return Table(rows, complaints)


def _values(cells: dict[str, str], columns: dict[str, Column]) -> tuple[dict[str, Any], list[str]]:
    values: dict[str, Any] = {}
    faults: list[str] = []
    for name, column in columns.items():
        cell = cells.get(name, "").strip()
        values[name] = column.default
        sentence = _cell_fault(cell, column)
        if sentence is None and cell:
            try:
                values[name] = column.read(cell)
            except ValueError as fault:
                sentence = str(fault)
        if sentence is not None:
            faults.append(f"{name}: {sentence}")
    return values, faults


def _cell_fault(cell: str, column: Column) -> str | None:
    if not cell:
        return "this is needed; fill it in." if column.required else None
    if len(cell) > LONGEST_CELL:
        return f"longer than {LONGEST_CELL} characters; shorten it."
    signs = ("=", "@") if column.signs else FORMULA_STARTS
    if cell.startswith(signs):
        return f"begins with {cell[0]}, as a formula does; write the plain words or number instead."
    return None


def whole_number(least: int, greatest: int) -> Callable[[str], int]:
    """A reader of whole numbers in a range. "2.4" is asked about, not rounded."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit()):
            raise ValueError(f"“{text}” is no whole number; write digits only, such as {max(least, 1)}.")
        value = int(text[:12])
        if not least <= value <= greatest or len(text) > 12:
            raise ValueError(f"{text} lies outside {least} to {greatest}.")
        return value

    return read


def text_up_to(length: int) -> Callable[[str], str]:
    def read(text: str) -> str:
        if len(text) > length:
            raise ValueError(f"longer than {length} characters; shorten it.")
        return text

    return read


def one_of(choices: dict[str, Any]) -> Callable[[str], Any]:
    """A reader of words of a list, whatever their capitals."""

    def read(text: str) -> Any:
        if text.lower() not in choices:
            raise ValueError(f"“{text}” is none of: {', '.join(choices)}.")
        return choices[text.lower()]

    return read
