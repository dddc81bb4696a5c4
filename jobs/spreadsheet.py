"""A table as an OpenDocument spreadsheet (ISO/IEC 26300), written with odfpy.

Text goes in as text and numbers as numbers; nothing goes in as a formula.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from jobs.reports import Cell


def spreadsheet(name: str, headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """One sheet called `name` (up to 31 letters) with a heading row."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableHeaderRows, TableRow

    document = OpenDocumentSpreadsheet()
    table = Table(name=_plain(name)[:31])
    head, head_rows = TableRow(), TableHeaderRows()
    for heading in headings:
        head.addElement(_cell(heading))
    head_rows.addElement(head)
    table.addElement(head_rows)
    for row in rows:
        line = TableRow()
        for cell in row:
            line.addElement(_cell(cell))
        table.addElement(line)
    document.spreadsheet.addElement(table)
    out = io.BytesIO()
    document.write(out)
    return out.getvalue()


def _cell(value: Cell) -> object:
    from odf.table import TableCell
    from odf.text import P

    if value is None:
        return TableCell()
    if isinstance(value, (int, Decimal)):
        cell = TableCell(valuetype="float", value=str(value))
        cell.addElement(P(text=str(value)))
        return cell
    cell = TableCell(valuetype="string")
    cell.addElement(P(text=_plain(value)))
    return cell


def _plain(text: str) -> str:
    """Without signs that XML 1.0 does not allow."""
    return "".join(sign for sign in text if sign.isprintable())
