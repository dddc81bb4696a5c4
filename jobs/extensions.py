"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs import client_parts, post, sheet_parts, site_parts
from jobs.domain.codes import delete_codes_of_ended_jobs, forget_codes
from jobs.domain.erasers import forget_client_itself, forget_outbox, forget_people, wipe_files, wipe_words
from jobs.domain.keeping import forget_nightly
from jobs.invites import invitation_mail
from jobs.queries import commission_page as page
from jobs.queries.codes import codes_section
from jobs.queries.plan_page import plan_section
from jobs.registries import (
    MessageKind,
    PageSection,
    erasers,
    message_kinds,
    nightly,
    page_sections,
)


def register() -> None:
    post.register()
    client_parts.register()
    site_parts.register()
    sheet_parts.register()
    message_kinds.add(
        "invitation", MessageKind("Invitation to sign in", invitation_mail.compose_invitation, is_made_when_sent=True)
    )

    nightly.add("codes", delete_codes_of_ended_jobs)
    nightly.add("forget", forget_nightly, order=500)
    erasers.add("codes", forget_codes)
    erasers.add("outbox", forget_outbox, order=10)
    erasers.add("people", forget_people, order=20)
    erasers.add("files", wipe_files, order=800)
    erasers.add("words", wipe_words, order=900)
    erasers.add("client", forget_client_itself, order=950)

    page_sections.add("steps", PageSection("jobs/sections/steps.html", page.steps_section), order=20)
    page_sections.add("plan", PageSection("jobs/sections/plan.html", plan_section), order=25)
    page_sections.add("visits", PageSection("jobs/sections/visits.html", page.visits_section), order=30)
    page_sections.add("access", PageSection("jobs/sections/access.html", page.access_section), order=40)
    page_sections.add("codes", PageSection("jobs/sections/codes.html", codes_section), order=45)
    page_sections.add("rooms", PageSection("jobs/sections/rooms.html", page.rooms_section), order=50)
    page_sections.add("finishes", PageSection("jobs/sections/finishes.html", page.finishes_section), order=60)
    page_sections.add("daybook", PageSection("jobs/sections/daybook.html", page.daybook_section), order=900)
