"""A client whose page has everything on it that a page can have, for tests that walk every address of it."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from PIL import Image

from aftercare.domain.handover import hand_over
from aftercare.domain.packs import pack_for_sending
from aftercare.domain.permissions import give_permission
from jobs.domain.clients import add_client_away
from jobs.domain.drawings import add_drawing
from jobs.domain.photographs import add_photographs
from jobs.domain.slot_offers import offer_slot
from jobs.models import ClientDecision, Photograph, Room, Snag, StepKind, Survey
from tests.addresses import addresses
from tests.factories import make_client, up_to
from tests.jobs.client_cast import DAY, Cast, make_cast, quarter, right_now

# Open without a sign-in and no part of a client's page; each has a guard and tests of its own.
NOT_THE_CLIENTS = {"feed", "healthz", "accept_invitation", "pair_wall_screen", "manifest", "service_worker"}
# Of the client's addresses, those that anybody may open: they know nobody.
OPEN_TO_ALL = {"client_entry", "client_new_link", "client_link_asked", "client_left"}


@dataclass
class Whole:
    """`addresses`: URL name -> an address that leads to something of this client. `words`: said only to them."""

    cast: Cast
    addresses: dict[str, str]
    words: list[str]


def png() -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (30, 20), (10, 90, 90)).save(made, "PNG")
    return made.getvalue()


def whole_client(name: str = "Ottoline Quill", what: str = "walnut map chest") -> Whole:
    """Handed over, with a return visit, and with a drawing, a photograph, a snag, an offer and all the rest."""
    now = right_now()
    client = make_client(name=name, email=f"{name.split()[1].lower()}@example.org")
    cast = make_cast(done=up_to(StepKind.HANDOVER), done_at=now - DAY, client=client, what=what)
    hour = dt.timedelta(hours=1)
    handover = hand_over(commission=cast.commission, at=now - hour, workshop=cast.workshop, now=now, actor=cast.maker)
    pks: dict[str, Any] = _on_the_page(cast, what, now)
    pks["client_pack_pdf"] = pack_for_sending(handover, now).pk
    found = {one: address for one, address in addresses(token=cast.token).items() if address.startswith("/your-")}
    found |= {one: reverse(one, args=[pk]) for one, pk in pks.items()}
    words = [what, name, f"Elevations of {what}", f"Dovetails of {what}", f"Rubs at {what}", f"Free for {what}"]
    return Whole(cast, found, words)


def _on_the_page(cast: Cast, what: str, now: dt.datetime) -> dict[str, Any]:
    commission, maker = cast.commission, cast.maker
    Survey.objects.create(room=Room.objects.create(commission=commission, name="Hall"), taken_on=(now - DAY).date())
    drawing = add_drawing(
        commission=commission, title=f"Elevations of {what}", note="", name="a.png", data=png(), now=now, actor=maker
    )
    (photograph,) = add_photographs(
        commission=commission, files=[("a.png", png())], purpose="work", words=f"Dovetails of {what}", room=None,
        zone=cast.workshop.tz, now=now, actor=None,
    )  # fmt: skip
    Photograph.objects.filter(pk=photograph.pk).update(is_shown_to_client=True)
    snag = Snag.objects.create(
        commission=commission, place="left door", words=f"Rubs at {what}", cause="making", seen_on=now.date(),
        done_at=now,
    )  # fmt: skip
    # Each client's hour is another: one maker cannot offer one hour twice and keep both.
    start = quarter(now, 5, 7 + commission.pk % 8)
    offer = offer_slot(
        commission=commission, kind="other", person=maker, starts_at=start, ends_at=start + dt.timedelta(hours=1),
        now=now, actor=maker, reason=f"Free for {what}.",
    )  # fmt: skip
    away = add_client_away(
        client=commission.client, first_day=(now + 20 * DAY).date(), last_day=(now + 22 * DAY).date(), now=now,
        actor=None,
    )  # fmt: skip
    permission = give_permission(commission=commission, use="web", way="told", given_by="P", now=now, actor=None)
    cast.browser.post(reverse("client_access"), ACCESS)
    decision = ClientDecision.objects.get(commission=commission)
    return {
        "client_approve": drawing.pk, "client_drawing": drawing.pk, "client_photograph": photograph.pk,
        "client_photograph_small": photograph.pk, "client_agree_snag": snag.pk, "client_pick": offer.pk,
        "client_away_remove": away.pk, "client_permission_withdraw": permission.pk, "client_done": decision.pk,
        "client_undo": decision.pk,
    }  # fmt: skip


ACCESS = {"opener_name": "Nan", "opener_phone": "", "opener_email": "", "slot_starts": "09:00", "slot_ends": "12:00",
          "fallback_name": "", "fallback_phone": "", "parking": "front"}  # fmt: skip
