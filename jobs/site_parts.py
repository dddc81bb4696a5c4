"""What rooms, pieces, the way in and the site day put into the registries; called once from `extensions`."""

from __future__ import annotations

from jobs.domain.erasing_site import forget_site
from jobs.domain.site_photographs import drop_old_parts
from jobs.phone import kinds
from jobs.queries.carry_page import way_in_section
from jobs.queries.pieces_page import pieces_section
from jobs.queries.site_day_parts import kit_part, snags_part
from jobs.queries.survey_page import survey_section
from jobs.registries import PageSection, erasers, nightly, page_sections, site_day_sections


def register() -> None:
    page_sections.add(
        "survey", PageSection("jobs/sections/survey.html", survey_section, "Measured", "carcasses"), order=41
    )
    page_sections.add(
        "pieces", PageSection("jobs/sections/pieces.html", pieces_section, "Pieces", "deliver"), order=50
    )
    page_sections.add(
        "way_in", PageSection("jobs/sections/way_in.html", way_in_section, "Way in and carry", "deliver"), order=52
    )

    site_day_sections.add("kit", PageSection("jobs/site_day/kit.html", kit_part), order=20)
    site_day_sections.add("snags", PageSection("jobs/site_day/snags.html", snags_part), order=30)

    kinds.register()
    nightly.add("parts of photographs", drop_old_parts)
    erasers.add("site", forget_site)
