"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs.domain.photographs import erase_photographs
from jobs.invites import visit_mail
from jobs.queries import commission_page as page
from jobs.queries.sheets import sheets_section
from jobs.registries import MessageKind, PageSection, erasers, message_kinds, page_sections


def register() -> None:
    message_kinds.add("visit_invite", MessageKind("Invite to a visit", visit_mail.compose_invite))
    message_kinds.add("visit_cancel", MessageKind("A visit does not take place", visit_mail.compose_cancel))

    page_sections.add("steps", PageSection("jobs/sections/steps.html", page.steps_section), order=20)
    page_sections.add("visits", PageSection("jobs/sections/visits.html", page.visits_section), order=30)
    page_sections.add("access", PageSection("jobs/sections/access.html", page.access_section), order=40)
    page_sections.add("rooms", PageSection("jobs/sections/rooms.html", page.rooms_section), order=50)
    page_sections.add("finishes", PageSection("jobs/sections/finishes.html", page.finishes_section), order=60)
    page_sections.add("sheets", PageSection("jobs/sections/sheets.html", sheets_section), order=10)
    page_sections.add("daybook", PageSection("jobs/sections/daybook.html", page.daybook_section), order=900)

    erasers.add("photographs", erase_photographs)
