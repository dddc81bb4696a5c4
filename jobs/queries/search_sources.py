"""What the jobs app lets people look for. Each function takes one query, and gets at most `limit` rows."""

from __future__ import annotations

import re

from django.urls import reverse

from jobs.models import Client, Commission, Consignment, FinishRecord, Piece, Room, Snag, Subcontractor
from jobs.queries.search import in_every_word
from jobs.registries import Found, SearchText

LABEL = re.compile(r"(?:(?P<commission>\d{1,6})\s+)?[Pp](?P<number>\d{1,4})", re.ASCII)
NOTE = re.compile(r"(?P<commission>\d{1,6})/(?P<number>\d{1,3})", re.ASCII)
OF_COMMISSION = ("commission__number", "commission__nickname")


def _joined(*parts: object) -> str:
    return ", ".join(str(part) for part in parts if part)


def found_commissions(text: SearchText, limit: int) -> list[Found]:
    """By number, short name, what it is, client and site."""
    fields = ("number", "nickname", "what", "client__name", "site_address", "client__address", "client__postcode")
    rows = Commission.objects.filter(in_every_word(text, *fields)).select_related("client")
    return [
        Found(str(one), _joined(one.what, one.client, "closed" if one.closed_on else ""), one.get_absolute_url())
        for one in rows.order_by("-number")[:limit]
    ]


def found_site_days(text: SearchText, limit: int) -> list[Found]:
    """For whoever sees no commission page: by what the board says, and no more."""
    rows = Commission.objects.filter(in_every_word(text, "number", "nickname", "what"), closed_on__isnull=True)
    return [
        Found(str(one), one.what, reverse("site_day", args=[one.number])) for one in rows.order_by("-number")[:limit]
    ]


def found_clients(text: SearchText, limit: int) -> list[Found]:
    rows = Client.objects.filter(in_every_word(text, "name", "email", "phone", "address", "postcode"))
    return [
        Found(
            one.name,
            _joined(one.email, one.address.replace("\r\n", ", ").replace("\n", ", ")),
            _url("client", one.pk),
        )
        for one in rows[:limit]
    ]


def found_rooms(text: SearchText, limit: int) -> list[Found]:
    rows = Room.objects.filter(in_every_word(text, "name", *OF_COMMISSION)).select_related("commission")
    return [
        Found(one.name, str(one.commission), _url("room", one.pk))
        for one in rows.order_by("-commission__number", "pk")[:limit]
    ]


def found_finishes(text: SearchText, limit: int) -> list[Found]:
    fields = ("surface", "product", "colour", "batch", "sample", "applied_by")
    rows = FinishRecord.objects.filter(in_every_word(text, *fields, *OF_COMMISSION)).select_related("commission")
    return [
        Found(
            one.surface,
            _joined(one.colour, one.product, one.batch, one.commission),
            f"{one.commission.get_absolute_url()}#finishes",
        )
        for one in rows.order_by("-commission__number", "pk")[:limit]
    ]


def found_pieces(text: SearchText, limit: int) -> list[Found]:
    """By name, or by number as on the label: P07, 101 P07."""
    rows = Piece.objects.select_related("commission")
    label = LABEL.fullmatch(text.text)
    if label:
        rows = rows.filter(number=int(label["number"]))
        if label["commission"]:
            rows = rows.filter(commission__number=int(label["commission"]))
    else:
        rows = rows.filter(in_every_word(text, "name", *OF_COMMISSION))
    return [
        Found(str(one), _joined(one.commission, one.get_place_display().lower()), one.get_absolute_url())
        for one in rows.order_by("-commission__number", "number")[:limit]
    ]


def found_consignments(text: SearchText, limit: int) -> list[Found]:
    """By number (101/1), by who has it, by coating and by what is in it."""
    rows = Consignment.objects.select_related("commission", "subcontractor")
    number = NOTE.fullmatch(text.text)
    if number:
        rows = rows.filter(number=int(number["number"]), commission__number=int(number["commission"]))
    else:
        fields = ("subcontractor__name", "product", "colour", "batch", "sample", "items__words", *OF_COMMISSION)
        rows = rows.filter(in_every_word(text, *fields)).distinct()
    return [
        Found(
            f"Consignment {one}",
            _joined(one.subcontractor, one.colour or one.product, "back" if one.back_at else ""),
            _url("consignment", one.pk),
        )
        for one in rows.order_by("-commission__number", "number")[:limit]
    ]


def found_snags(text: SearchText, limit: int) -> list[Found]:
    rows = Snag.objects.filter(in_every_word(text, "place", "words", *OF_COMMISSION)).select_related("commission")
    return [
        Found(
            str(one), _joined(one.commission, "done" if one.done_at else "open"), _url("snags", one.commission.number)
        )
        for one in rows.order_by("-commission__number", "pk")[:limit]
    ]


def found_subcontractors(text: SearchText, limit: int) -> list[Found]:
    rows = Subcontractor.objects.filter(in_every_word(text, "name", "trade", "email", "phone", "address"))
    return [Found(one.name, one.trade, _url("subcontractor", one.pk)) for one in rows[:limit]]


def _url(name: str, key: int) -> str:
    return reverse(name, args=[key])
