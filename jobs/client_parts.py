"""What the client's own page adds to the registries: its parts, its mails, what can be taken back there."""

from __future__ import annotations

from jobs.domain.client_decisions import forget_decisions, take_back_away, take_back_declaration
from jobs.domain.client_works import take_back_agreement, take_back_approval
from jobs.domain.links import client_url, forget_old_links
from jobs.domain.slot_offers import take_back_pick
from jobs.invites import client_mail
from jobs.queries import client_page as client
from jobs.queries import client_works as works
from jobs.queries.client_links import client_section
from jobs.registries import (
    DecisionKind,
    MessageKind,
    PageSection,
    client_decisions,
    client_links,
    client_sections,
    erasers,
    message_kinds,
    nightly,
    page_sections,
)


def register() -> None:
    client_links.add("client_page", client_url)
    message_kinds.add(
        "client_link",
        MessageKind("New link to the client page", client_mail.compose_client_link, is_made_when_sent=True),
    )
    message_kinds.add("client_receipt", MessageKind("Copy of a client's answer", client_mail.compose_client_receipt))
    nightly.add("client_links", forget_old_links)
    erasers.add("client_page", forget_decisions)
    page_sections.add(
        "client_page",
        PageSection("jobs/sections/client_page.html", client_section, "The client’s own page", "return_visit"),
        order=35,
    )

    client_decisions.add("declaration", DecisionKind("Has the room changed", take_back_declaration))
    client_decisions.add("pick_offer", DecisionKind("A time picked", take_back_pick))
    client_decisions.add("away", DecisionKind("Days away", take_back_away))
    client_decisions.add("approve_drawing", DecisionKind("A drawing approved", take_back_approval))
    client_decisions.add("agree_snag", DecisionKind("A snag agreed", take_back_agreement))
    client_decisions.add("access", DecisionKind("Who opens"))

    client_sections.add("times", PageSection("client/sections/times.html", client.times_section), order=10)
    client_sections.add(
        "declaration", PageSection("client/sections/declaration.html", client.declaration_section), order=30
    )
    client_sections.add("access", PageSection("client/sections/access.html", client.access_section), order=40)
    client_sections.add("drawings", PageSection("client/sections/drawings.html", works.drawings_section), order=20)
    client_sections.add("snags", PageSection("client/sections/snags.html", works.snags_section), order=60)
    client_sections.add(
        "photographs", PageSection("client/sections/photographs.html", works.photographs_section), order=65
    )
    client_sections.add("payments", PageSection("client/sections/payments.html", works.payments_section), order=70)
    client_sections.add("away", PageSection("client/sections/away.html", client.away_section), order=50)
