"""What a handover pack knows about one commission: plain values, read once from the record.

Blank is `""`, `None` or an empty tuple; the builders turn blanks into "not recorded". Nothing here holds an address,
an access arrangement or a day on which the client is away: what is never gathered cannot be printed.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True)
class FinishFact:
    """One row of the finish schedule. `kind` is a value of `SurfaceKind`; `kind_words` is what it is called."""

    surface: str
    kind: str
    kind_words: str
    product: str
    colour: str
    sheen_percent: int | None
    batch: str
    applied_on: dt.date | None
    applied_by: str
    sample: str
    touch_up: str
    tin_place: str
    full_cure_days: int | None


@dataclass(frozen=True)
class LightFact:
    """The hour at which a room looked best, in the workshop's own zone."""

    room: str
    noted_at: dt.datetime
    words: str


@dataclass(frozen=True)
class VisitFact:
    """The return visit. Without times it is still to be arranged. Both times in the workshop's own zone."""

    starts_at: dt.datetime | None
    ends_at: dt.datetime | None


@dataclass(frozen=True)
class ShelfFact:
    """A shelf and what it may carry. `safe_load_kg` is None where nobody has worked it out."""

    place: str
    span_mm: int
    depth_mm: int
    thickness_mm: int
    material: str
    safe_load_kg: int | None
    basis: str


@dataclass(frozen=True)
class PhotographFact:
    """A picture to be shown. `name` is its `app:` name inside the PDF; `url` is where the page finds it, if
    at all.
    """

    name: str
    data: bytes
    alt: str
    caption: str
    url: str = ""


@dataclass(frozen=True)
class RevisionFact:
    revision: int
    issued_on: dt.date
    reason: str


@dataclass(frozen=True)
class PackFacts:
    workshop_name: str
    workshop_town: str
    workshop_phone: str
    workshop_email: str
    maker_name: str
    maker_phone: str
    client_name: str
    commission_number: int
    what: str
    rooms: tuple[str, ...]
    handed_over_on: dt.date
    things_to_know: tuple[str, ...]
    agreed: str
    existing_marks: str
    finishes: tuple[FinishFact, ...]
    visit: VisitFact | None
    return_days: tuple[int, int]
    """The return visit is meant for these days after handover, first and last."""
    lights: tuple[LightFact, ...]
    shelves: tuple[ShelfFact, ...]
    photographs: tuple[PhotographFact, ...]
    revisions: tuple[RevisionFact, ...]
    """Every revision up to and with this one, oldest first."""

    @property
    def surface_kinds(self) -> tuple[str, ...]:
        """The kinds of surface present, in the order of the schedule, each once."""
        return tuple(dict.fromkeys(finish.kind for finish in self.finishes))
