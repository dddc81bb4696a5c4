"""The handover pack as an HTML page: the same contents, drawn by the same fragments as the PDF."""

from __future__ import annotations

import datetime as dt
from typing import Any

from aftercare.models import Handover
from aftercare.pack.contents import pack_contents
from aftercare.pack.facts import PhotographFact
from aftercare.pack.gather_pictures import Pictures


def pack_context(
    handover: Handover,
    now: dt.datetime,
    *,
    photographs: tuple[PhotographFact, ...] = (),
    pictures: Pictures = Pictures.NONE,
) -> dict[str, Any]:
    """Context of `aftercare/pack_page.html`.

    `pack`: the contents from the record as it stands, numbered and dated like the last issued revision, or as the
    first if none was issued. `issued`: the issued packs, newest first. Photographs are shown where they have a `url`.
    """
    issued = list(handover.packs.order_by("-revision"))
    last = issued[0] if issued else None
    contents = pack_contents(
        handover,
        last.issued_at if last else now,
        revision=last.revision if last else 1,
        reason=last.reason if last else "",
        photographs=photographs,
        pictures=pictures,
    )
    return {"pack": contents, "issued": issued, "handover": handover, "for_print": False}
