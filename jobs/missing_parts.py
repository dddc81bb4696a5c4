"""What the jobs app says is missing from a commission; registered from `extensions.register()`."""

from __future__ import annotations

from jobs.queries import missing
from jobs.registries import missing_facts


def register() -> None:
    missing_facts.add("client and site", missing.of_client_and_site, order=10)
    missing_facts.add("rooms", missing.of_the_rooms, order=20)
    missing_facts.add("agreement", missing.of_the_agreement, order=30)
    missing_facts.add("pieces", missing.of_the_pieces, order=40)
    missing_facts.add("finish", missing.of_the_finish, order=50)
    missing_facts.add("door", missing.of_the_door, order=60)
