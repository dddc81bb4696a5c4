"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs.domain.client_decisions import forget_decisions, take_back_away, take_back_declaration
from jobs.domain.codes import delete_codes_of_ended_jobs, forget_codes
from jobs.domain.links import forget_old_links
from jobs.domain.slot_offers import take_back_pick
from jobs.invites import client_mail, invitation_mail, visit_mail
from jobs.queries import client_page as client
from jobs.queries import commission_page as page
from jobs.queries.client_links import client_section
from jobs.queries.codes import codes_section
from jobs.queries.pieces_page import pieces_section
from jobs.queries.route_page import way_in_section
from jobs.queries.survey_page import survey_section
from jobs.registries import (
    DecisionKind,
    MessageKind,
    PageSection,
    client_decisions,
    client_sections,
    erasers,
    message_kinds,
    nightly,
    page_sections,
)


def register() -> None:
    message_kinds.add("visit_invite", MessageKind("Invite to a visit", visit_mail.compose_invite))
    message_kinds.add("visit_cancel", MessageKind("A visit does not take place", visit_mail.compose_cancel))
    message_kinds.add("invitation", MessageKind("Invitation to sign in", invitation_mail.compose_invitation))

    register_client_page()
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


def register_client_page() -> None:
    """The client's own page: its parts, its mails, what can be taken back there."""
    message_kinds.add("client_link", MessageKind("New link to the client page", client_mail.compose_client_link))
    message_kinds.add("client_receipt", MessageKind("Copy of a client's answer", client_mail.compose_client_receipt))
    nightly.add("client_links", forget_old_links)
    erasers.add("client_page", forget_decisions)
    page_sections.add("client_page", PageSection("jobs/sections/client_page.html", client_section), order=35)

    client_decisions.add("declaration", DecisionKind("Has the room changed", take_back_declaration))
    client_decisions.add("pick_offer", DecisionKind("A time picked", take_back_pick))
    client_decisions.add("away", DecisionKind("Days away", take_back_away))
    client_decisions.add("access", DecisionKind("Who opens"))

    client_sections.add("times", PageSection("client/sections/times.html", client.times_section), order=10)
    client_sections.add(
        "declaration", PageSection("client/sections/declaration.html", client.declaration_section), order=30
    )
    client_sections.add("access", PageSection("client/sections/access.html", client.access_section), order=40)
    client_sections.add("away", PageSection("client/sections/away.html", client.away_section), order=50)
