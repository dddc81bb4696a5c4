"""What the aftercare app adds to the registries of jobs; called once from `AftercareConfig.ready()`."""

from __future__ import annotations

from aftercare import client_parts, desk_parts, letters, phone
from aftercare.domain.forget_aftercare import forget_aftercare
from aftercare.domain.other_time import on_declined
from aftercare.pack import mail
from aftercare.queries import sections
from aftercare.queries.due_reminders import photo_window_reminders, review_reminders
from aftercare.queries.fitted import fitted_section
from aftercare.queries.future_work import board_section, future_work_section, keeps_for_future_work
from aftercare.queries.hinge_sheet import site_day_part
from aftercare.queries.search_sources import found_future_work
from jobs.invites.visit_mail import note_asked
from jobs.queries.daybook import words_for
from jobs.registries import (
    MessageKind,
    PageSection,
    ReminderSource,
    SearchSource,
    board_sections,
    erasers,
    kept_longer,
    message_kinds,
    page_sections,
    reminder_sources,
    reply_listeners,
    search_sources,
    site_day_sections,
)

ACTS = {
    "note_light": "Light noted",
    "remove_light_note": "Light note taken out",
    "hand_over": "Handed over",
    "undo_handover": "Handover undone",
    "issue_pack": "Handover pack issued",
    "return_declined": "Return visit declined by the client",
    "keep_wish": "The client's wish for the return visit noted",
    "keep_journey": "Journey noted",
    "remove_journey": "Journey taken out",
    "take_rounds": "Return visits joined into rounds",
    "save_door": "Door noted",
    "remove_door": "Door taken out",
    "save_shelf": "Shelf noted",
    "remove_shelf": "Shelf taken out",
    "keep_facts": "Facts for the handover pack noted",
    "begin_check": "Hinge check begun",
    "check_room": "Hinge check: the room",
    "check_door": "Hinge check: a door",
    "finish_check": "Hinge check finished",
    "note_future_work": "Further work noted",
    "change_future_work": "Further work: note changed",
    "settle_future_work": "Further work settled",
    "give_permission": "Use of photographs allowed",
    "withdraw_permission": "Use of photographs taken back",
}


def register() -> None:
    message_kinds.add(
        "return_invite",
        MessageKind("Return visit and handover pack", mail.compose_return_invite, note_asked, is_made_when_sent=True),
    )
    message_kinds.add(
        "return_copy", MessageKind("Our copy of the return visit", mail.compose_return_copy, is_made_when_sent=True)
    )
    message_kinds.add("handover_pack", MessageKind("Handover pack", mail.compose_pack, is_made_when_sent=True))
    message_kinds.add(
        "pack_revision",
        MessageKind("Handover pack after the hinge check", mail.compose_revision, is_made_when_sent=True),
    )

    client_parts.register()
    desk_parts.register()
    phone.register()
    message_kinds.add("photo_window", MessageKind("Photo window today", letters.compose_photo_window, is_for_us=True))
    message_kinds.add("review_note", MessageKind("Review and further work", letters.compose_review_note))
    reminder_sources.add("photo_window", ReminderSource(photo_window_reminders))
    reminder_sources.add("review_note", ReminderSource(review_reminders))

    page_sections.add(
        "light",
        PageSection("aftercare/sections/light.html", sections.light_section, "Light", "return_visit"),
        order=62,
    )
    page_sections.add(
        "handover",
        PageSection("aftercare/sections/handover.html", sections.handover_section, "Handover and return visit"),
        order=70,
    )
    page_sections.add(
        "fitted", PageSection("aftercare/sections/fitted.html", fitted_section, "What was fitted"), order=65
    )
    page_sections.add(
        "future_work",
        PageSection("aftercare/sections/future_work.html", future_work_section, "Further work"),
        order=75,
    )
    board_sections.add("future_work", board_section)
    site_day_sections.add("hinge_check", PageSection("aftercare/site_day_hinges.html", site_day_part), order=40)
    erasers.add("aftercare", forget_aftercare)
    kept_longer.add("future_work", keeps_for_future_work)
    reply_listeners.add("return visit declined", on_declined)

    search_sources.add(
        "further work", SearchSource("Further work spoken of", "edit_future_work", found_future_work), order=90
    )

    for act, words in ACTS.items():
        words_for(act, words)
