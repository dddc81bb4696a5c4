"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs.domain.codes import delete_codes_of_ended_jobs, forget_codes
from jobs.invites import invitation_mail, visit_mail
from jobs.queries import commission_page as page
from jobs.queries.codes import codes_section
from jobs.queries.pieces_page import pieces_section
from jobs.queries.route_page import way_in_section
from jobs.queries.survey_page import survey_section
from jobs.registries import MessageKind, PageSection, erasers, message_kinds, nightly, page_sections


def register() -> None:
    message_kinds.add("visit_invite", MessageKind("Invite to a visit", visit_mail.compose_invite))
    message_kinds.add("visit_cancel", MessageKind("A visit does not take place", visit_mail.compose_cancel))
    message_kinds.add("invitation", MessageKind("Invitation to sign in", invitation_mail.compose_invitation))

    nightly.add("codes", delete_codes_of_ended_jobs)
    erasers.add("codes", forget_codes)

    page_sections.add("steps", PageSection("jobs/sections/steps.html", page.steps_section), order=20)
    page_sections.add("visits", PageSection("jobs/sections/visits.html", page.visits_section), order=30)
    page_sections.add("access", PageSection("jobs/sections/access.html", page.access_section), order=40)
    page_sections.add("codes", PageSection("jobs/sections/codes.html", codes_section), order=45)
    page_sections.add("rooms", PageSection("jobs/sections/rooms.html", page.rooms_section), order=50)
    page_sections.add("survey", PageSection("jobs/sections/survey.html", survey_section), order=51)
    page_sections.add("pieces", PageSection("jobs/sections/pieces.html", pieces_section), order=52)
    page_sections.add("way_in", PageSection("jobs/sections/way_in.html", way_in_section), order=53)
    page_sections.add("finishes", PageSection("jobs/sections/finishes.html", page.finishes_section), order=60)
    page_sections.add("daybook", PageSection("jobs/sections/daybook.html", page.daybook_section), order=900)
