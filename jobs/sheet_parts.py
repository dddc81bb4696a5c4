"""What the sheets of a commission put into the registries; called once from `extensions`."""

from __future__ import annotations

from jobs.domain.erasing_sheets import forget_sheets
from jobs.domain.photographs import erase_photographs
from jobs.queries.parking_page import parking_and_keys_part
from jobs.queries.sheets import sheets_section
from jobs.queries.works_board import works_section
from jobs.registries import PageSection, board_sections, erasers, page_sections, site_day_sections


def register() -> None:
    page_sections.add("sheets", PageSection("jobs/sections/sheets.html", sheets_section), order=10)
    board_sections.add("works", works_section, order=5)
    site_day_sections.add(
        "parking_and_keys", PageSection("jobs/site_day/parking_and_keys.html", parking_and_keys_part), order=5
    )
    erasers.add("photographs", erase_photographs)
    erasers.add("sheets", forget_sheets)
