"""What the jobs app lets people look for; registered from `extensions.register()`."""

from __future__ import annotations

from jobs.queries import search_sources as sources
from jobs.registries import SearchSource, search_sources


def register() -> None:
    def add(name: str, order: int, source: SearchSource) -> None:
        search_sources.add(name, source, order=order)

    add("commissions", 10, SearchSource("Commissions", "commission", sources.found_commissions))
    add("site days", 11, SearchSource("Commissions", "site_day", sources.found_site_days, unless="commission"))
    add("clients", 20, SearchSource("Clients", "client", sources.found_clients))
    add("pieces", 30, SearchSource("Pieces", "piece", sources.found_pieces))
    add("rooms", 40, SearchSource("Rooms", "room", sources.found_rooms))
    add("finishes", 50, SearchSource("Finishes", "commission", sources.found_finishes))
    add("consignments", 60, SearchSource("Consignments", "consignment", sources.found_consignments))
    add("snags", 70, SearchSource("Snags", "snags", sources.found_snags))
    add("subcontractors", 80, SearchSource("Subcontractors", "subcontractor", sources.found_subcontractors))
