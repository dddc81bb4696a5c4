"""Which photographs go into a pack, and what the client has allowed.

Hidden pipes, cables and fixings are shown always: they are for the client's own safety. Pictures of the finished
furniture are shown once any use has been allowed, and one by one where the maker shows them on the client's page.
"""

from __future__ import annotations

import enum

from aftercare.models import Permission
from aftercare.pack.facts import PhotographFact
from aftercare.pack.words import short_day
from jobs.models import Commission, Photograph, PhotographPurpose, Workshop

MOST_FINISHED, MOST_HIDDEN = 12, 8  # 20 in all: what the budget of 3 seconds is measured with


class Pictures(enum.Enum):
    NONE = "none"
    BYTES = "bytes"  # for the document
    LINKS = "links"  # for the page of somebody signed in


def permission_rows(commission: Commission, workshop: Workshop) -> tuple[tuple[str, str], ...]:
    """Each use that was allowed at some time, and how it stands now. One query."""
    rows: dict[str, str] = {}
    for permission in Permission.objects.filter(commission=commission):
        given = f"allowed on {short_day(workshop.local_day(permission.given_at))}"
        if permission.withdrawn_at is not None:
            given = f"taken back on {short_day(workshop.local_day(permission.withdrawn_at))}"
        rows[permission.get_use_display()] = given
    return tuple(rows.items())


def may_show_finished(commission: Commission) -> bool:
    return Permission.objects.filter(commission=commission, withdrawn_at__isnull=True).exists()


def pictures_of(
    commission: Commission, pictures: Pictures
) -> tuple[tuple[PhotographFact, ...], tuple[PhotographFact, ...]]:
    """Finished furniture, and what is hidden. A file that is gone is left out rather than stop the pack."""
    if pictures is Pictures.NONE:
        return (), ()
    rows = Photograph.objects.filter(commission=commission).select_related("room")
    hidden = rows.filter(purpose=PhotographPurpose.HIDDEN)[:MOST_HIDDEN]
    finished = rows.filter(purpose=PhotographPurpose.FINISHED)
    if not may_show_finished(commission):
        finished = finished.filter(is_shown_to_client=True)  # what is theirs to see already is theirs to keep
    return _facts(finished[:MOST_FINISHED], pictures), _facts(hidden, pictures)


def _facts(rows: object, pictures: Pictures) -> tuple[PhotographFact, ...]:
    return tuple(
        fact
        for row in rows  # type: ignore[attr-defined]
        if (fact := _fact(row, pictures)) is not None
    )


def _fact(row: Photograph, pictures: Pictures) -> PhotographFact | None:
    words = row.words or row.get_purpose_display()
    where = f", {row.room.name}" if row.room else ""
    data = b""
    if pictures is Pictures.BYTES:
        try:
            with row.file.open("rb") as file:
                data = file.read()
        except (FileNotFoundError, ValueError):
            return None
    url = row.get_absolute_url() if pictures is Pictures.LINKS else ""
    return PhotographFact(f"photograph-{row.pk}", data, f"Photograph: {words}{where}", f"{words}{where}", url)
