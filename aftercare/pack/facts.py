"""What a handover pack knows about one commission: plain values, read once from the record.

Blank is `""`, `None` or an empty tuple; the builders turn blanks into "not recorded". Nothing here holds an address,
an access arrangement or a day on which the client is away: what is never gathered cannot be printed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field


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
    took_place: bool = False


@dataclass(frozen=True)
class ShelfFact:
    """A shelf and what it may carry. `safe_load_kg` is None where nobody has worked it out."""

    place: str
    span_mm: int
    depth_mm: int
    thickness_mm: float
    material: str
    safe_load_kg: int | None
    basis: str
    grounds: tuple[str, ...] = ()
    """What a calculated figure rests on, source by source, the creep rule among them."""


@dataclass(frozen=True)
class DoorFact:
    """A door as fitted, with the gaps it was left with; `hung` is a value of `Hung`, the rest are words."""

    label: str
    room: str
    width_mm: int
    height_mm: int
    hung: str
    left_mm: int | None
    bottom_mm: int | None
    hinges_fitted: int | None
    hinges_asked: str
    weight: str
    gaps: str = ""
    verdict: str = ""


@dataclass(frozen=True)
class PieceFact:
    """A piece, for an elevation of a room without doors on record."""

    label: str
    room: str
    width_mm: int
    height_mm: int


@dataclass(frozen=True)
class CheckFact:
    """The last hinge check, in words: what was looked at and what was found."""

    day: dt.date
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class KeepFact:
    """How long the workshop keeps what is personal."""

    messages_days: int
    access_days: int
    record_years: int


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
    fitted: Mapping[str, str] = field(default_factory=dict)
    """Words by the names of the columns of `FittedFacts`, the workshop's own where the commission says nothing."""
    doors: tuple[DoorFact, ...] = ()
    pieces: tuple[PieceFact, ...] = ()
    check: CheckFact | None = None
    snags: tuple[str, ...] | None = None
    """What is left to put right, each with its state; None where nobody has looked yet."""
    permissions: tuple[tuple[str, str], ...] = ()
    """Each use of photographs that was asked about, and the answer."""
    hidden_photographs: tuple[PhotographFact, ...] = ()
    keep: KeepFact | None = None
    client_page: str = ""
    """The address of the client page's root; blank where clients cannot reach this installation."""

    @property
    def surface_kinds(self) -> tuple[str, ...]:
        """The kinds of surface present, in the order of the schedule, each once."""
        return tuple(dict.fromkeys(finish.kind for finish in self.finishes))
