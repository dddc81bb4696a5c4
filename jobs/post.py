"""What the post adds to the registries: kinds of message, sources of reminders, and what the board says of them."""

from __future__ import annotations

from jobs.domain.attendance import forget_replies
from jobs.domain.forget_post import forget_post
from jobs.domain.reminders import queue_daily_reminders
from jobs.invites import reminder_mail, visit_mail
from jobs.queries.due_by_plan import plan_reminders
from jobs.queries.due_reminders import visit_reminders
from jobs.queries.post_board import post_section
from jobs.registries import (
    MessageKind,
    ReminderSource,
    board_sections,
    erasers,
    message_kinds,
    nightly,
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

    message_kinds.add("parking_apply_by", MessageKind("Apply for parking", reminder_mail.compose_parking))

    reminder_sources.add("visits", ReminderSource(visit_reminders))
    reminder_sources.add("plan", ReminderSource(plan_reminders, daily=True))
    nightly.add("reminders", queue_daily_reminders)
    nightly.add("replies", forget_replies)
    erasers.add("post", forget_post)
    board_sections.add("post", post_section, order=10)
