"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs.invites import reminder_mail, visit_mail
from jobs.queries import commission_page as page
from jobs.queries.due_by_plan import plan_reminders
from jobs.queries.due_reminders import visit_reminders
from jobs.registries import (
    MessageKind,
    PageSection,
    ReminderSource,
    message_kinds,
    page_sections,
    reminder_sources,
)

VISIT_REMINDERS = {
    "survey_confirmation": "Survey confirmed",
    "nothing_changed_fitting": "Has anything changed? (before fitting)",
    "fitting_confirmation": "Fitting confirmed",
    "return_reminder": "Return visit soon",
}


def register() -> None:
    message_kinds.add(
        "visit_invite", MessageKind("Invite to a visit", visit_mail.compose_invite, visit_mail.note_asked)
    )
    message_kinds.add("visit_cancel", MessageKind("A visit does not take place", visit_mail.compose_cancel))
    for name, words in VISIT_REMINDERS.items():
        message_kinds.add(name, MessageKind(words, reminder_mail.compose_visit_reminder))
    message_kinds.add("access_confirmation", MessageKind("Who lets us in", reminder_mail.compose_access))
    message_kinds.add(
        "nothing_changed_cutting",
        MessageKind("Has anything changed? (before cutting)", reminder_mail.compose_before_cutting),
    )
    message_kinds.add("sprayer_chase", MessageKind("Will the doors be ready?", reminder_mail.compose_sprayer_chase))

    reminder_sources.add("visits", ReminderSource(visit_reminders))
    reminder_sources.add("plan", ReminderSource(plan_reminders, daily=True))

    page_sections.add("steps", PageSection("jobs/sections/steps.html", page.steps_section), order=20)
    page_sections.add("visits", PageSection("jobs/sections/visits.html", page.visits_section), order=30)
    page_sections.add("access", PageSection("jobs/sections/access.html", page.access_section), order=40)
    page_sections.add("rooms", PageSection("jobs/sections/rooms.html", page.rooms_section), order=50)
    page_sections.add("finishes", PageSection("jobs/sections/finishes.html", page.finishes_section), order=60)
    page_sections.add("daybook", PageSection("jobs/sections/daybook.html", page.daybook_section), order=900)
