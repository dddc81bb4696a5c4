"""What aftercare adds to the client's own page."""

from __future__ import annotations

from aftercare.domain.client_choices import take_back_permissions, take_back_return_time
from aftercare.domain.permissions import forget_permissions
from aftercare.queries import client_page as client
from jobs.registries import DecisionKind, PageSection, client_decisions, client_sections, erasers


def register() -> None:
    erasers.add("permissions", forget_permissions)
    client_decisions.add("pick_return", DecisionKind("A day for the return visit", take_back_return_time))
    client_decisions.add("permissions", DecisionKind("Use of photographs allowed", take_back_permissions))
    client_decisions.add("permission_withdrawn", DecisionKind("Use of photographs taken back"))

    client_sections.add(
        "return_visit", PageSection("client/sections/return_visit.html", client.return_section), order=12
    )
    client_sections.add("pack", PageSection("client/sections/pack.html", client.pack_section), order=55)
    client_sections.add(
        "permissions", PageSection("client/sections/permissions.html", client.permissions_section), order=80
    )
