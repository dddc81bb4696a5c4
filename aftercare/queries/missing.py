"""What aftercare says is missing from a commission: the light, the doors, the facts of the handover pack."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import Count
from django.urls import reverse

from aftercare.models import Door, FittedFacts
from aftercare.queries.fitted import blanks
from jobs.models import Commission, StepKind, Workshop
from jobs.registries import Missing


def of_the_light(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """One query."""
    for room in commission.rooms.annotate(notes=Count("light_notes")):
        if not room.notes:
            words = f"{room}: no light note. When did the room look best?"
            yield Missing(words, reverse("room_light", args=[room.pk]), StepKind.HANDOVER)


def of_the_pack(commission: Commission, workshop: Workshop, now: dt.datetime) -> Iterator[Missing]:
    """Two queries."""
    if not Door.objects.filter(commission=commission).exists():
        words = "No door is entered: nothing to check at the return visit."
        yield Missing(words, reverse("fitted", args=[commission.number]), StepKind.HANDOVER)
    lacking = blanks(FittedFacts.objects.filter(commission=commission).first(), workshop)
    if lacking:
        count = f"{len(lacking)} facts" if len(lacking) > 1 else "1 fact"
        words = f"{count} of the handover pack would say “not recorded”."
        yield Missing(words, reverse("pack_facts", args=[commission.number]), StepKind.HANDOVER)
