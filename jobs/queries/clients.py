from __future__ import annotations

from typing import Any

from django.db.models import Count, Q

from jobs.models import Client


def client_list() -> dict[str, Any]:
    """Every client with the number of live commissions. One query."""
    live = Count("commissions", filter=Q(commissions__closed_on__isnull=True))
    return {"clients": Client.objects.annotate(live=live)}


def client_page(client: Client) -> dict[str, Any]:
    return {
        "client": client,
        "commissions": client.commissions.order_by("-number"),
        "away": client.away.all(),
        "facts": [
            ("E-mail", client.email),
            ("Telephone", client.phone.as_national if client.phone else ""),
            ("Address", client.address),
            ("Postcode", client.postcode),
            ("Notes", client.notes),
        ],
    }
