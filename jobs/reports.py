"""A report: figures with their n, as a table and as bars beside it. Pure; nothing here knows where they come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

Cell = str | int | Decimal | None

WIDTH, LABEL_HEIGHT, BAR_HEIGHT, GAP = 320, 38, 13, 12


@dataclass(frozen=True)
class BarRow:
    """A label and one value for each series; None draws no bar. `words` says the values as they are read."""

    label: str
    values: tuple[float | None, ...]
    words: str


@dataclass(frozen=True)
class Report:
    """`n` is how many jobs, promises or visits stand behind it; `lead` says so in a sentence."""

    key: str
    title: str
    n: int
    lead: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    series: tuple[str, ...]
    bars: tuple[BarRow, ...]
    none: str
    source: str = ""


@dataclass(frozen=True)
class Bar:
    """One drawn bar; px in a picture `WIDTH` wide. `kind` is the series, from 0."""

    y: int
    width: float
    kind: int


@dataclass(frozen=True)
class DrawnRow:
    label: str
    words: str
    label_y: int
    words_y: int
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class Chart:
    height: int
    rows: tuple[DrawnRow, ...]


def draw(bars: Sequence[BarRow]) -> Chart | None:
    """Bars on one scale that begins at zero; None where there is nothing to draw."""
    top = max((value for row in bars for value in row.values if value is not None), default=0)
    if top <= 0:
        return None
    y, rows = 0, []
    for row in bars:
        drawn, at = [], y + LABEL_HEIGHT
        for kind, value in enumerate(row.values):
            if value is not None:
                drawn.append(Bar(at, round(max(0.0, value) / top * WIDTH, 1), kind))
                at += BAR_HEIGHT
        rows.append(DrawnRow(row.label, row.words, y + 14, y + 31, tuple(drawn)))
        y = at + GAP
    return Chart(y - GAP, tuple(rows))


def hours(minutes: float | None) -> Decimal | None:
    """Minutes as hours with one decimal, as a table has them."""
    return None if minutes is None else (Decimal(str(minutes)) / 60).quantize(Decimal("0.1"))


def pounds(pence: int) -> Decimal:
    return (Decimal(pence) / 100).quantize(Decimal("0.01"))
