"""The parts a section is made of. Each names the template that draws it, in the PDF and on the page alike."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar, TypeAlias

from aftercare.pack.facts import PhotographFact

NOT_RECORDED = "not recorded"


@dataclass(frozen=True)
class Prose:
    template: ClassVar[str] = "aftercare/pack/prose.html"
    paragraphs: tuple[str, ...]


@dataclass(frozen=True)
class Items:
    """A list; `numbered` where the order matters."""

    template: ClassVar[str] = "aftercare/pack/items.html"
    items: tuple[str, ...]
    heading: str = ""
    numbered: bool = False


@dataclass(frozen=True)
class Table:
    """Regular rows, as many cells as columns; the first cell of a row is its header. `to_write` leaves room
    for a pen; `last_wide` gives the last column half the width.
    """

    template: ClassVar[str] = "aftercare/pack/table.html"
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    to_write: bool = False
    last_wide: bool = False

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in self.rows):
            raise ValueError(f"table {self.caption!r} has rows that do not fit its {len(self.columns)} columns")


@dataclass(frozen=True)
class Record:
    """Labels with what was recorded for each."""

    template: ClassVar[str] = "aftercare/pack/record.html"
    caption: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class DoAndDoNot:
    """How to treat one kind of surface, and what that advice rests on."""

    template: ClassVar[str] = "aftercare/pack/do_and_do_not.html"
    surface: str
    where: str
    do: tuple[str, ...]
    do_not: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """`level` is Danger (somebody may be badly hurt), Caution (hurt, or damage) or Note."""

    template: ClassVar[str] = "aftercare/pack/caution.html"
    level: str
    words: str


@dataclass(frozen=True)
class Drawing:
    """A drawing of our own; `drawing` is the template with the SVG, whose title is its alternative text."""

    template: ClassVar[str] = "aftercare/pack/drawing.html"
    drawing: str
    caption: str


@dataclass(frozen=True)
class Picture:
    """A drawing made from the record (`elevation.py`, `qr.py`): an SVG with its alternative text, safe as it is."""

    template: ClassVar[str] = "aftercare/pack/picture.html"
    svg: str
    caption: str


@dataclass(frozen=True)
class Photographs:
    template: ClassVar[str] = "aftercare/pack/photographs.html"
    photographs: tuple[PhotographFact, ...]


Block: TypeAlias = Prose | Items | Table | Record | DoAndDoNot | Caution | Drawing | Picture | Photographs


@dataclass(frozen=True)
class Section:
    number: int
    title: str
    blocks: tuple[Block, ...]

    @property
    def anchor(self) -> str:
        """Made of the title: WeasyPrint reads it out as the description of the link (70.0, `Contents`)."""
        return re.sub(r"[^a-z0-9]+", "-", self.title.lower()).strip("-")


@dataclass(frozen=True)
class FrontPage:
    """Page one: complete alone, whatever becomes of the rest."""

    workshop_name: str
    workshop_town: str
    client_name: str
    commission: str
    what: str
    rooms: str
    handed_over: str
    ring_name: str
    ring_phone: str
    things_to_know: tuple[str, ...]
    next_visit: str
    tins: tuple[tuple[str, str], ...]
    photograph: PhotographFact | None
