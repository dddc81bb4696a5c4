"""The handover pack's contents: read the record once, then build page one and sixteen numbered sections.

To add to a section, add a fact to `facts.py`, read it in `gather.py` and print it in the section's builder. To add a
section, append its builder to `SECTIONS`. The PDF and the page draw the same contents.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from aftercare.models import Handover
from aftercare.pack import sections_record, sections_use, sections_years
from aftercare.pack.blocks import FrontPage, Section
from aftercare.pack.facts import PackFacts, PhotographFact
from aftercare.pack.gather import gather
from aftercare.pack.gather_pictures import Pictures
from aftercare.pack.words import day, listed, recorded, tidy, visit_words

PLACES_ON_PAGE_ONE = 4

SectionBuilder = Callable[[PackFacts], Section]

SECTIONS: tuple[SectionBuilder, ...] = (
    sections_use.your_furniture,
    sections_use.first_thirty_days,
    sections_use.daily_care,
    sections_use.heat_damp_and_movement,
    sections_use.loads,
    sections_use.safety,
    sections_use.adjusting_a_door,
    sections_record.finish_schedule,
    sections_record.materials_and_hardware,
    sections_record.hidden_things,
    sections_record.agreed_at_handover,
    sections_years.guarantee_and_rights,
    sections_years.return_visit,
    sections_years.moving_and_end_of_life,
    sections_years.data_and_photographs,
    sections_years.the_record,
)


@dataclass(frozen=True)
class PackContents:
    title: str
    workshop_name: str
    revision: int
    issued_at: dt.datetime
    """Aware, UTC: also the date inside the PDF, so that the same contents give the same bytes."""
    issued_on: str
    front: FrontPage
    sections: tuple[Section, ...]
    photographs: tuple[PhotographFact, ...]


def tin_places(facts: PackFacts) -> tuple[tuple[str, str], ...]:
    """Each place once, with the surfaces its tins are for; page one has room for a few, section 8 has them all."""
    surfaces: dict[str, list[str]] = {}
    for finish in facts.finishes:
        surfaces.setdefault(recorded(finish.tin_place), []).append(recorded(finish.surface))
    places = tuple((place, listed(tuple(names))) for place, names in surfaces.items())
    if len(places) > PLACES_ON_PAGE_ONE:
        return (*places[: PLACES_ON_PAGE_ONE - 1], ("see section 8", "the other surfaces"))
    return places


def front_page(facts: PackFacts) -> FrontPage:
    return FrontPage(
        workshop_name=recorded(facts.workshop_name),
        workshop_town=tidy(facts.workshop_town),
        client_name=recorded(facts.client_name),
        commission=str(facts.commission_number),
        what=recorded(facts.what),
        rooms=listed(facts.rooms),
        handed_over=day(facts.handed_over_on),
        ring_name=recorded(facts.maker_name),
        ring_phone=recorded(facts.maker_phone),
        things_to_know=tuple(filter(None, map(tidy, facts.things_to_know))),
        next_visit=visit_words(facts.visit),
        tins=tin_places(facts),
        photograph=facts.photographs[0] if facts.photographs else None,
    )


def build_contents(facts: PackFacts, *, issued_at: dt.datetime) -> PackContents:
    """The pack of these facts; the last of `facts.revisions` is the one being made."""
    revision = facts.revisions[-1]
    return PackContents(
        title=f"Handover pack, commission {facts.commission_number}: {recorded(facts.what)}",
        workshop_name=recorded(facts.workshop_name),
        revision=revision.revision,
        issued_at=issued_at,
        issued_on=day(revision.issued_on),
        front=front_page(facts),
        sections=tuple(build(facts) for build in SECTIONS),
        photographs=(*facts.photographs, *facts.hidden_photographs),
    )


def pack_contents(
    handover: Handover,
    now: dt.datetime,
    *,
    revision: int = 1,
    reason: str = "",
    photographs: tuple[PhotographFact, ...] = (),
    pictures: Pictures = Pictures.NONE,
) -> PackContents:
    """Read the record as it stands and build the contents of `revision`, issued at `now` (aware, UTC)."""
    facts = gather(handover, now, revision=revision, reason=reason, photographs=photographs, pictures=pictures)
    return build_contents(facts, issued_at=now)
