"""Towns as addresses name them, and the journeys between them that somebody has driven and typed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from aftercare.models import TravelTime
from jobs.models import Commission, Workshop


def town_of(commission: Commission) -> str:
    """The last line of the address, where that can only be a town; "" otherwise.

    A client may read it in another client's reasons, so nothing that may be a name, a house or a postcode passes:
    an address of a single line, a line with a figure in it, or one that names the client gives no town.
    """
    lines = [part.strip(" .") for part in commission.address.replace(",", "\n").splitlines() if part.strip(" .")]
    if len(lines) < 2 or any(letter.isdigit() for letter in lines[-1]):
        return ""
    names = set(commission.client.name.lower().split())
    return "" if names & set(lines[-1].lower().split()) else lines[-1][:80]


@dataclass(frozen=True)
class Journeys:
    """Minutes between two towns, either way round; capitals make no difference."""

    minutes_by_pair: Mapping[frozenset[str], int] = field(default_factory=dict)

    def minutes(self, here: str, there: str) -> int | None:
        return self.minutes_by_pair.get(frozenset((here.lower(), there.lower()))) if here and there else None

    def from_workshop(self, workshop: Workshop, commission: Commission) -> int | None:
        return self.minutes(workshop.town, town_of(commission))

    def between(self, one: Commission, other: Commission) -> int | None:
        return self.minutes(town_of(one), town_of(other))


def known_journeys() -> Journeys:
    """One query."""
    rows = TravelTime.objects.values_list("here", "there", "minutes")
    return Journeys({frozenset((here.lower(), there.lower())): minutes for here, there, minutes in rows})
